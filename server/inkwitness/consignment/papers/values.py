"""What a paper is compared with, and what the comparison gave."""

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from inkwitness.findings.values import AspectState, Finding, Surface
from inkwitness.holders.values import HolderEntry
from inkwitness.marks.values import Mark
from inkwitness.rulebook.papers import Paper, PaperField, PaperPlace

#: The field of a paper that says what a mark says on goods.
_FIELD_OF: Mapping[str, PaperField] = {
    "body_number": "body_number",
    "manufacturer": "holder",
    "model": "product",
    "filter_class": "filter_class",
    "standard": "standard",
    "lot": "lots",
    "approval_number": "number",
}
_WORN: frozenset[Surface] = frozenset({"facepiece", "strap", "pouch"})
#: How two texts of one field lie beside each other. `resembles`: a person must look.
Alike = Literal["agrees", "resembles", "differs"]
#: The same of a field across all that says it; `alone`: only one does.
RowState = Literal["agrees", "resembles", "differs", "alone"]


@dataclass(frozen=True, slots=True)
class Said:
    """One thing that is said elsewhere: a text of a field, at a place; of papers, which one.

    `unit` tells apart the units whose print says it: one unit may bear two standards or classes.
    """

    field: PaperField
    value: str
    place: PaperPlace
    paper: Paper | None = None
    unit: str = ""

    @property
    def source(self) -> tuple[str, str]:
        """What says it: a paper, a unit's print or box, the list."""
        return self.place, self.paper.id or str(id(self.paper)) if self.paper else self.unit


@dataclass(frozen=True, slots=True)
class Beside:
    """Everything that papers lie beside. `said` has only what is read or confirmed on the goods.

    `schemes` are those that the goods claim; `first_offer` is the day on which they were first
    offered, where a person said so. `on` is the day of the check.
    """

    papers: tuple[Paper, ...]
    on: dt.date
    said: tuple[Said, ...] = ()
    entries: tuple[HolderEntry, ...] = ()
    schemes: frozenset[str] = frozenset()
    first_offer: dt.date | None = None


@dataclass(frozen=True, slots=True)
class PaperCell:
    """One text of a field in the table of papers and goods; `paper_id` where a paper says it."""

    place: PaperPlace
    value: str
    paper_id: str = ""


@dataclass(frozen=True, slots=True)
class PaperRow:
    """One field across papers and goods; `state` is how its texts lie beside each other."""

    field: PaperField
    state: RowState
    cells: tuple[PaperCell, ...]


@dataclass(frozen=True, slots=True)
class PapersJudged:
    """Findings on the papers of some goods, the state of their aspect, and the table of fields."""

    state: AspectState
    findings: tuple[Finding, ...] = ()
    table: tuple[PaperRow, ...] = ()


def said_by_marks(marks: Iterable[Mark], place: PaperPlace, unit: str = "") -> tuple[Said, ...]:
    """What marks say that may be compared, each under the field of a paper that says the same."""
    return tuple(
        dict.fromkeys(
            Said(_FIELD_OF[mark.mark], mark.value or mark.printed, place, unit=unit)
            for mark in marks
            if mark.mark in _FIELD_OF and sure(mark)
        )
    )


def place_of(surface: Surface) -> PaperPlace:
    """Whether a surface counts as the goods themselves or as their box."""
    return "print" if surface in _WORN else "box"


def sure(mark: Mark) -> bool:
    """Whether a mark may be compared: read or confirmed, and named by more than its place."""
    return mark.standing == "read" and mark.named_by != "place" and bool(mark.value or mark.printed)


def said_by_entry(entry: HolderEntry) -> tuple[Said, ...]:
    """What an entry of the user's list says, field by field."""
    texts: list[tuple[PaperField, str]] = [
        ("holder", entry.holder),
        ("number", entry.approval_number),
        ("certificate", entry.certificate_number),
        ("body_number", entry.production_body),
        ("certificate_body", entry.examination_body),
        *(("product", model) for model in entry.models),
        *(("filter_class", name) for name in entry.filter_classes),
    ]
    return tuple(Said(name, value, "list") for name, value in texts if value)
