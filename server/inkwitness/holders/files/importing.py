"""A file of others or of our own into a list: first a preview with every problem, then the list.

Nothing is stored here, and nothing is put right by guess. A file with an error gives no list.
"""

import datetime as dt
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from inkwitness.errors import BadList
from inkwitness.holders.files import own_json
from inkwitness.holders.files.columns import ColumnMap, find_columns
from inkwitness.holders.files.delimited import read_delimited
from inkwitness.holders.files.rows import Problem, RowReader, RowRules
from inkwitness.holders.files.tables import MOST_BYTES, Table, checked_size
from inkwitness.holders.files.workbook import read_workbook
from inkwitness.holders.merging import merged
from inkwitness.holders.values import HolderEntry, HolderList
from inkwitness.marks.grammar import Grammar
from inkwitness.phrases import Sentence

_ZIP = b"PK\x03\x04"
_OLD_WORKBOOK = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_MOST_SAID = 8


@dataclass(frozen=True, slots=True)
class Preview:
    """What an import would give. `entries` are those of the rows without an error.

    `columns` are (field, column as headed) as they were understood. `rows` counts rows below the
    header that are not empty.
    """

    entries: tuple[HolderEntry, ...]
    problems: tuple[Problem, ...]
    rows: int
    columns: tuple[tuple[str, str], ...]
    headers: tuple[str, ...]
    header_row: int
    notes: tuple[str, ...]
    listed: HolderList | None = None

    @property
    def errors(self) -> tuple[Problem, ...]:
        """The problems that keep the file from being accepted."""
        return tuple(problem for problem in self.problems if problem.level == "error")

    @property
    def doubts(self) -> tuple[Problem, ...]:
        """The problems that a person must have looked at."""
        return tuple(problem for problem in self.problems if problem.level == "doubt")


def preview(
    data: bytes,
    *,
    mapping: ColumnMap | None = None,
    sheet: str | None = None,
    rules: RowRules | None = None,
) -> Preview:
    """Read a file and say what is in it and what is wrong. Raises BadList, BadInput, TooLarge.

    The kind of file is told by its content: XLSX, our own JSON, or text with separated cells.
    """
    rules = rules or RowRules()
    checked_size(data)
    if own_json.is_own(data):
        listed = own_json.read(data)
        problems = tuple(
            Problem(row, "'checked_on'", "error", _after_import(entry.checked_on, rules.on))
            for row, entry in enumerate(listed.entries, start=1)
            if rules.on is not None and entry.checked_on is not None and entry.checked_on > rules.on
        )
        count = len(listed.entries)
        return Preview(listed.entries, problems, count, (), (), 0, ("our own JSON",), listed)
    return _of_table(table_of(data, sheet), mapping or ColumnMap(), rules)


def table_of(data: bytes, sheet: str | None = None) -> Table:
    """The cells of a file, told by its content. Raises BadList or TooLarge."""
    if data.startswith(_ZIP):
        return read_workbook(data, sheet)
    if data.startswith(_OLD_WORKBOOK):
        raise BadList("old_workbook")
    return read_delimited(data)


def list_of(
    found: Preview, *, name: str, checked_on: dt.date | None = None, fictional: bool | None = None
) -> HolderList:
    """The list of a preview without errors. Raises BadList that names rows and columns.

    `checked_on` is the day on which the whole list was compared with its sources; where nobody
    says, the oldest day among the current entries. With `fictional` False or None, rows that carry
    FICTIONAL among others that do not are an error; so is any such row with False.
    """
    if found.errors:
        raise BadList("rows_wrong", problems=_all_said(found.errors))
    if not found.entries:
        raise BadList("no_entry_in_file")
    marked = [entry.fictional for entry in found.entries]
    if any(marked) and (fictional is False or (fictional is None and not all(marked))):
        which = found.entries[marked.index(True)]
        raise BadList(
            "fictional_rows",
            n=sum(marked),
            holder=which.holder,
            number=which.approval_number or which.certificate_number,
        )
    if found.listed is not None:
        checked_on = checked_on or found.listed.checked_on
    is_fictional = any(marked) if fictional is None else fictional
    day = checked_on or _oldest(found.entries)
    return HolderList(name, found.entries, None, day, is_fictional)


def read_csv(
    path: Path,
    *,
    name: str | None = None,
    checked_on: dt.date | None = None,
    grammars: Sequence[Grammar] = (),
    schemes: Collection[str] | None = None,
) -> HolderList:
    """The list in a file of our own columns (CSV, XLSX or JSON). Raises BadList naming the row.

    Doubts do not stop it: they are shown by `inkwitness holders import --dry-run`.
    """
    try:
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)  # one over the limit is not read whole to be refused
    except OSError as error:
        raise BadList("file_not_opened", file=str(path), why=error.strerror) from error
    try:
        found = preview(data, rules=RowRules(schemes=schemes, grammars=grammars))
        listed = list_of(found, name=name or path.stem, checked_on=checked_on)
    except BadList as error:
        raise BadList("in_file", file=path.name, why=error.sentence) from error
    return listed if found.listed is None else replace(listed, edition=found.listed.edition)


def _of_table(table: Table, mapping: ColumnMap, rules: RowRules) -> Preview:
    columns = find_columns(table, mapping)
    problems: list[Problem] = []
    reader = RowReader(columns, rules, problems)
    rows: list[tuple[int, HolderEntry]] = []
    filled = 0
    for number, row in enumerate(table.rows[columns.header_row :], start=columns.header_row + 1):
        filled += any(cell.text for cell in row)
        entry = reader.read(number, row)
        if entry is not None:
            rows.append((number, entry))
    entries, disagreements, joined = merged(rows)
    for wrong in disagreements:
        there, where = wrong.other, wrong.other_row
        key = "row_disagrees"
        reader.say(wrong.row, wrong.field, "error", key, wrong.value, other=there, row=where)
    notes = table.notes
    if joined:
        notes = (*notes, f"{joined} rows joined to another row of the same number")
    return Preview(
        entries=tuple(entries),
        problems=tuple(sorted(problems, key=lambda problem: problem.row)),
        rows=filled,
        columns=tuple((field, columns.name_of(field)) for field in columns.at),
        headers=columns.headers,
        header_row=columns.header_row,
        notes=notes,
    )


def _after_import(day: dt.date, on: dt.date) -> Sentence:
    values = {"value": day.isoformat(), "day": on.isoformat()}
    return Sentence("error.row_after_import", values)


def _all_said(errors: Sequence[Problem]) -> tuple[Sentence, ...]:
    said = [problem.sentence for problem in errors[:_MOST_SAID]]
    if len(errors) > _MOST_SAID:
        said.append(Sentence("error.rows_more", {"n": len(errors) - _MOST_SAID}))
    return tuple(said)


def _oldest(entries: Sequence[HolderEntry]) -> dt.date | None:
    current = [entry for entry in entries if entry.status == "current"] or list(entries)
    days = [entry.checked_on for entry in current]
    return None if None in days else min(day for day in days if day is not None)
