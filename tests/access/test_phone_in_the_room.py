"""A second Chromium in the room: trusts the authority, joins by the QR code, goes, comes back.

The server is reached at the machine's own address on a network of the test's own. No certificate
error is ignored anywhere: the authority is in the browser's store, or the browser refuses.
"""

import io
import json
import re
import sqlite3
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Page, Playwright, expect
from playwright.sync_api import Error as BrowserError

from tests.access.conftest import PASSWORD
from tests.access.room import LAPTOP_ADDRESS, PORT, Room, room, server, trusting
from tests.web import hand
from tests.web.serving import PATIENCE, PHONE, SAMPLES

pytestmark = pytest.mark.browser

OWN = f"http://127.0.0.1:{PORT + 2}"
HTTPS = f"https://{LAPTOP_ADDRESS}:{PORT}"
PLAIN = f"http://{LAPTOP_ADDRESS}:{PORT + 1}"


# What the page keeps of the server's answers, to show when there is no network.
LEFT = """async () => await new Promise(resolve => {
  const asked = indexedDB.open('inkwitness');
  asked.onsuccess = () => {
    const all = asked.result.transaction('copies').objectStore('copies').getAllKeys();
    all.onsuccess = () => { asked.result.close(); resolve(all.result); };
  };
})"""


def chromium(playwright: Playwright, made: Room, namespace: str, home: Path) -> Browser:
    home.mkdir(parents=True, exist_ok=True)
    return playwright.chromium.launch(
        executable_path=made.chromium(namespace),
        headless=True,
        args=[
            "--no-sandbox",
            "--no-first-run",
            "--disable-dev-shm-usage",
            "--disable-background-networking",
            "--disable-component-update",
        ],
        env={"HOME": str(home), "PATH": "/usr/bin:/bin:/usr/sbin:/sbin"},
    )


@contextmanager
def page_of(browser: Browser, base: str, *, known: bool = True) -> Iterator[Page]:
    """A page; what it complains of fails the test. Nothing is remembered where it is not let in."""
    context: BrowserContext = browser.new_context(
        base_url=base,
        viewport=PHONE,  # type: ignore[arg-type]
        device_scale_factor=2,
        locale="en-GB",
        reduced_motion="reduce",
    )
    context.set_default_timeout(PATIENCE)
    complaints: list[str] = []
    page = context.new_page()
    page.on("pageerror", lambda error: complaints.append(str(error)))
    if known:
        hand.remember(page, typedFirst=0)
    yield page
    context.close()
    assert complaints == []


def scanned(page: Page) -> str:
    """What a camera reads in the QR code that is shown."""
    shown = page.get_by_role("img", name="QR code")
    expect(shown).to_be_visible()
    picture = Image.open(io.BytesIO(shown.screenshot()))
    (code,) = zxingcpp.read_barcodes(picture)
    return str(code.text)


def make_administrator(page: Page, said: str) -> None:
    link = re.search(rf"{OWN}/#/first/[0-9A-Z-]+", said)
    assert link, said
    page.goto(link.group())
    page.get_by_label("Name", exact=True).fill("Ines Okparo")
    page.get_by_label(re.compile("^Password")).fill(PASSWORD)
    page.get_by_role("button", name="Make the account").click()
    expect(page.get_by_role("heading", name="People and devices")).to_be_visible()


def code_for(page: Page, name: str) -> str:
    """Add somebody who screens, and show the code for their phone."""
    page.goto("/#/people")
    page.get_by_label("Name", exact=True).fill(name)
    page.get_by_role("button", name="Add", exact=True).click()
    page.get_by_role("button", name=f"Code for a device {name}").click()
    expect(page.get_by_text(re.compile("^Scan this"))).to_be_visible()
    other = page.get_by_role("button", name=re.compile("another address"))
    if ".local" in scanned(page) and other.count():
        # Debian's Chromium asks no multicast DNS by itself; phones do
        other.click()
    return scanned(page)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Room]:
    with room(tmp_path_factory.mktemp("room")) as made:
        yield made


@pytest.fixture(scope="module")
def served(made: Room) -> Iterator[str]:
    with server(made, made.folder / "data") as said:
        yield said


@pytest.fixture(scope="module")
def laptop(made: Room, served: str, playwright: Playwright) -> Iterator[Page]:
    """The page on the server's own machine, with the first administrator signed in."""
    browser = chromium(playwright, made, made.laptop, made.folder / "home-laptop")
    with page_of(browser, OWN) as page:
        make_administrator(page, served)
        yield page
    browser.close()


@pytest.fixture(scope="module")
def phone(made: Room, served: str, playwright: Playwright) -> Iterator[Browser]:
    """A browser in the phone's namespace that trusts the authority."""
    home = trusting(made.folder / "home-phone", made.folder / "data" / "network" / "root.crt")
    browser = chromium(playwright, made, made.phone, home)
    yield browser
    browser.close()


def names_in(data: Path, table: str) -> list[str]:
    with sqlite3.connect(data / "inkwitness.sqlite") as raw:
        rows = raw.execute(f"SELECT actor FROM {table} ORDER BY seq").fetchall()
    raw.close()
    return [json.loads(row[0])["name"] for row in rows]


def test_a_phone_joins_photographs_loses_the_network_and_comes_back(
    made: Room, laptop: Page, phone: Browser
) -> None:
    link = code_for(laptop, "Bo Terrazin")
    assert re.fullmatch(rf"{HTTPS}/#/join/[0-9A-Z-]{{19}}", link)
    with page_of(phone, HTTPS) as page:
        page.goto(link)
        page.get_by_role("button", name="Join", exact=True).click()
        expect(page.get_by_role("button", name=re.compile("Bo Terrazin"))).to_be_visible()
        assert page.evaluate("isSecureContext") is True
        page.goto("/#/take")
        hand.kept_for_offline(page)
        made.cable("down")
        hand.hand_in(page, "us-complete.jpg")
        hand.keep(page)
        page.get_by_role("button", name="See what was read").click()
        expect(page.get_by_text(re.compile("Waiting for a network"))).to_be_visible()
        page.reload()
        expect(page.get_by_text(re.compile("Waiting for a network"))).to_be_visible()
        expect(page.get_by_role("button", name=re.compile("Bo Terrazin"))).to_be_visible()
        made.cable("up")
        page.goto("/#/outbox")
        page.get_by_role("button", name="Send now").click()
        expect(page.get_by_text("Sent", exact=True).first).to_be_visible()
        page.get_by_role("link", name="To the unit").first.click()
        expect(hand.outcome(page)).to_be_visible()
        expect(page.get_by_role("button", name="Hold this unit")).to_be_visible()
        # what a screener may not do is no button
        assert page.get_by_role("radio", name="Release, by me").count() == 0
    laptop.goto("/#/kept")
    expect(laptop.locator("a.row").first).to_be_visible()
    names = names_in(made.folder / "data", "photos")
    assert names
    assert set(names) == {"Bo Terrazin"}


def test_a_code_that_was_used_joins_no_second_phone(laptop: Page, phone: Browser) -> None:
    link = code_for(laptop, "Cal Ostry")
    for says in ("Cal Ostry", "was used before"):
        with page_of(phone, HTTPS) as page:
            page.goto(link)
            page.get_by_role("button", name="Join", exact=True).click()
            expect(page.get_by_text(re.compile(says)).first).to_be_visible()


def test_a_browser_without_the_authority_refuses_and_the_plain_page_says_what_to_do(
    made: Room, served: str, playwright: Playwright
) -> None:
    browser = chromium(playwright, made, made.phone, made.folder / "home-stranger")
    with page_of(browser, HTTPS, known=False) as page:
        with pytest.raises(BrowserError, match="ERR_CERT_AUTHORITY_INVALID"):
            page.goto(f"{HTTPS}/")
        # A page of its own: the error's page may still be on its way in the first.
        page = page.context.new_page()
        page.goto(f"{PLAIN}/")
        expect(page.get_by_role("heading", name="Android")).to_be_visible()
        shown = page.locator(".finger").inner_text().split()
        assert len(shown) == 32
        assert "".join(shown) in "".join(served.split())
    browser.close()


def test_a_ticket_sends_photos_to_one_unit_and_reads_nothing_back(
    made: Room, laptop: Page, phone: Browser, playwright: Playwright
) -> None:
    hand.photograph(laptop, "us-complete.jpg")
    hand.seldom(laptop)
    laptop.get_by_role("link", name="Another phone, by a ticket").click()
    expect(laptop.get_by_role("heading", name="A ticket for photos")).to_be_visible()
    link = scanned(laptop)
    assert link.startswith(f"{PLAIN}/#/ticket/")
    browser = chromium(playwright, made, made.phone, made.folder / "home-ticket")
    with page_of(browser, PLAIN) as page:
        page.goto(link)
        expect(page.get_by_text(re.compile("Without https"))).to_be_visible()
        page.locator("input[type=file]").set_input_files(str(SAMPLES / "en-complete.jpg"))
        expect(page.get_by_text("Photos sent: 1.")).to_be_visible()
        for path in ("/api/units", "/api/access", "/index.html", "/plain/photos", "/sw.js"):
            assert page.request.get(f"{PLAIN}{path}").status in (404, 405)
    browser.close()
    assert names_in(made.folder / "data", "photos")[-1] == "Ines Okparo (ticket)"


def test_a_phone_that_is_taken_off_is_signed_out_and_shows_nothing_that_was_kept(
    laptop: Page, phone: Browser
) -> None:
    link = code_for(laptop, "Dov Halm")
    with page_of(phone, HTTPS) as page:
        page.goto(link)
        page.get_by_role("button", name="Join", exact=True).click()
        expect(page.get_by_role("button", name=re.compile("Dov Halm"))).to_be_visible()
        page.goto("/#/rules")
        page.wait_for_load_state("networkidle")
        assert page.evaluate(LEFT) != []
        laptop.reload()
        row = laptop.get_by_role("listitem").filter(has_text="Signed in now: Dov Halm")
        row.get_by_role("button", name=re.compile("^Take it off")).click()
        expect(row).to_have_count(0)
        page.goto("/#/consignments")
        expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
        page.goto("/#/kept")
        expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
        assert page.evaluate(LEFT) == []


def test_a_running_server_follows_when_the_hotspot_changes_its_address(
    made: Room, served: str
) -> None:
    made.inside(made.laptop, "ip", "address", "add", "172.20.10.1/28", "dev", "cable")
    made.inside(made.phone, "ip", "address", "add", "172.20.10.2/28", "dev", "cable")
    root = made.folder / "data" / "network" / "root.crt"
    asked = (
        "import ssl, sys, time, urllib.request as u\n"
        "c = ssl.create_default_context(cafile=sys.argv[1])\n"
        "for _ in range(60):\n"
        "    try:\n"
        "        print(u.urlopen(sys.argv[2], timeout=5, context=c).read().decode()); break\n"
        "    except OSError:\n"
        "        time.sleep(1)\n"
    )
    where = f"https://172.20.10.1:{PORT}/api/alive"
    told = made.inside(made.phone, sys.executable, "-c", asked, str(root), where)
    assert json.loads(told) == {"alive": True}


def test_the_name_that_stays_is_answered_in_the_room(made: Room, served: str) -> None:
    """RFC 6762, 5.4 and 6: asked by multicast from the phone's side."""
    (name,) = set(re.findall(r"https://(inkwitness-\w+\.local)", served))
    asked = (
        "import sys; from zeroconf import AddressResolver, Zeroconf, IPVersion;"
        "z = Zeroconf(interfaces=['192.168.43.7'], ip_version=IPVersion.V4Only);"
        "r = AddressResolver(sys.argv[1] + '.'); r.request(z, 5000);"
        "print(*r.parsed_addresses()); z.close()"
    )
    assert LAPTOP_ADDRESS in made.inside(made.phone, sys.executable, "-c", asked, name).split()
