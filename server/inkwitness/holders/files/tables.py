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
        raise BadList("list_empty")
    if len(data) > MOST_BYTES:
        raise TooLarge("list_too_large", size=len(data) // 2**20, limit=MOST_BYTES // 2**20)
    return data


def checked_row(number: int, row: tuple[Cell, ...]) -> tuple[Cell, ...]:
    """The row, if it is within the limits. Raises BadList that names row and column."""
    if number > MOST_ROWS:
        raise BadList("too_many_rows", row=number, limit=MOST_ROWS)
    if len(row) > MOST_COLUMNS:
        raise BadList("too_many_columns", row=number, columns=len(row), limit=MOST_COLUMNS)
    for index, cell in enumerate(row):
        if len(cell.text) > MOST_LETTERS:
            raise BadList(
                "cell_too_long",
                row=number,
                column=column_letter(index),
                letters=len(cell.text),
                limit=MOST_LETTERS,
            )
    return row
