"""A list into a file and back; and that no cell of the file can run."""

import csv
import io
import zipfile
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from inkwitness.holders.files.cells import clean, guarded, unguarded
from inkwitness.holders.files.exporting import Format, export
from inkwitness.holders.files.importing import list_of, preview
from inkwitness.holders.values import HolderEntry, HolderList
from tests.holders.house_list import HOUSE_LIST
from tests.holders.strategies import lists

#: What spreadsheets take for the start of a formula: OWASP, "CSV Injection" (read as of 2024).
STARTS = "=+-@\t\r＝＋－＠"
WICKED = ('=HYPERLINK("http://x";"y")', "+1+1", "-2", "@SUM(A1)", "＝1+1", "'=1", "''", "=1;=2")


@settings(max_examples=150, suppress_health_check=[HealthCheck.too_slow])
@given(held=lists(), kind=st.sampled_from(["csv", "xlsx", "json"]))
def test_reading_an_export_gives_the_same_list(held: HolderList, kind: Format) -> None:
    found = preview(export(held, kind))
    assert found.errors == ()
    assert list_of(found, name=held.name, checked_on=held.checked_on or None).entries == (
        held.entries
    )


@settings(max_examples=100)
@given(lists())
def test_json_holds_all_of_an_edition(held: HolderList) -> None:
    numbered = replace(held, edition=7)
    assert preview(export(numbered, "json")).listed == numbered


@pytest.mark.parametrize("kind", ["csv", "xlsx", "json"])
def test_the_house_list_comes_back_without_a_doubt(kind: Format) -> None:
    found = preview(export(HOUSE_LIST, kind))
    assert (found.entries, found.problems) == (HOUSE_LIST.entries, ())


@pytest.fixture
def wicked() -> HolderList:
    entries = tuple(
        HolderEntry(
            "us-niosh", text, f"TC-84A-{9000 + i}", other_names=(text,), models=(text,), source=text
        )
        for i, text in enumerate(WICKED)
    )
    return HolderList("wicked", entries)


def test_no_cell_of_a_csv_begins_as_a_formula(wicked: HolderList) -> None:
    rows = csv.reader(io.StringIO(export(wicked, "csv").decode("utf-8-sig")))
    assert not [cell for row in rows for cell in row if cell[:1] and cell[0] in STARTS]


def test_no_cell_of_a_workbook_is_a_formula(wicked: HolderList) -> None:
    data = export(wicked, "xlsx")
    for sheet in load_workbook(io.BytesIO(data)).worksheets:
        kinds = {cell.data_type for row in sheet.iter_rows() for cell in row if cell.value}
        assert kinds == {"s"}
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        sheets = [name for name in archive.namelist() if "worksheets/" in name]
        assert sheets
        assert all(b"<f>" not in archive.read(name) for name in sheets)


def test_a_cell_of_a_workbook_stays_text_when_it_is_edited(wicked: HolderList) -> None:
    """quotePrefix, ECMA-376 part 1, 18.8.45: the cell is text whatever is typed into it."""
    book = load_workbook(io.BytesIO(export(wicked, "xlsx")))
    cell = book.worksheets[0]["D2"]
    assert (cell.quotePrefix, cell.number_format) == (True, "@")


@given(st.text(max_size=8))
def test_a_guard_is_taken_off_again_and_nothing_guarded_can_run(text: str) -> None:
    assert unguarded(guarded(text)) == text
    assert guarded(text)[:1] not in set(STARTS)


@given(st.text(max_size=20))
def test_cleaning_twice_is_cleaning_once(text: str) -> None:
    assert clean(clean(text)) == clean(text)
