"""The list keeper brings a table in; what the authority's own list showed is kept with it."""

import re
from pathlib import Path

import pytest
from openpyxl import Workbook
from playwright.sync_api import Page, expect

from tests.web import hand
from tests.web.conftest import NewPage

pytestmark = pytest.mark.browser

#: Headers as somebody else might write them; no column says the scheme. Invented entries.
OTHERS = (
    ("Firma", "Typ", "Class", "Certificate No", "Retrieved", "Who looked", "Where from"),
    ("Halcyra Respire", "HR-77", "FFP2", "ZK/31/0900", "2026-11-20", "I. Okparo", "FICTIONAL list"),
    (
        "Brisdaal Textiel",
        "BD-88",
        "FFP3",
        "ZK/31/0901",
        "2026-13-45",
        "I. Okparo",
        "FICTIONAL list",
    ),
)


def table(rows: tuple[tuple[str, ...], ...]) -> bytes:
    return "\n".join(";".join(row) for row in rows).encode()


def choose(page: Page, name: str, data: bytes) -> None:
    page.locator("input[type=file]").set_input_files(
        {"name": name, "mimeType": "text/csv", "buffer": data}
    )


def map_columns(page: Page) -> None:
    """Say which column is what, as a person would, and look again."""
    for field, column in (("Holder", "A"), ("Models", "B"), ("Checked by", "F"), ("Source", "G")):
        page.get_by_role("combobox", name=field, exact=True).select_option(f"#{column}")
    page.get_by_role("combobox", name="Scheme", exact=True).select_option("=")
    page.get_by_role("combobox", name="Scheme, for every row").select_option("eu-en149")
    page.get_by_role("button", name="Look again").click()


def test_a_table_of_others_is_mapped_looked_at_proposed_and_accepted(
    new_page: NewPage,
) -> None:
    page = new_page(person="Ines Okparo")
    hand.open_page(page, "holders")
    edition = page.request.get("/api/holders").json()["edition"]
    page.get_by_role("link", name="Bring a list in").click()
    choose(page, "others.csv", table(OTHERS))
    # Nothing in the table says the scheme or is headed as a holder: the page asks.
    expect(page.get_by_role("alert")).to_contain_text("no column for scheme, holder")
    map_columns(page)
    wrong = page.get_by_role("list", name="Rows with something wrong").get_by_role("listitem")
    expect(wrong.filter(has_text="Row 3")).to_contain_text("2026-13-45")
    expect(page.get_by_text("Put the errors right in the file")).to_be_visible()
    expect(page.get_by_role("button", name="Keep as a proposal")).to_have_count(0)
    mended = (*OTHERS[:2], (*OTHERS[2][:4], "2026-11-20", *OTHERS[2][5:]))
    choose(page, "others.csv", table(mended))
    map_columns(page)
    difference = page.get_by_role("region", name="What it would change")
    expect(difference).to_contain_text("2 new, 0 changed")
    expect(difference).to_contain_text("Brisdaal Textiel")
    assert page.request.get("/api/holders/proposals").json() == []
    _propose(page)
    assert page.request.get("/api/holders").json()["edition"] == edition
    page.get_by_role("button", name=re.compile("^Who is working")).click()
    page.get_by_label("Another name").fill("Matei Lindqvarn")
    page.get_by_role("button", name="Use this name").click()
    page.get_by_role("button", name="Accept as the next edition").click()
    expect(page.get_by_role("heading", level=1)).to_have_text(f"Edition {edition + 1} is in force")
    expect(page.get_by_role("region", name="Stock looked at again")).to_contain_text(
        "0 still to do"
    )
    page.get_by_role("link", name="Holder list").click()
    page.get_by_label("Number, model or name").fill("HR-77")
    expect(page.get_by_text("Entries: 1")).to_be_visible()
    expect(page.get_by_role("listitem").filter(has_text="Halcyra Respire")).to_contain_text("FFP2")
    page.get_by_text(re.compile("^Every edition")).click()
    expect(page.get_by_text("Proposed by Ines Okparo, accepted by Matei Lindqvarn")).to_be_visible()


def _propose(page: Page) -> None:
    looked = page.get_by_role("checkbox", name=re.compile("^I have looked at each"))
    if looked.count():
        expect(page.get_by_role("button", name="Keep as a proposal")).to_be_disabled()
        looked.check(force=True)
    page.get_by_role("button", name="Keep as a proposal").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Proposed list")


def test_a_workbook_that_names_our_columns_needs_no_mapping_and_a_change_is_shown(
    new_page: NewPage, tmp_path: Path
) -> None:
    page = new_page(person="Ines Okparo")
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    names = ("scheme", "approval_number", "holder", "filter_class", "models", "status", "source")
    sheet.append((*names, "checked_on", "checked_by"))
    row = ("us-niosh", "TC-84A-9622", "Vexholm", "P100", "VX-3300", "rescinded")
    sheet.append((*row, "FICTIONAL demo list", "2026-11-20", "I. Okparo"))
    book.save(tmp_path / "change.xlsx")
    hand.open_page(page, "holders/import")
    page.locator("input[type=file]").set_input_files(tmp_path / "change.xlsx")
    difference = page.get_by_role("region", name="What it would change")
    expect(difference).to_contain_text("0 new, 1 changed")
    changed = difference.get_by_role("listitem").filter(has_text="TC-84A-9622")
    expect(changed).to_contain_text("current → rescinded")
    page.get_by_role("link", name="Back to the list, keep nothing").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Holder list")
    assert page.request.get("/api/holders/proposals").json() == []


def test_a_look_up_keeps_the_picture_of_what_the_authoritys_list_showed(new_page: NewPage) -> None:
    page = new_page(person="Ines Okparo")
    hand.open_page(page, "holders/look-ups")
    section = page.get_by_role("region", name="The authority's own list")
    section.get_by_text("Keep a look-up", exact=True).click()
    section.get_by_label("Which list").fill("Invented register")
    section.get_by_label("Asked for").fill("TC-84A-9621")
    section.get_by_role("radio", name="Listed, and agrees").check(force=True)
    section.get_by_label("Its words, letter for letter").fill("VX-2100, N95.")
    picture = page.screenshot()
    section.locator("input[type=file]").set_input_files(
        {"name": "register.png", "mimeType": "image/png", "buffer": picture}
    )
    section.get_by_role("button", name="Keep the look-up").click()
    kept = section.get_by_role("link", name=re.compile("^register.png"))
    expect(kept).to_be_visible()
    answer = page.request.get(str(kept.get_attribute("href")))
    assert answer.body() == picture
