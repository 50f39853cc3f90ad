"""The pages of accounts and of the plain port: WCAG 2.2 AA, 48 px, small screens, large text."""

import os
import re
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import Page, Playwright, expect

from tests.access.conftest import PASSWORD
from tests.ports import free_port
from tests.web.serving import PHONE, ROOT, SAMPLES, launch, phone
from tests.web.test_access import Found, look_at

pytestmark = pytest.mark.browser
NETWORK = ("2 /api/alive", "1 /plain/about")


@contextmanager
def served(
    folder: Path, *options: str, waits: tuple[str, ...] = NETWORK
) -> Iterator[tuple[int, str]]:
    """`inkwitness serve` that reads nothing; its port and what it printed.

    `waits` are what has to answer first: a step from the port, and a path there.
    """
    port = free_port(3)
    folder.mkdir(parents=True, exist_ok=True)
    log = folder / "server.log"
    command = [sys.executable, "-m", "inkwitness", "serve", *options]
    command += ["--data", str(folder), "--port", str(port)]
    env = {**os.environ, "PYTHONUNBUFFERED": "1", "INKWITNESS_WORKERS": "0"}
    env["INKWITNESS_READER"] = "tests.api.fake_checker:build"
    env["INKWITNESS_JUDGE"] = "tests.api.fake_checker:build_judge"
    with log.open("wb") as out:
        process = subprocess.Popen(command, env=env, cwd=ROOT, stdout=out, stderr=subprocess.STDOUT)
        try:
            for _ in range(1500):
                assert process.poll() is None, log.read_text()
                try:
                    for one in waits:
                        step, _, path = one.partition(" ")
                        where = f"http://127.0.0.1:{port + int(step)}{path}"
                        urllib.request.urlopen(where, timeout=5).close()
                    break
                except (urllib.error.URLError, OSError):
                    time.sleep(0.2)
            yield port, log.read_text(encoding="utf-8")
        finally:
            process.terminate()
            process.wait(timeout=120)


def states(page: Page, own: str, plain: str, said: str) -> Iterator[str]:
    """Every page that accounts and the room add, one after another."""
    page.goto(f"{own}/")
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    yield "nobody has an account"
    link = re.search(rf"{own}/#/first/\S+", said)
    assert link, said
    page.goto(link.group())
    page.get_by_label("Name", exact=True).fill("Ines Okparo")
    page.get_by_label(re.compile("^Password")).fill(PASSWORD)
    yield "first link"
    page.get_by_role("button", name="Make the account").click()
    expect(page.get_by_role("heading", name="People and devices")).to_be_visible()
    page.get_by_label("Name", exact=True).fill("Bo Terrazin")
    page.get_by_role("button", name="Add", exact=True).click()
    page.get_by_role("button", name="Code for a device Bo Terrazin").click()
    expect(page.get_by_role("img", name="QR code")).to_be_visible()
    page.get_by_text("Roles, shared tablet, remove").first.click()
    yield "people"
    code = page.locator("b.ink").inner_text()
    page.goto(f"{own}/#/consignment/new")
    page.get_by_label("What you call it").fill("FICTIONAL delivery")
    page.get_by_role("button", name="Keep it").click()
    # with accounts the house is whoever has one, not the names that this phone has seen
    who = page.get_by_label("Who sees to it?")
    expect(who.get_by_role("option")).to_have_text(
        ["Whoever decides", "Bo Terrazin", "Ines Okparo"]
    )
    who.select_option("Bo Terrazin")
    page.get_by_role("button", name="Hold all of it").click()
    expect(page.get_by_text("Bo Terrazin sees to it.")).to_be_visible()
    expect(who).to_have_value("")
    yield "who sees to it"
    for where, heading in (("me", "My devices"), ("network", re.compile("trust the server"))):
        page.goto(f"{own}/#/{where}")
        expect(page.get_by_role("heading", name=heading)).to_be_visible()
        yield where
    page.get_by_role("button", name=re.compile("^Who is working")).click()
    yield "account"
    page.get_by_role("button", name="Sign out").click()
    expect(page.get_by_role("heading", name="By name and password")).to_be_visible()
    yield "signed out"
    page.goto(f"{own}/#/join/{code}")
    expect(page.get_by_role("heading", name="Join this device")).to_be_visible()
    yield "join"
    page.get_by_role("button", name="Join", exact=True).click()
    expect(page.get_by_role("button", name=re.compile("Bo Terrazin"))).to_be_visible()
    page.goto(f"{own}/#/people")
    expect(page.get_by_role("heading", name="Your role does not cover this")).to_be_visible()
    yield "a role that does not cover it"
    page.goto(f"{plain}/")
    expect(page.get_by_role("link", name="Get the authority's certificate")).to_be_visible()
    yield "plain door"
    page.goto(f"{plain}/#/ticket/AAAA-BBBB-CCCC-DDDD")
    page.locator("input[type=file]").set_input_files(str(SAMPLES / "us-complete.jpg"))
    expect(page.get_by_role("alert")).to_contain_text("This code is wrong")
    yield "plain ticket"


def test_every_page_of_accounts_can_be_used_by_everybody(
    tmp_path: Path, playwright: Playwright
) -> None:
    """WCAG 2.2 (2023), levels A and AA, as axe-core looks; 48 px is the project's own."""
    found: Found = {}
    with served(tmp_path / "data", "--network") as (port, said):
        browser = launch(playwright)
        own, plain = f"http://127.0.0.1:{port + 2}", f"http://127.0.0.1:{port + 1}"
        page = phone(browser, own, person="").new_page()
        complaints: list[str] = []
        page.on("pageerror", lambda error: complaints.append(str(error)))
        for state in states(page, own, plain, said):
            page.set_viewport_size(PHONE)  # type: ignore[arg-type]
            look_at(page, state, found)
        browser.close()
    assert complaints == []
    assert {kind: wrong for kind, wrong in found.items() if wrong} == {}
