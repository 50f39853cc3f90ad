"""Which column of a table is which field of the list: our own columns, or a mapping of others'."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from functools import cache

from inkwitness.errors import BadInput, BadList
from inkwitness.holders.files.tables import Cell, Table, column_letter
from inkwitness.rulebook import headings
from inkwitness.rulebook.headings import plain

#: The columns of our own format, in order.
FIELDS = (
    "scheme",
    "approval_number",
    "certificate_number",
    "holder",
    "other_names",
    "private_labels",
    "filter_class",
    "models",
    "examination_body",
    "production_body",
    "status",
    "valid_until",
    "source",
    "checked_on",
    "checked_by",
)
_HEADER_WITHIN = 40


@dataclass(frozen=True, slots=True)
class ColumnMap:
    """What a person says of a table of others.

    `columns` maps a field to a header of the table (as printed there) or to a column's letters
    after `#` (`#C`). `fixed` gives a field the same value in every row (`scheme`, `source`).
    `header_row` is the row of the header, from 1; None lets it be found.
    """

    columns: Mapping[str, str] = field(default_factory=dict)
    fixed: Mapping[str, str] = field(default_factory=dict)
    header_row: int | None = None


@dataclass(frozen=True, slots=True)
class Columns:
    """Where each field stands. `header_row` from 1 (0 for none); `own` for our own format."""

    header_row: int
    at: Mapping[str, int]
    headers: tuple[str, ...]
    fixed: Mapping[str, str]
    own: bool

    def name_of(self, field_name: str) -> str:
        """The column of a field as a person finds it: header and letters."""
        if field_name not in self.at:
            return field_name
        index = self.at[field_name]
        header = self.headers[index] if index < len(self.headers) else ""
        return f"'{header or field_name}' ({column_letter(index)})"


def find_columns(table: Table, mapping: ColumnMap) -> Columns:
    """Find the header row and the fields. Raises BadList, or BadInput for a mapping that is off."""
    for name in (*mapping.columns, *mapping.fixed):
        if name not in FIELDS:
            raise BadInput("no_field", name=name, fields=", ".join(FIELDS))
    header_row = mapping.header_row or _header_row(table, mapping)
    if header_row > len(table.rows):
        raise BadInput("header_row_beyond", rows=len(table.rows), row=header_row)
    headers = tuple(_text(cell) for cell in table.rows[header_row - 1]) if header_row else ()
    at: dict[str, int] = {}
    for name, header in mapping.columns.items():
        at[name] = _column(header, headers, table, header_row)
    for index, header in enumerate(headers):
        found = _field_of(header)
        if found is None or found in mapping.columns or index in at.values():
            continue
        if found in at:
            raise BadList(
                "column_twice",
                row=header_row,
                column=column_letter(index),
                header=header,
                other=headers[at[found]],
                field=found,
            )
        at[found] = index
    own = not mapping.columns and all(header in FIELDS for header in headers if header)
    missing = [name for name in ("scheme", "holder") if name not in at | dict(mapping.fixed)]
    if missing:
        raise BadList(
            "columns_missing",
            row=header_row,
            fields=", ".join(missing),
            header=", ".join(filter(None, headers)),
        )
    return Columns(header_row, at, headers, dict(mapping.fixed), own)


def _text(cell: Cell) -> str:
    return " ".join(cell.text.split())


@cache
def _by_heading() -> Mapping[str, str]:
    """Which field a heading means: our own names, and those of `rules/list-headings.yaml`."""
    return {plain(name): name for name in FIELDS} | dict(headings.load(FIELDS))


def _field_of(header: str) -> str | None:
    return _by_heading().get(plain(header))


def _header_row(table: Table, mapping: ColumnMap) -> int:
    """The first row of which most cells are headers that are known: title rows stand above it."""
    wanted = {plain(header) for header in mapping.columns.values() if not header.startswith("#")}
    if mapping.columns and not wanted:
        return 0  # all by letters: there may be no header at all
    best, row_number = 0, 0
    for number, row in enumerate(table.rows[:_HEADER_WITHIN], start=1):
        texts = {plain(_text(cell)) for cell in row if cell.text}
        known = {_field_of(text) for text in texts} - {None}
        score = len(known) + 2 * len(texts & wanted)
        if score > best:
            best, row_number = score, number
    if best < 2:
        first = next((row for row in table.rows if any(cell.text for cell in row)), ())
        shown = ", ".join(_text(cell) for cell in first[:8] if cell.text)
        raise BadList(
            "no_header_row", within=_HEADER_WITHIN, first=shown, fields=", ".join(FIELDS[:4])
        )
    return row_number


def _column(header: str, headers: Collection[str], table: Table, header_row: int) -> int:
    if header.startswith("#"):
        letters = header[1:].upper()
        width = max((len(row) for row in table.rows), default=0)
        for index in range(width):
            if column_letter(index) == letters:
                return index
        raise BadInput("no_column", letters=letters)
    places = [index for index, one in enumerate(headers) if plain(one) == plain(header)]
    if len(places) != 1:
        raise BadInput(
            "header_many" if places else "header_none",
            header=header,
            row=header_row,
            headers=", ".join(filter(None, headers)),
        )
    return places[0]
