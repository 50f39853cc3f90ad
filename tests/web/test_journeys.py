"""The three people, from a cold start to what they take away."""

import re
import time
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.web import hand
from tests.web.conftest import NewPage
from tests.web.serving import PATIENCE

pytestmark = pytest.mark.browser


def test_the_pharmacist_gets_from_one_box_and_three_units_to_a_report(new_page: NewPage) -> None:
    """Issue: box and three units, under five minutes of taps. A tap is counted as 4 s."""
    page = new_page(person="")
    taps = 0
    hand.open_page(page)
    sides = [("us-carton.jpg", "Carton"), ("", "Facepiece"), ("us-complete.jpg", "Facepiece")]
    sides.append(("us-complete.jpg", "Facepiece"))
    page.get_by_role("link", name="Photograph", exact=True).click()
    taps += 1
    for number, (photo, surface) in enumerate(sides):
        if photo:
            hand.hand_in(page, photo)
        else:
            page.get_by_role("button", name="Take the photo").click()
            expect(page.get_by_text(re.compile("Looked at on this phone"))).to_be_visible()
        hand.keep(page, surface=surface)
        if number == 0:
            page.get_by_label("Another name").fill("Samira Kholvane")
            page.get_by_role("button", name="Use this name").click()
            taps += 3
        expect(page.get_by_role("heading", name="Kept on this phone")).to_be_visible()
        taps += 3
        if number + 1 < len(sides):
            page.get_by_role("link", name="Next unit").click()
            taps += 1
    page.get_by_role("button", name="See what was read").click()
    expect(hand.outcome(page)).to_contain_text("No conflict found")
    expect(hand.outcome(page)).to_contain_text("To be confirmed")
    for name in ("Approval number", "Filter class", "Maker or holder"):
        hand.mark(page, name).get_by_role("button", name=re.compile("^The ink says this")).click()
        expect(hand.mark(page, name).get_by_text("Confirmed", exact=True)).to_be_visible()
        taps += 1
    expect(hand.outcome(page)).to_contain_text("Confirmed in part")
    expect(page.get_by_role("contentinfo")).to_contain_text("Not proof of authenticity")
    with page.expect_popup() as popup, page.context.expect_page():
        page.get_by_role("link", name="Report (PDF)").click()
    taps += 2
    report = page.request.get(
        str(page.get_by_role("link", name="Report (PDF)").get_attribute("href"))
    )
    assert popup.value is not None
    assert report.body().startswith(b"%PDF")
    assert taps * 4 < 300


def test_the_walk_in_carton_of_scenario_five(new_page: NewPage) -> None:
    """Job map of this project, section 8, scenario 5 (without the person-in-frame line)."""
    page = new_page()
    page.goto("/#/take")
    hand.hand_in(page, "us-number-missing-sideways.jpg")
    page.get_by_role("checkbox", name="Ear loops").check(force=True)
    hand.keep(page)
    page.get_by_role("button", name="See what was read").click()
    expect(hand.outcome(page)).to_contain_text("missing")
    # The person looks letter by letter: the print is misspelt, and the page does not put it right.
    hand.settle(page, "Agency", "NOISH")
    expect(hand.mark(page, "Agency")).to_contain_text("NOISH")
    expect(hand.outcome(page)).to_contain_text("Conflict found")
    page.get_by_role("link", name="Show papers only").click()
    expect(page.get_by_role("heading", name="Papers needed")).to_be_visible()
    words = page.locator("body").inner_text()
    assert not re.search(r"conflict|missing|NOISH|Halcyra|▲|\bhold\b", words, re.IGNORECASE)
    page.get_by_role("button", name="Close").click()
    expect(hand.outcome(page)).to_contain_text("Conflict found")


def test_the_officer_looks_at_a_sample_of_59(new_page: NewPage, small_photo: Path) -> None:
    """From declaring 40,000 units to a held consignment with a report."""
    page = new_page(person="Ines Okparo")
    hand.open_page(page, "consignment/new")
    hand.declare(page, "Delivery of fifty-nine", units=40000, cartons=100)
    hand.draw(page, "PO 1188; dice 4 1 6 2 5 3")
    expect(page.get_by_text("59", exact=True)).to_be_visible()
    page.get_by_role("link", name="To the sample: 59 left").click()
    for left in range(59, 0, -1):
        expect(page.get_by_text(str(left), exact=True).first).to_be_visible()
        page.get_by_role("link", name="Photograph", exact=True).first.click()
        page.locator("input[type=file]").set_input_files(str(small_photo))
        expect(page.get_by_role("button", name="Yes, all of it")).to_be_enabled()
        page.get_by_role("button", name="Yes, all of it").click()
    expect(page.get_by_text("Every drawn unit is photographed.")).to_be_visible()
    _all_read(page, 59)
    page.get_by_role("link", name="See what it shows").click()
    expect(page.get_by_text("59 units looked at, of 40000 declared.")).to_be_visible()
    page.get_by_role("radio", name="Release, by me").check(force=True)
    page.get_by_label("Why, in a few words").fill("Wanted today")
    page.get_by_role("button", name="Keep this decision").click()
    expect(page.get_by_role("alert")).to_contain_text("cannot be released yet")
    page.get_by_role("button", name="Hold all of it").click()
    expect(page.get_by_text("HOLD – do not use.")).to_be_visible()
    link = page.get_by_role("link", name="Report (PDF)").get_attribute("href")
    assert page.request.get(str(link)).body().startswith(b"%PDF")


def _all_read(page: "hand.Page", units: int) -> None:
    """Wait until the server has read what was sent; it may take as long as it gets on."""
    where = page.url.split("/consignment/")[1].split("/")[0]
    looked_at = -1
    while looked_at < units:
        before, started = looked_at, time.monotonic()
        while looked_at == before:
            assert time.monotonic() - started < PATIENCE / 1000, f"stuck at {looked_at} of {units}"
            page.wait_for_timeout(500)
            looked_at = page.request.get(f"/api/consignments/{where}").json()["looked_at"]


def test_the_volunteer_sorts_groups_and_takes_one_back(new_page: NewPage) -> None:
    page = new_page(person="Bo Terrazin")
    hand.open_page(page, "bins")
    for name, more in (("Ear loops", 3), ("Child size", 1), ("Ear loops", 0), ("Discard", 2)):
        page.get_by_role("button", name=re.compile(f"^{name}")).click()
        for _ in range(more):
            page.get_by_role("button", name="How many are in this group?: +10").click()
        page.get_by_role("button", name="Put in, no photo").click()
    sheet = page.get_by_role("region", name="Count sheet")
    expect(sheet.get_by_role("row", name=re.compile("All, in 4 groups"))).to_contain_text("64")
    page.get_by_role("button", name=re.compile("^Undo: Discard")).click()
    expect(sheet.get_by_role("row", name=re.compile("All, in 3 groups"))).to_contain_text("43")


def test_a_group_is_photographed_once_and_keeps_its_count(new_page: NewPage) -> None:
    page = new_page(person="Bo Terrazin")
    hand.open_page(page, "bins")
    page.get_by_role("button", name=re.compile("^Sealed")).click()
    page.get_by_role("button", name="How many are in this group?: +10").click()
    page.get_by_role("button", name="Photograph the group").click()
    hand.hand_in(page, "us-carton.jpg")
    hand.keep(page, surface="Carton")
    expect(page.get_by_role("heading", name="Into bins")).to_be_visible()
    page.get_by_text("Group by group").click()
    page.get_by_role("link", name="To the unit").first.click()
    expect(page.get_by_text("11 identical units")).to_be_visible()


def test_a_camera_roll_is_brought_in_as_units(new_page: NewPage) -> None:
    from tests.web.serving import SAMPLES

    page = new_page()
    hand.open_page(page, "roll")
    names = ("us-complete.jpg", "en-complete.jpg")
    page.locator("input[type=file]").set_input_files([str(SAMPLES / name) for name in names])
    expect(page.get_by_role("heading", name="Kept: 2")).to_be_visible()
    page.get_by_role("link", name="en-complete.jpg").click()
    expect(hand.outcome(page)).to_be_visible()
    expect(hand.mark(page, "Filter class")).to_contain_text("FFP2")
