"""One row of a table into one entry of the list, and every problem found on the way.

Nothing is put right silently. A problem is an `error` (the row cannot enter) or a `doubt` (it can,
once a person has looked): what a spreadsheet may have done to a number is never undone by guess.
"""

import datetime as dt
import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from inkwitness import phrases
from inkwitness.holders.files import cells
from inkwitness.holders.files.columns import Columns
from inkwitness.holders.files.tables import EMPTY, Cell
from inkwitness.holders.values import STATUSES, HolderEntry, Status
from inkwitness.marks.grammar import Grammar
from inkwitness.marks.match import value_of
from inkwitness.phrases import Said, Sentence

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
    why: Sentence
    value: str = ""

    @property
    def message(self) -> str:
        """What is wrong in English, for logs and tests."""
        return self.why.said(phrases.shipped().of("en"))

    @property
    def sentence(self) -> Sentence:
        """Where it is and what to do."""
        if not self.column:
            return Sentence("error.row_wrong_whole", {"row": self.row, "why": self.why})
        values: dict[str, Said] = {"row": self.row, "column": self.column, "why": self.why}
        return Sentence("error.row_wrong", values)


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

    def say(
        self, number: int, column: str, level: Level, key: str, value: str = "", **others: Said
    ) -> None:
        """Note a problem of a row by its key; `column` is a field name or empty."""
        name = self.columns.name_of(column) if column else ""
        why = Sentence(f"error.{key}", {"value": value, **others})
        self.problems.append(Problem(number, name, level, why, value))

    def _fields(self) -> list[str]:
        return [*self.columns.at, *(f for f in self.columns.fixed if f not in self.columns.at)]

    def _text(self, number: int, name: str, row: Sequence[Cell]) -> str:
        index = self.columns.at.get(name)
        cell = row[index] if index is not None and index < len(row) else EMPTY
        if not cell.text and name in self.columns.fixed:
            return self.columns.fixed[name]
        value = cell.text
        if cell.kind == "formula":
            self.say(number, name, "error", "row_formula", value)
        elif cell.kind == "fault":
            self.say(number, name, "error", "row_fault", value)
        elif name in _NUMBERS:
            self._spreadsheet(number, name, cell)
        return cells.unguarded(value) if self.columns.own else value

    def _spreadsheet(self, number: int, name: str, cell: Cell) -> None:
        """What a spreadsheet may have made of a number or a model."""
        pieces = re.split(r"[;,\n]", cell.text) if name == "models" else [cell.text]
        texts = [cells.clean(piece) for piece in pieces]
        if cell.kind == "date":
            self.say(number, name, "error", "row_date_kept", cell.text)
        elif cell.kind == "decimal" or any(cells.turned_to_exponent(text) for text in texts):
            self.say(number, name, "error", "row_digits_lost", cell.text)
        elif cell.kind == "whole":
            self.say(number, name, "doubt", "row_zeros_lost", cell.text)
        elif any(cells.turned_to_date(text) for text in texts):
            self.say(number, name, "doubt", "row_looks_like_date", cell.text)

    def _is_remark(self, number: int, texts: Mapping[str, str]) -> bool:
        """A row with one cell only is a subtitle or a footnote of the table, not an entry."""
        filled = [name for name in self.columns.at if texts.get(name)]
        if self.columns.own or len(filled) > 1 or len(self.columns.at) < 3:
            return False
        self.say(number, filled[0], "doubt", "row_remark", texts[filled[0]])
        return True

    def _required(self, number: int, name: str, texts: Mapping[str, str]) -> str:
        value = cells.clean(texts.get(name, ""))
        if not value:
            self.say(number, name, "error", "row_empty")
        return value

    def _scheme(self, number: int, texts: Mapping[str, str]) -> str:
        value = self._required(number, "scheme", texts).lower()
        if value and not _SCHEME.fullmatch(value):
            self.say(number, "scheme", "error", "row_no_scheme_id", value)
        elif value and self.rules.schemes is not None and value not in self.rules.schemes:
            known = ", ".join(sorted(self.rules.schemes))
            self.say(number, "scheme", "error", "row_scheme_unknown", value, known=known)
        return value

    def _body(self, number: int, name: str, texts: Mapping[str, str]) -> str:
        """A body number has four digits (Regulation (EU) 2016/425, article 17: its number)."""
        value = cells.clean(texts.get(name, ""))
        if value.isdecimal() and len(value) < 4:
            self.say(number, name, "error", "row_body_zeros", value, whole=f"{value:0>4}")
        elif value and not (value.isdecimal() and len(value) == 4):
            self.say(number, name, "doubt", "row_no_body", value)
        return value

    def _status(self, number: int, texts: Mapping[str, str]) -> Status:
        value = cells.clean(texts.get("status", ""))
        status = cells.status_of(value)
        if status is None:
            allowed = ", ".join(STATUSES)
            self.say(number, "status", "error", "row_no_status", value, allowed=allowed)
        return status or "unknown"

    def _date(self, number: int, name: str, texts: Mapping[str, str]) -> dt.date | None:
        value = cells.clean(texts.get(name, ""))
        if not value:
            return None
        day = cells.date_of(value)
        if day is None:
            self.say(number, name, "error", "row_no_date", value)
        elif name == "checked_on" and self.rules.on is not None and day > self.rules.on:
            on = self.rules.on.isoformat()
            self.say(number, name, "error", "row_after_import", value, day=on)
        return day

    def _whole(self, number: int, entry: HolderEntry) -> None:
        if not (entry.approval_number or entry.certificate_number or entry.models):
            self.say(number, "", "error", "row_nothing_to_look_up")
        grammar = self.rules.grammar(entry.scheme)
        if grammar is not None and entry.approval_number:
            match = value_of(entry.approval_number, grammar)
            if match is None or match.nearness != "exact":
                key, value = "row_printed_otherwise", entry.approval_number
                self.say(number, "approval_number", "doubt", key, value, scheme=entry.scheme)
