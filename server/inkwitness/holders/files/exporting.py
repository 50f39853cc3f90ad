"""A list into a file: CSV, XLSX, or JSON. No cell of it can run as a formula.

CSV and XLSX hold the entries, XLSX also name, edition and day on a second sheet; JSON holds all.
Reading an export gives the same entries again.
"""

import csv
import io
from typing import Literal

from openpyxl import Workbook
from openpyxl.cell import Cell, WriteOnlyCell
from openpyxl.styles import Alignment, Font

from inkwitness.holders.files import own_json
from inkwitness.holders.files.cells import guarded, joined, joined_labels
from inkwitness.holders.files.columns import FIELDS
from inkwitness.holders.values import HolderEntry, HolderList

Format = Literal["csv", "xlsx", "json"]
_WIDTHS = {"holder": 30, "models": 30, "private_labels": 30, "source": 30, "approval_number": 18}


def export(holder_list: HolderList, kind: Format) -> bytes:
    """The bytes of the file."""
    writers = {"csv": to_csv, "xlsx": to_xlsx, "json": own_json.write}
    return writers[kind](holder_list)


def to_csv(holder_list: HolderList) -> bytes:
    """CSV (RFC 4180) in UTF-8 with a byte order mark, every cell in quotation marks."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    writer.writerow(FIELDS)
    writer.writerows(cells_of(entry) for entry in holder_list.entries)
    return out.getvalue().encode("utf-8-sig")


def to_xlsx(holder_list: HolderList) -> bytes:
    """A workbook whose cells are all text."""
    book = Workbook(write_only=True)
    sheet = book.create_sheet("holders")
    for index, name in enumerate(FIELDS):
        sheet.column_dimensions[chr(ord("A") + index)].width = _WIDTHS.get(name, 16)
    sheet.freeze_panes = "A2"
    sheet.append([_text_cell(sheet, name, bold=True) for name in FIELDS])
    for entry in holder_list.entries:
        sheet.append([_text_cell(sheet, text) if text else None for text in cells_of(entry)])
    about = book.create_sheet("about")
    edition = "" if holder_list.edition is None else str(holder_list.edition)
    checked = holder_list.checked_on.isoformat() if holder_list.checked_on else ""
    for name, value in (
        ("name", guarded(holder_list.name)),
        ("edition", edition),
        ("checked_on", checked),
        ("fictional", "FICTIONAL" if holder_list.fictional else ""),
    ):
        about.append([_text_cell(about, name, bold=True), _text_cell(about, value)])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def cells_of(entry: HolderEntry) -> list[str]:
    """The cells of an entry, in the order of `FIELDS`."""
    values = {
        "scheme": entry.scheme,
        "approval_number": entry.approval_number,
        "certificate_number": entry.certificate_number,
        "holder": entry.holder,
        "other_names": joined(entry.other_names),
        "private_labels": joined_labels(entry.private_labels),
        "filter_class": joined(entry.filter_classes),
        "models": joined(entry.models),
        "examination_body": entry.examination_body,
        "production_body": entry.production_body,
        "status": entry.status,
        "valid_until": entry.valid_until.isoformat() if entry.valid_until else "",
        "source": entry.source,
        "checked_on": entry.checked_on.isoformat() if entry.checked_on else "",
        "checked_by": entry.checked_by,
    }
    return [guarded(values[name]) for name in FIELDS]


def _text_cell(sheet: object, text: str, *, bold: bool = False) -> Cell:
    cell = WriteOnlyCell(sheet, value=text)  # type: ignore[arg-type]
    cell.data_type = "s"  # openpyxl takes a leading = for a formula
    cell.number_format = "@"
    cell.quotePrefix = True
    cell.alignment = Alignment(vertical="top")
    if bold:
        cell.font = Font(bold=True)
    return cell
