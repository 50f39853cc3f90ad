"""XLSX workbooks, opened with care: sizes are looked at before anything is unpacked.

Limits against archives made to fill a disk or memory: number of parts, size unpacked, how far a
part is squeezed; and no document type or entity in any part (defusedxml).
"""

import datetime as dt
import io
import lzma
import re
import struct
import zipfile
import zlib
from collections.abc import Iterator
from typing import Any
from xml.etree.ElementTree import ParseError

from defusedxml import DefusedXmlException
from defusedxml.ElementTree import iterparse
from openpyxl import load_workbook
from openpyxl.utils import range_boundaries

from inkwitness.errors import BadList, TooLarge
from inkwitness.holders.files.tables import (
    EMPTY,
    MOST_COLUMNS,
    MOST_ROWS,
    Cell,
    Table,
    checked_row,
    checked_size,
    column_letter,
)

MOST_PARTS = 2_000
MOST_UNPACKED = 512 * 1024 * 1024
MOST_SQUEEZED = 250
_SMALL_PART = 1024 * 1024
_MOST_MERGED_CELLS = 1_000_000
# What a damaged archive or part of it makes the libraries raise (found by fuzzing).
_DAMAGED = (
    zipfile.BadZipFile,
    zlib.error,
    struct.error,
    lzma.LZMAError,
    ParseError,
    LookupError,
    ValueError,
    TypeError,
    AttributeError,
    EOFError,
    OverflowError,
    NotImplementedError,
    RuntimeError,
    OSError,
)
_ZEROS = re.compile(r"0{2,20}")
_RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"


def read_workbook(data: bytes, sheet: str | None = None) -> Table:
    """The table of a sheet, the first one unless named. Raises BadList or TooLarge.

    A merged area has its value in each of its cells. A whole number shown with leading zeros
    (format `0000`) keeps them.
    """
    with _opened(checked_size(data)) as archive:
        _look_at_parts(archive)
    try:
        book = load_workbook(io.BytesIO(data), read_only=True, data_only=False, keep_links=False)
    except DefusedXmlException as error:
        raise _broken(str(error)) from error
    except _DAMAGED as error:
        raise _broken(str(error)) from error
    try:
        names = [one.title for one in book.worksheets]
        if not names:
            raise BadList("workbook_no_sheet")
        if sheet is not None and sheet not in names:
            raise BadList("workbook_no_such_sheet", sheet=sheet, sheets=", ".join(names))
        name = sheet or names[0]
        rows = [list(row) for row in _rows(book[name])]
    except DefusedXmlException as error:
        raise _broken(str(error)) from error
    except _DAMAGED as error:
        raise _broken(str(error)) from error
    finally:
        book.close()
    try:
        _fill_merged(rows, _merged(data, name))
    except DefusedXmlException as error:
        raise _broken(str(error)) from error
    except _DAMAGED as error:
        raise _broken(str(error)) from error
    notes = [f"sheet '{name}'"]
    if len(names) > 1:
        others = ", ".join(other for other in names if other != name)
        notes.append(f"sheets not read: {others}")
    return Table(tuple(tuple(row) for row in rows), tuple(notes))


def _opened(data: bytes) -> zipfile.ZipFile:
    try:
        return zipfile.ZipFile(io.BytesIO(data))
    except _DAMAGED as error:
        raise _broken(str(error)) from error


def _broken(why: str) -> BadList:
    return BadList("workbook_broken", why=why)


def _look_at_parts(archive: zipfile.ZipFile) -> None:
    parts = archive.infolist()
    if len(parts) > MOST_PARTS:
        raise TooLarge("workbook_parts", parts=len(parts), limit=MOST_PARTS)
    unpacked = sum(part.file_size for part in parts)
    if unpacked > MOST_UNPACKED:
        raise TooLarge("workbook_too_large", size=unpacked // 2**20, limit=MOST_UNPACKED // 2**20)
    for part in parts:
        if part.flag_bits & 0x1:
            raise BadList("workbook_locked")
        squeezed = part.file_size / max(1, part.compress_size)
        if part.file_size > _SMALL_PART and squeezed > MOST_SQUEEZED:
            raise TooLarge(
                "workbook_squeezed",
                part=part.filename,
                times=f"{squeezed:.0f}",
                limit=MOST_SQUEEZED,
            )
        if part.filename.endswith((".xml", ".rels")):
            _no_document_type(archive, part)


def _no_document_type(archive: zipfile.ZipFile, part: zipfile.ZipInfo) -> None:
    """A document type can only stand before the first element, so reading up to there is enough."""
    try:
        with archive.open(part) as stream:
            next(iter(iterparse(stream, events=("start",), forbid_dtd=True)), None)
    except DefusedXmlException as error:
        raise BadList("workbook_document_type", part=part.filename) from error
    except _DAMAGED as error:
        raise _broken(f"{part.filename}: {error}") from error


def _rows(sheet: Any) -> Iterator[tuple[Cell, ...]]:
    sheet.reset_dimensions()  # what a sheet says of its own size may be wrong
    given = 0
    for number, row in enumerate(sheet.iter_rows(), start=1):
        cells = [_cell(one) for one in row[: MOST_COLUMNS + 1]]
        while cells and not cells[-1].text and cells[-1].kind == "text":
            cells.pop()
        if cells:
            checked = checked_row(number, tuple(cells))
            yield from ((),) * (number - 1 - given)
            yield checked
            given = number


def _cell(cell: Any) -> Cell:
    value = cell.value
    if value is None:
        return EMPTY
    if cell.data_type == "f":
        return Cell(str(value), "formula")
    if cell.data_type == "e":
        return Cell(str(value), "fault")
    if isinstance(value, bool):
        return Cell("TRUE" if value else "FALSE")
    if isinstance(value, dt.datetime):
        plain = value.time() == dt.time()
        return Cell(value.date().isoformat() if plain else value.isoformat(sep=" "), "date")
    if isinstance(value, (dt.date, dt.time, dt.timedelta)):
        return Cell(str(value), "date")
    if isinstance(value, int) or (isinstance(value, float) and value.is_integer()):
        if abs(value) >= 1e15:
            return Cell(f"{value:.0f}", "decimal")
        zeros = _ZEROS.fullmatch(str(cell.number_format))
        if zeros is not None and value >= 0:
            return Cell(f"{int(value):0{len(zeros.group())}d}")
        return Cell(str(int(value)), "whole")
    if isinstance(value, float):
        return Cell(repr(value), "decimal")
    return Cell(str(value))


def _fill_merged(rows: list[list[Cell]], areas: list[tuple[int, int, int, int]]) -> None:
    for left, top, right, bottom in areas:
        if top > len(rows) or left > len(rows[top - 1]):
            continue
        value = rows[top - 1][left - 1]
        for row in rows[top - 1 : min(bottom, len(rows))]:
            row.extend([EMPTY] * (min(right, MOST_COLUMNS) - len(row)))
            for column in range(left - 1, min(right, MOST_COLUMNS)):
                row[column] = value


def _merged(data: bytes, sheet: str) -> list[tuple[int, int, int, int]]:
    """The merged areas (left, top, right, bottom; from 1): the streaming reader leaves them out."""
    with _opened(data) as archive:
        path = _path_of(archive, sheet)
        if path not in archive.namelist():
            return []
        areas, cells = [], 0
        with archive.open(path) as stream:
            for _, element in iterparse(stream, events=("end",), forbid_dtd=True):
                if element.tag.endswith("}mergeCell"):
                    edges = range_boundaries(element.get("ref", "A1"))
                    left, top, right, bottom = (edge or 1 for edge in edges)
                    cells += (min(right, MOST_COLUMNS) - left + 1) * (min(bottom, MOST_ROWS) - top)
                    if cells > _MOST_MERGED_CELLS:
                        raise BadList("workbook_merged", row=top, column=column_letter(left - 1))
                    areas.append((left, top, right, bottom))
                element.clear()
        return areas


def _path_of(archive: zipfile.ZipFile, sheet: str) -> str:
    targets = {}
    with archive.open("xl/_rels/workbook.xml.rels") as stream:
        for _, element in iterparse(stream, events=("end",), forbid_dtd=True):
            if element.tag.endswith("}Relationship"):
                targets[element.get("Id")] = str(element.get("Target"))
    with archive.open("xl/workbook.xml") as stream:
        for _, element in iterparse(stream, events=("end",), forbid_dtd=True):
            if element.tag.endswith("}sheet") and element.get("name") == sheet:
                target = targets.get(element.get(_RELATION), "")
                return target.lstrip("/") if target.startswith("/") else f"xl/{target}"
    return ""
