"""The two values that a check is made of: what was read, and what that was judged to be.

A `Reading` never changes and knows neither rules of judging nor a list. A `Judgement` is made of
it for a day, with people's words, by an edition of the rules and one of the list; there may be many
of one reading. `UnitJudgement` is the same for the readings of one unit. `check.outward` makes the
public contract of them.
"""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from inkwitness.findings.merge import best_of
from inkwitness.findings.outcome import Outcome
from inkwitness.findings.values import (
    Aspect,
    AspectState,
    Circumstances,
    Finding,
    Placed,
    Surface,
    Whole,
)
from inkwitness.holders.values import HolderMatch, ReadLine
from inkwitness.marks.values import Mark
from inkwitness.photo.values import Pixels, Polygon, QualityFact

Basis = Literal["reading", "confirmed"]

#: The note of a reading that left print unread: nothing is then called absent.
UNREAD_PRINT = "print_that_could_not_be_read"
#: What a person may call ink that is no mark: print of another kind, or no print at all.
OTHER_TEXT, NOT_A_MARK = "other_text", "not_a_mark"
NO_MARKS = frozenset({OTHER_TEXT, NOT_A_MARK})


@dataclass(frozen=True, slots=True)
class Confirmation:
    """A person's word on one mark of one item.

    `printed` is what the person says is printed, letter for letter; None means that it cannot be
    read. `occurrence` counts marks of the same name in the item, from 0; it is how words that were
    stored before marks had ids name one. `id` names the mark; `named` is what the person says that
    it is, where that is another mark than `mark` (`other_text`: print that is no mark).
    """

    item: int
    mark: str
    printed: str | None
    scheme: str = ""
    occurrence: int = 0
    id: str = ""
    named: str = ""


@dataclass(frozen=True, slots=True)
class LineView:
    """One augmentation of a line as the first reader saw it: its text, confidence 0-1."""

    augmentation: str
    text: str
    confidence: float


@dataclass(frozen=True, slots=True)
class LineRead:
    """One line of print; `polygon` and `x_height_px` in pixels of the photo, `index` within it.

    `text` is what all readers together made out; `views` are the augmentations, the best first.
    """

    index: int
    text: str
    confidence: float = 1.0
    polygon: Polygon = ()
    x_height_px: float = 0.0
    views: tuple[LineView, ...] = ()


@dataclass(frozen=True, slots=True)
class ItemRead:
    """What was read of one unit or box that a photo shows, before any judgement.

    A mark with empty `printed` is one that a person could not read either.
    """

    polygon: Polygon
    lines: tuple[LineRead, ...]
    marks: tuple[Mark, ...]

    def to_search(self, photo: int = 0) -> tuple[ReadLine, ...]:
        """The lines as the list searches them, each with the marks that stand on it."""
        return tuple(
            ReadLine(
                line.text,
                line.index,
                photo,
                tuple(mark for mark in self.marks if mark.line == line.index),
            )
            for line in self.lines
        )


@dataclass(frozen=True, slots=True)
class Reading:
    """All that was read in one photo: kept once, and never changed.

    `sha256` names the bytes, `width` and `height` are pixels as a viewer turns the photo, `turn`
    is the clockwise rotation in degrees that brings the print upright. `items` are ordered by
    size, the largest first. `rules_edition` is that of the grammars that found the marks.
    """

    photo: str
    sha256: str
    width: int
    height: int
    turn: float
    quality: tuple[QualityFact, ...]
    items: tuple[ItemRead, ...]
    readers: tuple[str, ...]
    notes: tuple[str, ...]
    milliseconds: int
    rules_edition: str

    @property
    def legible(self) -> bool:
        """False where the photo shows print that could not be read."""
        return UNREAD_PRINT not in self.notes


@dataclass(frozen=True, slots=True, eq=False)
class PhotoRead:
    """A reading and the straightened pictures of its lines (BGR), by line index."""

    reading: Reading
    images: Mapping[int, Pixels]


@dataclass(frozen=True, slots=True)
class ItemJudged:
    """One item of a reading, judged. `marks` are those of the reading with people's words in
    place, and those that were looked for and are absent.
    """

    surface: Surface
    whole: Whole
    schemes: tuple[str, ...]
    marks: tuple[Mark, ...]
    findings: tuple[Finding, ...]
    holder_match: HolderMatch
    aspects: Mapping[Aspect, AspectState]


@dataclass(frozen=True, slots=True)
class Judgement:
    """What a reading was judged to be, for the day `on`: of all items the worst.

    `notes` are message keys of this judgement, beside those of the reading.
    """

    on: dt.date
    outcome: Outcome
    basis: Basis
    aspects: Mapping[Aspect, AspectState]
    items: tuple[ItemJudged, ...]
    rules_edition: str
    notes: tuple[str, ...] = ()

    @property
    def scheme(self) -> str:
        """The first scheme that the largest item claims, or an empty string."""
        return next((name for item in self.items[:1] for name in item.schemes), "")

    @property
    def best(self) -> dict[str, Mark]:
        """The best occurrence of each mark of the largest item."""
        marks = self.items[0].marks if self.items else ()
        return best_of([mark for mark in marks if mark.mark not in NO_MARKS], lambda mark: mark)

    @property
    def holder_match(self) -> HolderMatch:
        """What the list says of the largest item."""
        return self.items[0].holder_match if self.items else HolderMatch("nothing_to_look_up")


@dataclass(frozen=True, slots=True)
class Check:
    """One photo, checked: what was read, and what that was judged to be."""

    reading: Reading
    judgement: Judgement

    def marks_of(self, item: int) -> tuple[Mark, ...]:
        """The marks of an item as they were judged; none where there is no such item."""
        items = self.judgement.items
        return items[item].marks if item < len(items) else ()


@dataclass(frozen=True, slots=True)
class UnitPhoto:
    """One photo of a unit: its check, and what a person said beside the picture."""

    check: Check
    circumstances: Circumstances


@dataclass(frozen=True, slots=True)
class PhotoJudged:
    """One photo of a unit, and what it came to on its own."""

    photo: str
    sha256: str
    surface: Surface
    whole: Whole
    outcome: Outcome
    basis: Basis


@dataclass(frozen=True, slots=True)
class FurtherItem:
    """A further item that photo number `photo` of a unit shows: judged alone, never merged."""

    photo: int
    item: int
    outcome: Outcome
    findings: tuple[Finding, ...]
    holder_match: HolderMatch


@dataclass(frozen=True, slots=True)
class UnitJudgement:
    """Several readings of one unit, judged together: the largest item of each, marks in place.

    `placed` are all marks that were seen, `best` one occurrence of each name. `basis` is
    `confirmed` only where every photo's judgement is.
    """

    on: dt.date
    outcome: Outcome
    basis: Basis
    aspects: Mapping[Aspect, AspectState]
    photos: tuple[PhotoJudged, ...]
    schemes: tuple[str, ...]
    placed: tuple[Placed, ...]
    findings: tuple[Finding, ...]
    holder_match: HolderMatch
    others: tuple[FurtherItem, ...]
    rules_edition: str

    @property
    def scheme(self) -> str:
        """The first scheme that the unit claims, or an empty string."""
        return self.schemes[0] if self.schemes else ""

    @property
    def best(self) -> dict[str, Placed]:
        """The best occurrence of each mark."""
        return best_of(self.placed, lambda placed: placed.mark)
