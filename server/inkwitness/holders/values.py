"""Values of the holders stage: the user's list, and what comparing a print with it gave."""

import datetime as dt
import re
from dataclasses import dataclass
from typing import Literal

from inkwitness.holders.numbers import normal_form
from inkwitness.marks.values import Mark

Status = Literal["current", "expired", "rescinded", "suspended", "unknown"]
STATUSES: tuple[Status, ...] = ("current", "expired", "rescinded", "suspended", "unknown")
ListState = Literal[
    "listed_agrees",
    "listed_differs",
    "listed_ended",
    "near",
    "not_listed",
    "list_too_old",
    "no_list_for_scheme",
    "nothing_to_look_up",
]
#: `doubtful`: as listed, but a letter is doubtful, so it does not count as agreement.
FieldState = Literal["agrees", "doubtful", "differs", "not_on_entry", "not_read"]
#: `near`: like it but for signs that are taken for each other, or a letter. Never a match.
SearchState = Literal["printed", "near", "not_seen"]
#: What of an entry is looked for in the lines.
SearchField = Literal["manufacturer", "model"]

_FICTIONAL = re.compile(r"\bFICTIONAL\b")


@dataclass(frozen=True, slots=True)
class PrivateLabel:
    """Another firm's name under which the holder's goods are sold, with the models sold so.

    No models means that the list does not say which.
    """

    name: str
    models: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class HolderEntry:
    """One row of the list: one approval or one type certificate.

    `scheme` is the id of a rules file (`us-niosh`). `other_names` are the holder's other names and
    trade marks. `examination_body` examined the type, `production_body` supervises production and
    is the one printed beside CE. `valid_until` is the last day, or for an ended entry the day on
    which it ended. Nothing is deleted from a list: an ended entry keeps its row and date.
    """

    scheme: str
    holder: str
    approval_number: str = ""
    certificate_number: str = ""
    other_names: tuple[str, ...] = ()
    private_labels: tuple[PrivateLabel, ...] = ()
    filter_classes: tuple[str, ...] = ()
    models: tuple[str, ...] = ()
    examination_body: str = ""
    production_body: str = ""
    status: Status = "unknown"
    valid_until: dt.date | None = None
    source: str = ""
    checked_on: dt.date | None = None
    checked_by: str = ""

    @property
    def key(self) -> str:
        """What tells this row from every other: scheme and number, or scheme, holder and models."""
        number = normal_form(self.approval_number)
        if number:
            return f"{self.scheme} number {number}"
        certificate = normal_form(self.certificate_number)
        if certificate:
            return f"{self.scheme} certificate {certificate}"
        models = " ".join(sorted(normal_form(model) for model in self.models))
        return f"{self.scheme} holder {' '.join(self.holder.casefold().split())} models {models}"

    @property
    def fictional(self) -> bool:
        """Whether the row carries the word FICTIONAL: then it cannot enter a live list."""
        return any(_FICTIONAL.search(text) for text in (self.source, self.holder, self.checked_by))

    def status_on(self, day: dt.date) -> Status:
        """The status on a day: a current entry whose last day is over counts as expired."""
        if self.status == "current" and self.valid_until is not None and day > self.valid_until:
            return "expired"
        return self.status


@dataclass(frozen=True, slots=True, weakref_slot=True)
class HolderList:
    """One edition of the user's list. It never changes; a change makes the next edition.

    `edition` counts from 1; None for a file that was never stored. `checked_on` is the day on
    which the whole list was last compared with its sources, None if nobody said.
    """

    name: str
    entries: tuple[HolderEntry, ...]
    edition: int | None = None
    checked_on: dt.date | None = None
    fictional: bool = False


@dataclass(frozen=True, slots=True)
class FieldComparison:
    """One field of the print beside the entry. `note` is a message key or empty.

    Keys: `ask_the_holder`, `ask_the_body`, `private_label`, `short_name`, `written_differently`,
    `resembles`, `doubtful`, `status_unknown`, `ended`, `scheme_without_list`.
    """

    field: str
    state: FieldState
    printed: str = ""
    listed: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class LetterPair:
    """One position of a near number, printed beside listed; None where a letter has no partner."""

    printed: str | None
    listed: str | None
    differs: bool


@dataclass(frozen=True, slots=True)
class NearMatch:
    """An entry whose number (or model) is near what is printed, and not equal: never a match."""

    approval_number: str
    holder: str
    distance: float
    letters: tuple[LetterPair, ...]


@dataclass(frozen=True, slots=True)
class ReadLine:
    """A line as it was read, to be searched: its text, its index, the photo, the marks on it."""

    text: str
    index: int | None = None
    photo: int = 0
    marks: tuple[Mark, ...] = ()


@dataclass(frozen=True, slots=True)
class Searched:
    """A name or model of an entry, looked for in the lines: a question to a person, no reading.

    `listed` is the name or model, or all of them where none was seen; `holder` and
    `approval_number` say of which entry. `printed` is the ink at `span` of line `line` of photo
    `photo` (a position in the unit's photos). `mark_id` names the mark that this ink was taken
    for by its place alone; empty where it is none.
    """

    field: SearchField
    state: SearchState
    listed: str
    holder: str = ""
    approval_number: str = ""
    printed: str = ""
    photo: int = 0
    line: int | None = None
    span: tuple[int, int] | None = None
    mark_id: str = ""


@dataclass(frozen=True, slots=True)
class HolderMatch:
    """What the user's list says about one item. See `holders.match` for the states."""

    state: ListState
    looked_up: str = ""
    holder: str = ""
    status: str = ""
    fields: tuple[FieldComparison, ...] = ()
    near: tuple[NearMatch, ...] = ()
    searched: tuple[Searched, ...] = ()
    list_name: str = ""
    list_edition: int | None = None
    list_checked_on: dt.date | None = None
    list_age_days: int | None = None
    list_too_old: bool = False
    fictional: bool = False
    question: bool = False
    says: str = ""
