"""A mark beside its ink, and what a person says of it."""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.web import hand
from tests.web.conftest import NewPage
from tests.web.test_access import broken

pytestmark = pytest.mark.browser


def test_a_doubtful_mark_has_no_one_tap_yes(new_page: NewPage, small_print: str) -> None:
    """The letters of the first are laid out; those of a further one at a tap on it."""
    page = new_page()
    hand.open_unit(page, small_print)
    doubtful = page.get_by_role("article").filter(has=page.get_by_text("Doubtful", exact=True))
    expect(doubtful.first).to_be_visible()
    expect(page.get_by_role("button", name="Confirm these letters")).to_have_count(1)
    for number in range(doubtful.count()):
        card = doubtful.nth(number)
        expect(card.get_by_role("button", name=re.compile("^The ink says this"))).to_have_count(0)
        if number > 0:
            expect(card.get_by_role("list", name="Why it is doubtful")).to_be_visible()
            card.get_by_role("button", name=re.compile("^Correct it")).click()
        expect(card.get_by_role("button", name="Confirm these letters")).to_be_disabled()


def test_the_parts_of_two_items_in_one_photo_have_names_of_their_own(
    new_page: NewPage, small_print: str
) -> None:
    """WCAG 2.2, 2.4.6, as axe looks for it (landmark-unique)."""
    page = new_page()
    hand.open_unit(page, small_print)
    expect(page.get_by_role("region", name=re.compile("What it shows$"))).to_have_count(2)
    assert broken(page) == []


def test_each_doubtful_letter_is_chosen_before_the_mark_can_be_confirmed(
    new_page: NewPage, small_print: str
) -> None:
    page = new_page()
    hand.open_unit(page, small_print)
    doubtful = page.get_by_role("article").filter(has=page.get_by_text("Doubtful", exact=True))
    name = str(doubtful.first.get_attribute("aria-label"))
    card = hand.mark(page, name)
    open_letters = card.get_by_role("button", name=re.compile("doubtful$"))
    while open_letters.count():
        open_letters.first.click()
        card.get_by_role("button", name=re.compile("^It is")).first.click()
    card.get_by_role("button", name="Confirm these letters").click()
    expect(card.get_by_text("Confirmed", exact=True)).to_be_visible()
    page.get_by_role("button", name=re.compile("^Undo")).click()
    expect(card.get_by_text("Doubtful", exact=True)).to_be_visible()


def test_a_number_typed_first_is_nowhere_on_the_page_before(new_page: NewPage) -> None:
    page = new_page(first=1)
    hand.photograph_until(page, "us-complete.jpg", "First, what do you read?")
    assert "9621" not in page.locator("body").inner_text()
    assert "9621" not in page.locator("main").evaluate("main => main.outerHTML")
    asked = page.request.get("/api/agreement").json()
    page.get_by_label("The approval number, as printed").fill("TC-84A-9621")
    page.get_by_role("button", name="That is what I see").click()
    expect(page.get_by_text("You and the reader saw the same.")).to_be_visible()
    page.get_by_role("button", name="Go on").click()
    expect(hand.outcome(page)).to_be_visible()
    expect(hand.mark(page, "Approval number").get_by_text("Confirmed", exact=True)).to_be_visible()
    after = page.request.get("/api/agreement").json()
    assert (after["asked"], after["same"]) == (asked["asked"] + 1, asked["same"] + 1)


def test_a_person_says_that_a_mark_cannot_be_read(new_page: NewPage, complete: str) -> None:
    page = new_page()
    hand.open_unit(page, complete)
    page.get_by_role("button", name="Correct it: Lot").click()
    hand.mark(page, "Lot").get_by_role("button", name="Cannot be read").click()
    expect(hand.mark(page, "Lot")).to_contain_text("A person says: cannot be read.")
    expect(hand.mark(page, "Lot")).to_contain_text("By Samira Kholvane")


def test_the_photo_is_enlarged_by_button_and_by_two_fingers(
    new_page: NewPage, complete: str
) -> None:
    page = new_page()
    hand.open_unit(page, complete)
    page.get_by_role("button", name="Enlarge").click()
    expect(page.get_by_role("button", name="Whole photo")).to_be_visible()
    page.get_by_role("button", name="Whole photo").click()
    _pinch(page)
    expect(page.get_by_role("button", name="Whole photo")).to_be_visible()


def _pinch(page: Page) -> None:
    """Two fingers move apart on the photo."""
    photo = page.get_by_role("img", name=re.compile("The photo, with"))
    photo.scroll_into_view_if_needed()
    box = photo.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    client = page.context.new_cdp_session(page)

    def touch(kind: str, apart: float) -> None:
        points = [{"x": x - apart, "y": y, "id": 1}, {"x": x + apart, "y": y, "id": 2}]
        ended = kind == "touchEnd"
        client.send(
            "Input.dispatchTouchEvent", {"type": kind, "touchPoints": [] if ended else points}
        )

    touch("touchStart", 20)
    for apart in (30, 45, 60, 80):
        touch("touchMove", apart)
    touch("touchEnd", 80)


def test_the_official_list_is_kept_apart_from_ones_own(new_page: NewPage, complete: str) -> None:
    page = new_page()
    hand.open_unit(page, complete)
    section = page.get_by_role("region", name="The authority's own list")
    expect(section).to_contain_text("Not looked up on the authority's own list.")
    hand.unfold(page, "The authority's own list")
    section.get_by_text("Keep a look-up").click()
    section.get_by_label("Which list").fill("Invented register")
    expect(section.get_by_label("Asked for")).to_have_value("TC-84A-9621")
    section.get_by_role("radio", name="Not listed").check(force=True)
    section.get_by_label("Its words").fill("No record was found.")
    section.get_by_role("button", name="Keep the look-up").click()
    expect(section).to_contain_text("Invented register")
    expect(page.get_by_role("region", name="Your list")).not_to_contain_text("Invented register")


def test_a_facepiece_in_another_box_is_a_conflict_with_both_inks_side_by_side(
    new_page: NewPage,
) -> None:
    page = new_page()
    page.goto("/#/take")
    hand.hand_in(page, "us-complete.jpg")
    hand.keep(page, surface="Facepiece")
    page.get_by_role("group", name="Another side").get_by_role("button", name="Box").click()
    hand.hand_in(page, "us-rescinded.jpg")
    hand.keep(page, surface="Box")
    page.get_by_role("button", name="See what was read").click()
    together = page.get_by_role("radio", name="All sides together")
    expect(together).to_be_checked()
    expect(hand.outcome(page)).to_contain_text("Conflict found")
    shows = page.get_by_role("region", name="What it shows")
    finding = shows.get_by_role("listitem").filter(has_text="facepiece").filter(has_text="box")
    both = finding.first.get_by_role("img", name=re.compile("^The ink of: "))
    expect(both).to_have_count(2)
    page.get_by_role("button", name="Facepiece, photo 1").first.click()
    confirm = page.get_by_role("button", name="The ink says this: Approval number TC-84A-9621")
    confirm.click()
    expect(hand.mark(page, "Approval number").get_by_text("Confirmed", exact=True)).to_be_visible()
    together.check(force=True)
    marks = page.get_by_role("region", name="Each mark and where it stands")
    number = marks.get_by_role("listitem").filter(has_text="TC-84A-9621")
    expect(number).to_contain_text("Confirmed")
