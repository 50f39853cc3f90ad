"""WCAG 2.2 AA on every page and state, small screens, large text, sunlight, languages, weight."""

import gzip
import re
from collections.abc import Iterator
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, Response, expect

from tests.web import hand
from tests.web.conftest import NewPage

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
    "nowhere",
)
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def broken(page: Page, options: dict[str, Any] | None = None) -> list[str]:
    """Rules that axe-core finds broken, each with where."""
    run = {"runOnly": {"type": "tag", "values": TAGS}, **(options or {})}
    found = Axe().run(page, options=run)
    return [
        f"{page.url.split('#')[-1]}: {one['id']} at {[node['target'] for node in one['nodes']][:3]}"
        for one in found.response["violations"]
    ]


def settled(page: Page, where: str) -> None:
    hand.open_page(page, where)
    page.wait_for_load_state("networkidle")


def states(page: Page) -> Iterator[str]:
    """The states that no address leads to, one after another."""
    settled(page, "")
    page.get_by_role("button", name=re.compile("^Language")).click()
    yield "language"
    page.get_by_role("button", name="Close").click()
    page.get_by_role("button", name=re.compile("^Who is working")).click()
    yield "who"
    page.get_by_role("button", name="Close").click()
    page.goto("/#/take")
    hand.hand_in(page, "us-near-number.jpg")
    yield "look"
    hand.keep(page)
    yield "kept"
    page.get_by_role("button", name="See what was read").click()
    expect(hand.outcome(page)).to_be_visible()
    yield "outcome"
    page.get_by_role("button", name=re.compile("^The ink says this")).first.click()
    expect(page.get_by_role("button", name=re.compile("^Undo"))).to_be_visible()
    page.get_by_role("button", name=re.compile("^Correct it")).first.click()
    yield "correcting"
    page.get_by_role("link", name="Show papers only").click()
    expect(page.get_by_role("heading", name="Papers needed")).to_be_visible()
    yield "papers"
    settled(page, "bins")
    page.get_by_role("button", name=re.compile("^Opened")).click()
    yield "bin chosen"
    page.get_by_role("button", name="Put in, no photo").click()
    yield "bins filled"


def test_axe_finds_nothing_on_any_page(new_page: NewPage) -> None:
    page = new_page()
    found = []
    for where in PAGES:
        settled(page, where)
        found += broken(page)
    assert found == []


def test_axe_finds_nothing_in_any_state(new_page: NewPage) -> None:
    page = new_page()
    found = [f"{state} {one}" for state in states(page) for one in broken(page)]
    assert found == []


def test_axe_finds_a_planted_fault(new_page: NewPage) -> None:
    page = new_page()
    settled(page, "")
    page.evaluate("document.querySelector('main').append(document.createElement('button'))")
    assert any("button-name" in one for one in broken(page))


def test_sunlight_has_a_contrast_of_seven_to_one(new_page: NewPage) -> None:
    """WCAG 2.2, 1.4.6 (AAA): 7:1 for text, 4.5:1 for large text."""
    page = new_page()
    hand.remember(page, sunlight=True)
    rules = {"rules": {"color-contrast-enhanced": {"enabled": True}}}
    found = []
    for where in PAGES:
        settled(page, where)
        found += broken(page, rules)
    assert found == []


def test_nothing_scrolls_sideways_at_320_px_nor_with_text_at_200_percent(
    new_page: NewPage,
) -> None:
    """WCAG 2.2, 1.4.10 and 1.4.4."""
    page = new_page()
    page.set_viewport_size({"width": 320, "height": 640})
    page.add_init_script(
        "addEventListener('DOMContentLoaded', () => { if (localStorage.getItem('large'))"
        "document.documentElement.style.fontSize = '200%'; })"
    )
    wide = []
    for large in (False, True):
        settled(page, "")
        page.evaluate(f"localStorage.setItem('large', '{'1' if large else ''}')")
        page.reload()
        for where in PAGES:
            settled(page, where)
            wide += _too_wide(page, where, large)
        for state in states(page):
            wide += _too_wide(page, state, large)
    assert wide == []


def _too_wide(page: Page, state: str, large: bool) -> list[str]:
    width = page.evaluate("document.documentElement.scrollWidth")
    return [f"{state} large={large}: {width}"] if width > 320 else []


def test_what_is_touched_is_at_least_48_px_in_each_direction(new_page: NewPage) -> None:
    """Our own floor (job map, G32); WCAG 2.2, 2.5.8 asks for 24. Links inside sentences aside."""
    page = new_page()
    small = []
    script = """() => [...document.querySelectorAll(
        'button, .button, summary, nav a, .choice, a.row, a.chip, a.brand, select, .field > input')]
      .map(element => [element, element.getBoundingClientRect()])
      .filter(([element, box]) => box.width > 0 && !element.closest('.unseen')
        && (box.width < 47.5 || box.height < 47.5))
      .map(([element, box]) => `${element.textContent} ${box.width}x${box.height}`)"""
    for where in PAGES:
        settled(page, where)
        small += page.evaluate(script)
    for state in states(page):
        small += [f"{state}: {one}" for one in page.evaluate(script)]
    assert small == []


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


@pytest.mark.parametrize("code", ["es", "fr", "pt", "hi"])
def test_a_language_fits_on_a_small_screen(new_page: NewPage, code: str) -> None:
    page = new_page()
    page.set_viewport_size({"width": 320, "height": 640})
    hand.remember(page, language=code)
    found = []
    for where in ("", "take", "bins", "sampling", "more"):
        settled(page, where)
        found += _too_wide(page, where, large=False) + broken(page)
    assert found == []


def test_turned_right_to_left_nothing_scrolls_sideways(new_page: NewPage) -> None:
    page = new_page()
    for where in PAGES:
        settled(page, where)
        page.evaluate("document.documentElement.dir = 'rtl'")
        assert page.evaluate("document.documentElement.scrollWidth") <= 360, where


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
