"""WCAG 2.2 AA on every page and state, small screens, large text, sunlight, languages, weight."""

import gzip
import re
from collections.abc import Iterator
from typing import Any

import pytest
from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Browser, Page, Response, expect

from tests.web import hand
from tests.web.conftest import NewPage, phones
from tests.web.serving import PHONE

pytestmark = pytest.mark.browser

PAGES = (
    "",
    "take",
    "kept",
    "more",
    "roll",
    "bins",
    "sampling",
    "holders",
    "rules",
    "consignments",
    "consignment/new",
    "outbox",
    "stock",
    "find",
    "offers",
    "import",
    "holders/import",
    "nowhere",
)
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
# Only what is broken is told in full: an answer with all that is in order takes long to carry over.
BROKEN = {"resultTypes": ["violations"]}
NORMAL = {**BROKEN, "runOnly": {"type": "tag", "values": TAGS}}
# WCAG 2.2, 1.4.6 (AAA): 7:1 for text, 4.5:1 for large text.
SUNLIGHT = {**BROKEN, "runOnly": {"type": "rule", "values": ["color-contrast-enhanced"]}}
Found = dict[str, list[str]]


def broken(page: Page, options: dict[str, Any] = NORMAL) -> list[str]:
    """Rules that axe-core finds broken, each with where."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE_SCRIPT)
    # How far the page is scrolled is chance: half a field under the foot is no small target.
    foot = "for (const foot of document.querySelectorAll('.foot')) foot.style.position = "
    page.evaluate(f"{foot} 'static'")
    found = list(
        page.evaluate(
            """async options => (await axe.run(options)).violations.map(({ id, nodes }) =>
              `${location.hash}: ${id} at ${nodes.slice(0, 3).map(({ target }) => target)}`)""",
            options,
        )
    )
    page.evaluate(f"{foot} ''")
    return found


def too_small(page: Page) -> list[str]:
    """What is touched and is less than 48 px high or wide. Links inside sentences aside."""
    script = """() => [...document.querySelectorAll(
        'button, .button, summary, nav a, .choice, a.row, a.chip, a.brand, select, .field > input')]
      .map(element => [element, element.getBoundingClientRect()])
      .filter(([element, box]) => box.width > 0 && !element.closest('.unseen')
        && (box.width < 47.5 || box.height < 47.5))
      .map(([element, box]) => `${element.textContent} ${box.width}x${box.height}`)"""
    return list(page.evaluate(script))


def too_wide(page: Page, width: int) -> list[str]:
    """How wide the page is, where it is wider than the screen."""
    wide = page.evaluate("document.documentElement.scrollWidth")
    return [f"{wide} px on {width}"] if wide > width else []


def too_narrow(page: Page) -> list[str]:
    """Words that stand in columns of a few letters, so that nobody can read them."""
    script = """() => [...document.querySelectorAll('main :is(dd, td, tbody th)')]
      .filter((cell) => cell.textContent.trim().length > 6 && cell.clientWidth > 0
        && cell.clientWidth < 5 * parseFloat(getComputedStyle(cell).fontSize))
      .map((cell) => `${cell.textContent} in ${cell.clientWidth} px`)"""
    return list(page.evaluate(script))


def look_at(page: Page, state: str, found: Found) -> None:
    """Look at what is shown in each way that a person may have set; then it stands as before."""

    def note(kind: str, wrong: list[str]) -> None:
        found.setdefault(kind, []).extend(f"{state}: {one}" for one in wrong)

    note("axe", broken(page))
    note("touch", too_small(page))
    html = "document.documentElement"
    page.evaluate(f"{html}.toggleAttribute('data-sun', true)")
    note("sunlight", broken(page, SUNLIGHT))
    page.evaluate(f"{html}.toggleAttribute('data-sun', false)")
    page.emulate_media(color_scheme="dark")
    note("dark", broken(page, SUNLIGHT))
    page.emulate_media(color_scheme="light")
    page.evaluate(f"{html}.dir = 'rtl'")
    note("right to left", too_wide(page, PHONE["width"]))
    page.evaluate(f"{html}.dir = 'ltr'")
    page.set_viewport_size({"width": 320, "height": 640})
    note("320 px", too_wide(page, 320))
    resized = "window.dispatchEvent(new Event('resize'))"
    page.evaluate(f"{html}.style.fontSize = '200%'; {resized}")
    note("200 % text", too_wide(page, 320))
    note("letters in a column", too_narrow(page))
    page.evaluate(f"{html}.style.fontSize = ''")
    page.set_viewport_size(PHONE)  # type: ignore[arg-type]


def settled(page: Page, where: str) -> None:
    hand.open_page(page, where)
    page.wait_for_load_state("networkidle")


def all_open(page: Page) -> None:
    """Open every part of the page that is folded."""
    page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")


def states(page: Page) -> Iterator[str]:
    """Every page, and every state that no address leads to, one after another."""
    for where in PAGES:
        settled(page, where)
        yield f"#/{where}"
    settled(page, "")
    page.get_by_role("button", name=re.compile("^Language")).click()
    yield "language"
    page.get_by_role("button", name="Close").click()
    page.get_by_role("button", name=re.compile("^Who is working")).click()
    yield "who"
    page.get_by_role("button", name="Close").click()
    yield from _taking(page)
    yield from _one_unit(page)
    yield from _bins_and_draw(page)
    yield from _consignment(page)
    yield from _away(page)


def _taking(page: Page) -> Iterator[str]:
    settled(page, "take")
    page.get_by_role("button", name=re.compile("in a row")).click()
    expect(page.get_by_role("group", name=re.compile("^The sharpest"))).to_be_visible()
    expect(page.get_by_text(re.compile("Looked at on this phone"))).to_be_visible()
    yield "burst"
    page.get_by_role("button", name="Take it again").click()
    hand.hand_in(page, "us-near-number.jpg")
    yield "look"
    hand.keep(page)
    yield "kept"
    page.get_by_role("group", name="Another side").get_by_role("button", name="Box").click()
    hand.hand_in(page, "us-complete.jpg")
    hand.keep(page, surface="Box")
    page.get_by_role("button", name="See what was read").click()


def _one_unit(page: Page) -> Iterator[str]:
    together = page.get_by_role("radio", name="All sides together")
    expect(together).to_be_checked()
    yield "all sides together"
    page.get_by_role("radio", name="1 · Facepiece").check(force=True)
    yield "a doubtful mark"
    page.get_by_role("button", name="Enlarge").click()
    page.get_by_role("button", name=re.compile("^The ink says this")).first.click()
    expect(page.get_by_role("button", name=re.compile("^Undo"))).to_be_visible()
    page.get_by_role("button", name=re.compile("^Correct it")).first.click()
    yield "confirmed one mark, correcting another"
    for folded in ("What the class is", "Looked at, and not", "The authority's own list"):
        hand.unfold(page, folded)
    page.get_by_text("Keep a look-up", exact=True).click()
    hand.seldom(page)
    yield "look-up, and all that is folded"
    page.get_by_role("link", name="Show papers only").click()
    expect(page.get_by_role("heading", name="Papers needed")).to_be_visible()
    yield "papers"
    page.get_by_role("button", name="Close").click()
    hand.unfold(page, "What to do")
    page.get_by_role("button", name="Set aside, with a reason").first.click()
    yield "setting a finding aside"
    hand.seldom(page)
    page.get_by_text("Take a photo back", exact=True).click()
    yield "taking a photo back"
    page.get_by_role("link", name="Construction and condition").click()
    expect(page.get_by_role("button", name="Keep")).to_be_visible()
    all_open(page)
    yield "construction"
    page.go_back()
    page.evaluate("sessionStorage.typed = '1'")
    page.reload()
    expect(page.get_by_role("heading", name="First, what do you read?")).to_be_visible()
    yield "typed first"
    page.get_by_label("The approval number, as printed").fill("TC-84A-9")
    page.get_by_role("button", name="That is what I see").click()
    expect(page.get_by_text("You and the reader differ.")).to_be_visible()
    yield "typed first, and differs"
    page.evaluate("delete sessionStorage.typed; localStorage.setItem('ink.typedFirst', '0')")


def _bins_and_draw(page: Page) -> Iterator[str]:
    page.goto("/#/bins")
    page.reload()
    page.get_by_role("button", name=re.compile("^Opened")).click()
    yield "bin chosen"
    page.get_by_role("button", name="Put in, no photo").click()
    yield "bins filled"
    settled(page, "sampling")
    page.get_by_role("button", name="Draw").click()
    expect(page.get_by_text(re.compile("ticked off"))).to_be_visible()
    yield "drawn"


def _consignment(page: Page) -> Iterator[str]:
    settled(page, "consignment/new")
    hand.declare(page, "Delivery of the states", units=40000, cartons=100)
    yield "consignment"
    hand.draw(page, "PO 1188; dice 4 1 6")
    page.get_by_role("button", name="Hold all of it").click()
    expect(page.get_by_text("HOLD – do not use.")).to_be_visible()
    page.get_by_role("radio", name="Release, by me").check(force=True)
    yield "consignment held, and its release asked for"
    where = page.url.split("#/")[1]
    for part in ("about", "papers", "give-out", "product", "walk"):
        settled(page, f"{where}/{part}")
        all_open(page)
        yield f"consignment, {part}"
    settled(page, where)
    page.get_by_role("link", name=re.compile("^To the sample")).click()
    expect(page.get_by_text("left, of")).to_be_visible()
    yield "sample"


def _away(page: Page) -> Iterator[str]:
    page.context.set_offline(True)
    page.get_by_role("link", name="Photograph", exact=True).last.click()
    hand.hand_in(page, "us-complete.jpg")
    hand.keep(page)
    page.get_by_role("button", name="See what was read").click()
    expect(page.get_by_text(re.compile("Waiting for a network"))).to_be_visible()
    yield "waiting for a network"
    page.goto("/#/outbox")
    expect(page.get_by_text("Waiting to be sent")).to_be_visible()
    yield "outbox with something waiting"
    page.context.set_offline(False)
    expect(page.get_by_text("Waiting to be sent")).to_have_count(0)


@pytest.fixture(scope="module")
def found(browser: Browser, address: str) -> Found:
    """What is wrong in any state, by kind: one visit to all of them."""
    wrong: Found = {}
    with phones(browser, address) as opens:
        page = opens()
        flag = "if (sessionStorage.typed) localStorage.setItem('ink.typedFirst', '1');"
        page.add_init_script(flag)
        for state in states(page):
            look_at(page, state, wrong)
    return wrong


def test_axe_finds_nothing_on_any_page_and_in_any_state(found: Found) -> None:
    """WCAG 2.2, level AA, as far as axe-core can tell."""
    assert found["axe"] == []


def test_sunlight_has_a_contrast_of_seven_to_one_on_every_page_and_state(found: Found) -> None:
    """WCAG 2.2, 1.4.6 (AAA): 7:1 for text, 4.5:1 for large text."""
    assert found["sunlight"] == []


def test_a_dark_room_has_a_contrast_of_seven_to_one_on_every_page_and_state(found: Found) -> None:
    assert found.get("dark") == []


def test_words_stay_words_at_320_px_with_text_at_200_percent(found: Found) -> None:
    """WCAG 2.2, 1.4.4: no loss of content; that a word stays whole is common practice."""
    assert found["letters in a column"] == []


def test_nothing_scrolls_sideways_at_320_px_nor_with_text_at_200_percent(found: Found) -> None:
    """WCAG 2.2, 1.4.10 and 1.4.4."""
    assert found["320 px"] + found["200 % text"] == []


def test_turned_right_to_left_nothing_scrolls_sideways(found: Found) -> None:
    assert found["right to left"] == []


def test_what_is_touched_is_at_least_48_px_in_each_direction(found: Found) -> None:
    """Our own floor (job map, G32); WCAG 2.2, 2.5.8 asks for 24."""
    assert found["touch"] == []


def test_each_look_finds_a_planted_fault(new_page: NewPage) -> None:
    page, wrong = new_page(), Found()
    settled(page, "")
    page.evaluate(
        """() => { const main = document.querySelector('main');
        main.insertAdjacentHTML('beforeend', `<button></button><p>Grey</p><p>Wide</p>
        <dl><dt>Mark</dt><dd>Words in a column</dd></dl>`);
        const [grey, wide] = [...main.querySelectorAll('p')].slice(-2);
        Object.assign(grey.style, { color: '#767676', background: '#fff' });
        wide.style.minWidth = '30rem';
        [...main.querySelectorAll('dd')].at(-1).style.width = '3rem'; }"""
    )
    look_at(page, "planted", wrong)
    assert any("button-name" in one for one in wrong["axe"])
    assert all(wrong.values())


def test_the_switch_to_sunlight_is_what_was_looked_at(new_page: NewPage) -> None:
    page = new_page()
    settled(page, "more")
    page.get_by_role("checkbox", name=re.compile("^Sunlight")).check(force=True)
    expect(page.locator("html")).to_have_attribute("data-sun", "")


def test_the_language_is_switched_in_two_taps_and_english_stands_beside_an_unread_one(
    new_page: NewPage,
) -> None:
    page = new_page()
    settled(page, "")
    page.get_by_role("button", name=re.compile("^Language")).click()
    page.get_by_role("button", name="Français").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Que dit l'encre ?")
    foot = page.get_by_role("contentinfo")
    expect(foot).to_contain_text("Pas une preuve d'authenticité.")
    expect(foot).to_contain_text("Not proof of authenticity.")
    assert page.locator("html").get_attribute("lang") == "fr"


@pytest.mark.parametrize("code", ["es", "fr", "pt", "hi", "ar"])
def test_a_language_fits_on_a_small_screen(new_page: NewPage, code: str) -> None:
    page = new_page()
    page.set_viewport_size({"width": 320, "height": 640})
    hand.remember(page, language=code)
    found = []
    for where in ("", "take", "bins", "sampling", "more"):
        settled(page, where)
        found += too_wide(page, 320) + broken(page)
    assert found == []
    way = page.evaluate("getComputedStyle(document.querySelector('h1')).direction")
    assert way == ("rtl" if code == "ar" else "ltr")


def test_a_unit_in_arabic_runs_from_right_to_left_and_its_print_does_not(
    new_page: NewPage,
) -> None:
    page = new_page()
    hand.remember(page, language="ar")
    hand.open_page(page)
    kept = page.request.get("/api/units").json()["units"]
    hand.open_unit(page, next(one["unit_id"] for one in kept if "us-complete" in one["label"]))
    letters = page.locator(".letters").first
    expect(letters).to_be_visible()
    assert page.locator("html").get_attribute("dir") == "rtl"
    assert letters.evaluate("one => getComputedStyle(one).direction") == "ltr"
    assert too_wide(page, PHONE["width"]) + broken(page) == []


def test_a_mark_is_confirmed_and_taken_back_from_the_keyboard(
    new_page: NewPage, complete: str
) -> None:
    page = new_page()
    hand.open_unit(page, complete)
    confirm = page.get_by_role("button", name=re.compile("^The ink says this: Approval number"))
    confirm.focus()
    page.keyboard.press("Enter")
    expect(hand.mark(page, "Approval number").get_by_text("Confirmed", exact=True)).to_be_visible()
    undo = page.get_by_role("button", name="Undo: Approval number")
    undo.focus()
    page.keyboard.press("Space")
    expect(confirm).to_be_visible()


def test_the_first_load_is_under_150_kb_of_script(new_page: NewPage) -> None:
    """Compressed, as a server that compresses would send it."""
    page = new_page()
    scripts: list[Response] = []

    def note(response: Response) -> None:
        if response.request.resource_type == "script":
            scripts.append(response)

    page.on("response", note)
    page.goto("/")
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    sizes = [len(gzip.compress(response.body())) for response in scripts]
    assert sizes
    assert sum(sizes) < 150_000
