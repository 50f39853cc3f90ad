"""Print without a label: a person says what it is. Words are kept once, and lists look again.

Expectations are the project's own: issue 19, points 1, 5 and 9.
"""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import Browser, Page, expect

from tests.web import hand
from tests.web.conftest import NewPage, phones
from tests.web.serving import SAMPLES, server
from tests.web.test_access import Found, look_at

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def free_address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    folder = tmp_path_factory.mktemp("free")
    with server(folder, reader="tests.web.journeys.free_print:build") as address:
        yield address


@pytest.fixture
def free_page(browser: Browser, free_address: str) -> Iterator[NewPage]:
    with phones(browser, free_address) as opens:
        yield opens


@pytest.fixture
def opened(free_page: NewPage, free_address: str) -> tuple[Page, str]:
    """A unit on which the name and the model are print without a label, open; and its id."""
    page = free_page()
    unit = hand.send(free_address, SAMPLES / "us-complete.jpg")
    hand.open_unit(page, unit)
    return page, unit


def free(page: Page, printed: str) -> Any:
    return page.get_by_role("article", name=f"What is this print? {printed}", exact=True)


def kept(page: Page, unit: str) -> dict[str, Any]:
    found: dict[str, Any] = page.request.get(f"/api/units/{unit}").json()
    return found


def confirmed(page: Page, name: str) -> Any:
    return hand.mark(page, name).get_by_text("Confirmed", exact=True)


def test_the_largest_print_without_a_label_is_asked_about_first_and_answered_with_one_tap(
    opened: tuple[Page, str],
) -> None:
    page, _ = opened
    rows = page.get_by_role("article", name=re.compile("^What is this print"))
    expect(rows).to_have_count(2)  # however often the same ink is offered
    expect(rows.first).to_contain_text("VEXHOLM")
    section = page.get_by_role("region", name="Print without a label")
    expect(section).to_contain_text("Nothing beside it says what it is.")
    expect(rows.first.get_by_text("Read", exact=True)).to_have_count(0)
    expect(hand.mark(page, "Maker or holder")).to_have_count(0)
    rows.first.get_by_role("button", name="Maker", exact=True).click()
    expect(confirmed(page, "Maker or holder")).to_be_visible()
    expect(hand.mark(page, "Maker or holder")).to_contain_text("VEXHOLM")
    expect(hand.mark(page, "Maker or holder")).to_contain_text("A person says that it is")
    expect(rows).to_have_count(1)


def test_doubtful_letters_are_looked_at_before_the_name_counts(opened: tuple[Page, str]) -> None:
    page, unit = opened
    row = free(page, "VX-2100")
    expect(row).to_contain_text("A letter in it looks like another")
    # A reason that the page does not know is still told.
    expect(row).to_contain_text("It is doubtful: a reason of tomorrow.")
    row.get_by_role("button", name="Model", exact=True).click()
    expect(row.get_by_role("button", name="Confirm these letters")).to_be_disabled()
    assert kept(page, unit)["confirmations"] == []
    row.get_by_role("button", name=re.compile("^It is V")).click()
    row.get_by_role("button", name="Confirm these letters").click()
    expect(confirmed(page, "Model")).to_be_visible()


def test_the_whole_text_is_typed_at_once(opened: tuple[Page, str]) -> None:
    page, _ = opened
    row = free(page, "VX-2100")
    row.get_by_role("button", name="More: 5: VX-2100").click()
    row.get_by_role("button", name="Other letters: VX-2100").click()
    row.get_by_label(re.compile("^Other letters\\?")).fill("VX-2100 S")
    row.get_by_role("button", name="Model", exact=True).click()
    expect(confirmed(page, "Model")).to_be_visible()
    expect(hand.mark(page, "Model")).to_contain_text("VX-2100 S")


def test_print_that_is_no_mark_is_set_aside_and_can_be_taken_back(opened: tuple[Page, str]) -> None:
    page, _ = opened
    free(page, "VX-2100").get_by_role("button", name="More: 5: VX-2100").click()
    free(page, "VX-2100").get_by_role("button", name="Other text").click()
    aside = page.get_by_role("region", name="No mark, as a person said")
    expect(aside).to_contain_text("VX-2100")
    expect(free(page, "VX-2100")).to_have_count(0)
    aside.get_by_role("button", name="Change: VX-2100").click()
    expect(free(page, "VX-2100")).to_be_visible()


def test_several_marks_are_confirmed_in_one_go_and_the_number_by_itself(
    opened: tuple[Page, str],
) -> None:
    page, unit = opened
    before = len(kept(page, unit)["checks"])
    page.get_by_role("button", name=re.compile("^The ink says all of these")).click()
    for name in ("Filter class", "Agency"):
        expect(confirmed(page, name)).to_be_visible()
    expect(confirmed(page, "Approval number")).to_have_count(0)
    after = kept(page, unit)
    assert len(after["checks"]) == before + 1
    assert len(after["confirmations"]) == 2
    page.get_by_role("button", name=re.compile("^Undo: ")).click()
    expect(confirmed(page, "Agency")).to_have_count(0)


def test_a_mark_that_was_not_read_is_added(opened: tuple[Page, str]) -> None:
    page, _ = opened
    page.get_by_text("Add a mark that was not read").click()
    page.get_by_role("combobox", name="What it is", exact=True).select_option("expiry_date")
    page.get_by_label("What is printed, letter for letter", exact=True).fill("2029-03")
    page.get_by_role("button", name="Add it").click()
    expect(confirmed(page, "Use by")).to_be_visible()
    expect(hand.mark(page, "Use by")).to_contain_text("2029-03")


def test_repeated_taps_keep_one_word(opened: tuple[Page, str]) -> None:
    page, unit = opened
    confirm = page.get_by_role("button", name=re.compile("^The ink says this: Approval number"))
    confirm.evaluate("button => { button.click(); button.click(); button.click(); }")
    expect(confirmed(page, "Approval number")).to_be_visible()
    assert len(kept(page, unit)["confirmations"]) == 1


def test_what_lies_on_the_phone_is_not_asked_again_and_goes_once(opened: tuple[Page, str]) -> None:
    page, unit = opened
    hand.kept_for_offline(page)
    page.context.set_offline(True)
    row = free(page, "VEXHOLM")
    row.get_by_role("button", name="Maker", exact=True).click()
    expect(row).to_contain_text("Kept on this phone. It counts once it is sent.")
    expect(row.get_by_role("button", name="Maker", exact=True)).to_have_count(0)
    page.reload()
    expect(row).to_contain_text("Kept on this phone. It counts once it is sent.")
    page.context.set_offline(False)
    expect(confirmed(page, "Maker or holder")).to_be_visible()
    assert len(kept(page, unit)["confirmations"]) == 1


def test_a_name_that_is_only_a_guess_is_no_title_in_the_list(opened: tuple[Page, str]) -> None:
    page, unit = opened
    (row,) = [
        one for one in page.request.get("/api/units").json()["units"] if one["unit_id"] == unit
    ]
    assert "VX-2100" not in str(row)
    hand.open_page(page, "kept")
    line = page.locator(f"a[href='#/unit/{unit}']")
    expect(line).to_contain_text("TC-84A-9621")
    expect(line).not_to_contain_text("VX-2100")


def test_print_without_a_label_is_in_order_for_eye_hand_and_screen_reader(
    opened: tuple[Page, str],
) -> None:
    """WCAG 2.2 AA as far as axe-core can tell; 48 px (job map, G32)."""
    page, _ = opened
    wrong: Found = {}
    page.get_by_text("Add a mark that was not read").click()
    look_at(page, "free print", wrong)
    free(page, "VX-2100").get_by_role("button", name="Model", exact=True).click()
    look_at(page, "letters first", wrong)
    free(page, "VEXHOLM").get_by_role("button", name="More: 5: VEXHOLM").click()
    look_at(page, "what print is seldom", wrong)
    free(page, "VEXHOLM").get_by_role("button", name="Not a mark").click()
    expect(page.get_by_role("region", name="No mark, as a person said")).to_be_visible()
    look_at(page, "set aside", wrong)
    assert {kind: found for kind, found in wrong.items() if found} == {}


def test_the_list_of_kept_checks_looks_again_until_all_is_read(
    free_page: NewPage, free_address: str, tmp_path: Path
) -> None:
    page = free_page()
    hand.open_page(page)
    # A photo that was not read before, so that its reading takes a while.
    with Image.open(SAMPLES / "us-complete.jpg") as sample:
        sample.rotate(1, expand=True).save(tmp_path / "turned.jpg", quality=90)
    unit = hand.send(free_address, tmp_path / "turned.jpg")
    page.get_by_role("link", name="Kept").click()
    line = page.locator(f"a[href='#/unit/{unit}']")
    expect(line).to_contain_text("Not read yet")
    expect(line).not_to_contain_text("Not read yet")


def test_photograph_on_a_consignments_page_stays_in_the_consignment(free_page: NewPage) -> None:
    page = free_page()
    hand.open_page(page, "consignment/new")
    hand.declare(page, "Delivery that is stayed in", units=400, cartons=10)
    where = page.url.split("#/consignment/")[1]
    page.get_by_role("link", name="Photograph", exact=True).click()
    hand.hand_in(page, "us-complete.jpg")
    hand.keep(page)
    page.get_by_role("link", name="To the consignment").click()
    expect(page.get_by_role("heading", name="Delivery that is stayed in")).to_be_visible()
    hand.until(
        page,
        "id => fetch(`/api/consignments/${id}`).then(a => a.json()).then(a => a.units === 1)",
        where,
    )


def test_the_makers_logo_and_the_agencys_are_asked_about_apart(free_page: NewPage) -> None:
    page = free_page()
    page.goto("/#/take")
    hand.hand_in(page, "us-complete.jpg")
    page.get_by_text("What else do you see?").click()
    page.get_by_role("checkbox", name="Maker's logo").check(force=True)
    hand.keep(page)
    page.get_by_role("button", name="See what was read").click()
    expect(hand.outcome(page)).to_be_visible()
    unit = page.url.split("#/unit/")[1]
    assert kept(page, unit)["photos"][0]["declared"] == ["maker_logo_seen"]
