"""Tables as they come: rows of cells, and how the file kept each. Nothing is interpreted yet."""

from dataclasses import dataclass
from typing import Literal

from inkwitness.errors import BadList, TooLarge

CellKind = Literal["text", "whole", "decimal", "date", "formula", "fault"]

MOST_BYTES = 64 * 1024 * 1024
MOST_ROWS = 250_000
MOST_COLUMNS = 256
MOST_LETTERS = 4_000


@dataclass(frozen=True, slots=True)
class Cell:
    """The text of a cell as a person saw it, and how the file kept it.

    `whole` and `decimal` are numbers (leading zeros and long digits may be lost), `date` is a date
    that the spreadsheet kept (ISO text here), `formula` and `fault` hold no plain value.
    """

    text: str = ""
    kind: CellKind = "text"


EMPTY = Cell()


@dataclass(frozen=True, slots=True)
class Table:
    """The rows of one sheet or text file. `rows[i]` is row `i + 1` of the file; empty rows stay.

    `notes` say how the file was taken: its encoding, what parts its cells, which sheet.
    """

    rows: tuple[tuple[Cell, ...], ...]
    notes: tuple[str, ...] = ()


def column_letter(index: int) -> str:
    """The letters of a column counted from 0, as spreadsheets name it.

    >>> column_letter(0), column_letter(27)
    ('A', 'AB')
    """
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def checked_size(data: bytes) -> bytes:
    """The bytes, if there are any and not too many. Raises BadList or TooLarge."""
    if not data.strip(b"\x00 \t\r\n"):
        raise BadList("The file is empty. Choose a file with a header row and at least one entry.")
    if len(data) > MOST_BYTES:
        raise TooLarge(
            f"The file has {len(data) // 2**20} MiB; the limit is {MOST_BYTES // 2**20} MiB. "
            "Split the list or leave out columns that are not needed."
        )
    return data


def checked_row(number: int, row: tuple[Cell, ...]) -> tuple[Cell, ...]:
    """The row, if it is within the limits. Raises BadList that names row and column."""
    if number > MOST_ROWS:
        raise BadList(
            f"Row {number}: the limit is {MOST_ROWS} rows. Split the list into several files, or "
            "delete the empty rows below the last entry."
        )
    if len(row) > MOST_COLUMNS:
        raise BadList(
            f"Row {number}: {len(row)} columns; the limit is {MOST_COLUMNS}. Is this the right "
            "file, and the right sign between the cells?"
        )
    for index, cell in enumerate(row):
        if len(cell.text) > MOST_LETTERS:
            raise BadList(
                f"Row {number}, column {column_letter(index)}: the cell has {len(cell.text)} "
                f"letters; the limit is {MOST_LETTERS}. A quotation mark may be left open above."
            )
    return row
