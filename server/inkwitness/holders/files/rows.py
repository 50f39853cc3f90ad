"""One row of a table into one entry of the list, and every problem found on the way.

Nothing is put right silently. A problem is an `error` (the row cannot enter) or a `doubt` (it can,
once a person has looked): what a spreadsheet may have done to a number is never undone by guess.
"""

import datetime as dt
import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from inkwitness.holders.files import cells
from inkwitness.holders.files.columns import Columns
from inkwitness.holders.files.tables import EMPTY, Cell
from inkwitness.holders.values import STATUSES, HolderEntry, Status
from inkwitness.marks.grammar import Grammar
from inkwitness.marks.match import value_of

Level = Literal["error", "doubt"]

_NUMBERS = ("approval_number", "certificate_number", "models")
_BODIES = ("examination_body", "production_body")
_SCHEME = re.compile(r"[a-z][a-z0-9]*(?:-[a-z0-9.]+)*")


@dataclass(frozen=True, slots=True)
class Problem:
    """Something wrong with a row: where (row from 1, column as headed), and what to do."""

    row: int
    column: str
    level: Level
    message: str
    value: str = ""

    def __str__(self) -> str:
        where = f"Row {self.row}, column {self.column}" if self.column else f"Row {self.row}"
        return f"{where}: {self.message}"


@dataclass(frozen=True, slots=True)
class RowRules:
    """What rows are held against: schemes that are known (None: any), how numbers are printed,
    and the day of the import (None: a day of checking in the future is not noticed)."""

    schemes: Collection[str] | None = None
    grammars: Sequence[Grammar] = ()
    on: dt.date | None = None

    def grammar(self, scheme: str) -> Grammar | None:
        """How an approval number of the scheme is printed, if the rule book says."""
        for grammar in self.grammars:
            if grammar.mark == "approval_number" and grammar.scheme == scheme:
                return grammar
        return None


@dataclass(slots=True)
class RowReader:
    """Reads rows by one set of columns; gathers problems."""

    columns: Columns
    rules: RowRules
    problems: list[Problem]

    def read(self, number: int, row: Sequence[Cell]) -> HolderEntry | None:
        """The entry of a row; None for one that is no entry or has an error."""
        before = len(self.problems)
        texts = {name: self._text(number, name, row) for name in self._fields()}
        if not any(texts.get(name) for name in self.columns.at):
            return None
        if self._is_remark(number, texts):
            return None
        own = self.columns.own
        entry = HolderEntry(
            scheme=self._scheme(number, texts),
            holder=self._required(number, "holder", texts),
            approval_number=cells.clean(texts.get("approval_number", "")),
            certificate_number=cells.clean(texts.get("certificate_number", "")),
            other_names=cells.split(texts.get("other_names", ""), own=own),
            private_labels=cells.split_labels(texts.get("private_labels", ""), own=own),
            filter_classes=cells.split(texts.get("filter_class", ""), own=own, commas=True),
            models=cells.split(texts.get("models", ""), own=own, commas=True),
            examination_body=self._body(number, "examination_body", texts),
            production_body=self._body(number, "production_body", texts),
            status=self._status(number, texts),
            valid_until=self._date(number, "valid_until", texts),
            source=cells.clean(texts.get("source", "")),
            checked_on=self._date(number, "checked_on", texts),
            checked_by=cells.clean(texts.get("checked_by", "")),
        )
        self._whole(number, entry)
        errors = (p for p in self.problems[before:] if p.level == "error")
        return None if any(errors) else entry

    def say(self, number: int, column: str, level: Level, message: str, value: str = "") -> None:
        """Note a problem of a row; `column` is a field name or empty."""
        name = self.columns.name_of(column) if column else ""
        self.problems.append(Problem(number, name, level, message, value))

    def _fields(self) -> list[str]:
        return [*self.columns.at, *(f for f in self.columns.fixed if f not in self.columns.at)]

    def _text(self, number: int, name: str, row: Sequence[Cell]) -> str:
        index = self.columns.at.get(name)
        cell = row[index] if index is not None and index < len(row) else EMPTY
        if not cell.text and name in self.columns.fixed:
            return self.columns.fixed[name]
        value = cell.text
        if cell.kind == "formula":
            message = "the cell holds a formula, which is not run. Paste its value instead."
            self.say(number, name, "error", message, value)
        elif cell.kind == "fault":
            message = f"the cell holds the spreadsheet error {value}. Put the value right."
            self.say(number, name, "error", message, value)
        elif name in _NUMBERS:
            self._spreadsheet(number, name, cell)
        return cells.unguarded(value) if self.columns.own else value

    def _spreadsheet(self, number: int, name: str, cell: Cell) -> None:
        """What a spreadsheet may have made of a number or a model."""
        pieces = re.split(r"[;,\n]", cell.text) if name == "models" else [cell.text]
        texts = [cells.clean(piece) for piece in pieces]
        if cell.kind == "date":
            message = (
                f"the spreadsheet keeps a date here ({cell.text}). What was meant may be a model "
                "such as 3-95: make the column text and type it as it is printed."
            )
            self.say(number, name, "error", message, cell.text)
        elif cell.kind == "decimal" or any(cells.turned_to_exponent(text) for text in texts):
            message = (
                f"the spreadsheet keeps a number with digits lost or added here ({cell.text}). "
                "Make the column text and type it as it is printed."
            )
            self.say(number, name, "error", message, cell.text)
        elif cell.kind == "whole":
            message = (
                f"the spreadsheet keeps {cell.text} as a number, so zeros at its front may be "
                "lost. Compare it with the source."
            )
            self.say(number, name, "doubt", message, cell.text)
        elif any(cells.turned_to_date(text) for text in texts):
            message = (
                f"{cell.text} looks like a date that a spreadsheet made of something else, such "
                "as a model 3-95. Compare it with the source."
            )
            self.say(number, name, "doubt", message, cell.text)

    def _is_remark(self, number: int, texts: Mapping[str, str]) -> bool:
        """A row with one cell only is a subtitle or a footnote of the table, not an entry."""
        filled = [name for name in self.columns.at if texts.get(name)]
        if self.columns.own or len(filled) > 1 or len(self.columns.at) < 3:
            return False
        message = "only one cell is filled: taken for a subtitle or a footnote and left out."
        self.say(number, filled[0], "doubt", message, texts[filled[0]])
        return True

    def _required(self, number: int, name: str, texts: Mapping[str, str]) -> str:
        value = cells.clean(texts.get(name, ""))
        if not value:
            self.say(number, name, "error", "the cell is empty. Every entry needs it.")
        return value

    def _scheme(self, number: int, texts: Mapping[str, str]) -> str:
        value = self._required(number, "scheme", texts).lower()
        if value and not _SCHEME.fullmatch(value):
            message = f"'{value}' is no scheme id. Write it as the rules files do: us-niosh."
            self.say(number, "scheme", "error", message, value)
        elif value and self.rules.schemes is not None and value not in self.rules.schemes:
            known = ", ".join(sorted(self.rules.schemes))
            message = f"there is no scheme '{value}' in the rule book. It has: {known}."
            self.say(number, "scheme", "error", message, value)
        return value

    def _body(self, number: int, name: str, texts: Mapping[str, str]) -> str:
        """A body number has four digits (Regulation (EU) 2016/425, article 17: its number)."""
        value = cells.clean(texts.get(name, ""))
        if value.isdecimal() and len(value) < 4:
            message = f"a body number has four digits; {value} has lost zeros. Write {value:0>4}."
            self.say(number, name, "error", message, value)
        elif value and not (value.isdecimal() and len(value) == 4):
            self.say(number, name, "doubt", f"'{value}' is no body number of four digits.", value)
        return value

    def _status(self, number: int, texts: Mapping[str, str]) -> Status:
        value = cells.clean(texts.get("status", ""))
        status = cells.status_of(value)
        if status is None:
            message = f"'{value}' is no status. Write one of: {', '.join(STATUSES)}."
            self.say(number, "status", "error", message, value)
        return status or "unknown"

    def _date(self, number: int, name: str, texts: Mapping[str, str]) -> dt.date | None:
        value = cells.clean(texts.get(name, ""))
        if not value:
            return None
        day = cells.date_of(value)
        if day is None:
            message = f"'{value}' is no date with one reading only. Write it as 2031-05-04."
            self.say(number, name, "error", message, value)
        elif name == "checked_on" and self.rules.on is not None and day > self.rules.on:
            message = f"{value} is after the day of this import ({self.rules.on.isoformat()})."
            self.say(number, name, "error", message, value)
        return day

    def _whole(self, number: int, entry: HolderEntry) -> None:
        if not (entry.approval_number or entry.certificate_number or entry.models):
            message = "there is no approval number, certificate number or model to look up by."
            self.say(number, "", "error", message)
        grammar = self.rules.grammar(entry.scheme)
        if grammar is not None and entry.approval_number:
            match = value_of(entry.approval_number, grammar)
            if match is None or match.nearness != "exact":
                message = (
                    f"'{entry.approval_number}' is not printed like a number of {entry.scheme}. "
                    "Compare it with the source."
                )
                self.say(number, "approval_number", "doubt", message, entry.approval_number)
