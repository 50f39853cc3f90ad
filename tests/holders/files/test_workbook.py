"""XLSX workbooks as spreadsheet programs write them, and archives made to do harm.

The workbooks are written by openpyxl or put together by hand after ECMA-376 part 1.
"""

import datetime as dt
import io
import zipfile
from typing import Any

import pytest
from openpyxl import Workbook

from inkwitness.errors import BadList, TooLarge
from inkwitness.holders.files import workbook
from inkwitness.holders.files.columns import FIELDS, ColumnMap
from inkwitness.holders.files.importing import Preview, list_of, preview

HEADER = ("scheme", "approval_number", "holder", "models")


def saved(*rows: tuple[Any, ...], formats: dict[str, str] | None = None) -> bytes:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for row in rows:
        sheet.append(row)
    for place, number_format in (formats or {}).items():
        sheet[place].number_format = number_format
    return bytes_of(book)


def bytes_of(book: Workbook) -> bytes:
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def one(value: Any, column: str = "models") -> Preview:
    row = {"scheme": "us-niosh", "approval_number": "TC-84A-9981", "holder": "Vexholm"}
    return preview(saved(HEADER, tuple((row | {column: value}).get(name) for name in HEADER)))


def repacked(data: bytes, change: dict[str, bytes]) -> bytes:
    """The archive with some parts put in another's place."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            new.writestr(name, change.get(name) or old.read(name), zipfile.ZIP_DEFLATED)
        for name in change.keys() - set(old.namelist()):
            new.writestr(name, change[name], zipfile.ZIP_DEFLATED)
    return out.getvalue()


@pytest.mark.parametrize(
    ("value", "level", "says"),
    [
        (dt.datetime(1995, 3, 1), "error", "keeps a date"),
        (dt.date(1995, 3, 1), "error", "keeps a date"),
        (12e4 + 0.5, "error", "digits lost"),
        (1.2e18, "error", "digits lost"),
        (1520, "doubt", "zeros at its front"),
        ("=A1&B1", "error", "formula"),
        ("#REF!", "error", "spreadsheet error"),
    ],
)
def test_what_a_spreadsheet_made_of_a_model_is_named(value: Any, level: str, says: str) -> None:
    found = one(value)
    (problem,) = found.problems
    assert (problem.row, problem.level, "(D)" in problem.column) == (2, level, True)
    assert says in problem.message


def test_a_formula_is_an_error_in_any_column_and_is_never_run() -> None:
    (problem,) = one('=HYPERLINK("http://example.invalid")', "holder").errors
    assert "not run" in problem.message


def test_text_that_looks_like_a_formula_is_text() -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(HEADER)
    sheet.append(("us-niosh", "TC-84A-9981", "Vexholm", "x"))
    sheet["D2"].value = "=5"
    sheet["D2"].data_type = "s"
    found = preview(bytes_of(book))
    assert (found.problems, found.entries[0].models) == ((), ("=5",))


def test_zeros_that_a_number_format_shows_are_kept() -> None:
    rows = (("scheme", "holder", "models", "production_body"), ("eu-en149", "Halcyra", "HR", 42))
    assert preview(saved(*rows)).errors[0].message.endswith("Write 0042.")
    found = preview(saved(*rows, formats={"D2": "0000"}))
    assert (found.problems, found.entries[0].production_body) == ((), "0042")


def test_merged_cells_hold_for_every_row_they_cover() -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(("Respirators of the programme", None, None, None))
    sheet.append(("TC number", "Manufacturer", "Class", "Model"))
    sheet.append(("TC-84A-9981", "Vexholm", "N95", "VX-910"))
    sheet.append((None, None, None, "VX-911"))
    sheet.append(("TC-84A-9982", "Vexholm", "P100", "VX-940"))
    for area in ("A1:D1", "A3:A4", "B3:B4", "C3:C4"):
        sheet.merge_cells(area)
    found = preview(bytes_of(book), mapping=ColumnMap(fixed={"scheme": "us-niosh"}))
    assert found.header_row == 2
    assert [(e.approval_number, e.models) for e in found.entries] == [
        ("TC-84A-9981", ("VX-910", "VX-911")),
        ("TC-84A-9982", ("VX-940",)),
    ]


def test_empty_rows_keep_the_numbers_of_the_rows_below_them() -> None:
    found = preview(saved(HEADER, (), (), ("us-niosh", "TC-84A-9981", None, "VX")))
    assert found.errors[0].row == 4


def test_a_sheet_is_chosen_by_name() -> None:
    book = Workbook()
    book.create_sheet("mine").append(HEADER)
    book["mine"].append(("us-niosh", "TC-84A-9981", "Vexholm", "VX"))
    found = preview(bytes_of(book), sheet="mine")
    assert (len(found.entries), found.notes[0]) == (1, "sheet 'mine'")
    with pytest.raises(BadList, match=r"no sheet 'other'.*mine"):
        preview(bytes_of(book), sheet="other")


def test_an_empty_workbook_is_no_list() -> None:
    with pytest.raises(BadList, match="No header row"):
        preview(bytes_of(Workbook()))


def test_an_archive_that_unpacks_too_far_is_refused_before_it_is_unpacked() -> None:
    bomb = repacked(saved(HEADER), {"xl/media/zeros.bin": b"\0" * (40 * 1024 * 1024)})
    assert len(bomb) < 200_000
    with pytest.raises(TooLarge, match="times its size"):
        preview(bomb)


def test_the_size_unpacked_and_the_number_of_parts_have_limits(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    data = saved(HEADER)
    monkeypatch.setattr(workbook, "MOST_UNPACKED", 1000)
    with pytest.raises(TooLarge, match="MiB"):
        preview(data)
    monkeypatch.setattr(workbook, "MOST_PARTS", 3)
    with pytest.raises(TooLarge, match="parts"):
        preview(data)


@pytest.mark.parametrize("codec", ["utf-8", "utf-16"])
def test_a_part_that_declares_entities_is_refused(codec: str) -> None:
    """Entities that unfold without end; also in UTF-16, where a search for the word misses it."""
    text = (
        f'<?xml version="1.0" encoding="{codec}"?><!DOCTYPE x [<!ENTITY a "aaaa">'
        '<!ENTITY b "&a;&a;&a;">]><worksheet xmlns="http://schemas.openxmlformats.org/'
        'spreadsheetml/2006/main"><sheetData/></worksheet>'
    )
    data = repacked(saved(HEADER), {"xl/worksheets/sheet1.xml": text.encode(codec)})
    with pytest.raises(BadList, match="document type"):
        preview(data)


@pytest.mark.parametrize("cut", [30, 400, -40])
def test_a_workbook_that_is_cut_off_is_refused(cut: int) -> None:
    with pytest.raises(BadList, match="cannot be read"):
        preview(saved(HEADER, ("us-niosh", "TC-84A-9981", "Vexholm", "VX"))[:cut])


def test_a_zip_that_is_no_workbook_is_refused() -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("hello.txt", "hello")
    with pytest.raises(BadList, match="cannot be read"):
        preview(out.getvalue())


def test_broken_xml_in_the_sheet_is_refused() -> None:
    data = repacked(saved(HEADER), {"xl/worksheets/sheet1.xml": b"<worksheet><sheetData><row"})
    with pytest.raises(BadList, match="cannot be read"):
        preview(data)


def test_a_merged_area_over_everything_is_refused() -> None:
    data = saved(HEADER)
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        sheet = archive.read("xl/worksheets/sheet1.xml")
    merged = b'</sheetData><mergeCells><mergeCell ref="E1:ZZ1048576"/></mergeCells>'
    sheet = sheet.replace(b"</sheetData>", merged)
    with pytest.raises(BadList, match="merged"):
        preview(repacked(data, {"xl/worksheets/sheet1.xml": sheet}))


def test_our_own_columns_in_a_workbook() -> None:
    row = dict.fromkeys(FIELDS) | {"scheme": "us-niosh", "holder": "Vexholm", "models": "A\\;B; C"}
    found = preview(saved(FIELDS, tuple(row[name] for name in FIELDS)))
    assert list_of(found, name="x").entries[0].models == ("A;B", "C")
