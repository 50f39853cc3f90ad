"""What an ordinary unit costs the person with the phone: screens and taps, counted in the browser.

The numbers are the project's own aim (issue 25, points 1 and 2): four screens of 360 by 740 pixels,
six taps from the opened unit to the stored decision, four for a wrong year of a standard.
"""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.web import hand
from tests.web.conftest import NewPage
from tests.web.serving import PHONE, SAMPLES

pytestmark = pytest.mark.browser


def screens(page: Page) -> float:
    """How many screens of a small phone the page is long."""
    return float(page.evaluate("document.documentElement.scrollHeight")) / PHONE["height"]


def test_an_ordinary_unit_is_four_screens_and_six_taps(new_page: NewPage, complete: str) -> None:
    page = new_page()
    taps = hand.count_taps(page)
    hand.open_unit(page, complete)
    foot = page.get_by_role("contentinfo").bounding_box()
    answer = hand.outcome(page).bounding_box()
    assert foot is not None
    assert answer is not None
    # Outcome, reason and next step stand in the first screen, above what stays at its foot.
    expect(hand.outcome(page)).to_contain_text("Why:")
    expect(hand.outcome(page)).to_contain_text("Next:")
    assert answer["y"] + answer["height"] <= foot["y"]
    assert screens(page) <= 4
    hand.name_print(page, "VEXHOLM", "Maker")
    hand.name_print(page, "VX-2100", "Model")
    hand.confirm(page, "Approval number")
    page.get_by_role("button", name=re.compile("^The ink says all of these")).click()
    expect(hand.outcome(page)).to_contain_text("No conflict found")
    expect(page.get_by_text("Every mark that was read is confirmed.")).to_be_visible()
    assert screens(page) <= 4
    page.get_by_role("button", name="Hold this unit").click()
    expect(page.get_by_text("HOLD", exact=True)).to_be_visible()
    stored = page.request.get(f"/api/units/{complete}").json()
    assert [one["disposition"] for one in stored["decisions"]] == ["hold"]
    assert len(stored["confirmations"]) == 6
    assert taps() <= 6


def test_what_is_folded_opens_from_the_keyboard(new_page: NewPage, complete: str) -> None:
    """WCAG 2.2, 2.1.1; what is folded says how many it holds."""
    page = new_page()
    hand.open_unit(page, complete)
    folded = page.locator("summary").filter(has_text="Report, papers and more: 6")
    folded.focus()
    page.keyboard.press("Enter")
    for name in ("Report (PDF)", "Next steps (PDF)", "Show papers only", "Construction"):
        expect(page.get_by_role("link", name=name)).to_be_visible()
    for held in ("Take a photo back", "Put into a consignment"):
        expect(page.get_by_text(held, exact=True)).to_be_visible()


def test_a_wrong_year_of_a_standard_is_put_right_with_four_taps(
    new_page: NewPage, address: str
) -> None:
    """As if its last digit were read wrong: a tap on the mark, on the letter, and to keep it."""
    page = new_page()
    taps = hand.count_taps(page)
    unit = hand.send(address, SAMPLES / "en-complete.jpg")
    hand.open_unit(page, unit)
    card = hand.mark(page, "Standard")
    card.get_by_role("button", name=re.compile("^(Correct it|I can read it)")).click()
    card.get_by_role("group", name="The letters").get_by_role("button").last.click()
    page.keyboard.press("8")
    card.get_by_role("button", name="Confirm these letters").click()
    expect(card.get_by_text("Confirmed", exact=True)).to_be_visible()
    expect(card).to_contain_text("A1:2008")
    assert taps() <= 4
