"""Values of the check stage."""

from collections.abc import Mapping
from dataclasses import dataclass

from inkwitness.check.contract import CheckOut
from inkwitness.findings.values import Circumstances
from inkwitness.holders.values import ReadLine
from inkwitness.marks.values import Mark
from inkwitness.photo.values import Pixels, Polygon


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


@dataclass(frozen=True, slots=True, eq=False)
class Checked:
    """A check and the straightened pictures of its lines (BGR), by line index."""

    out: CheckOut
    strips: Mapping[int, Pixels]


@dataclass(frozen=True, slots=True)
class ItemRead:
    """What was read of one item, before any judgement.

    `legible` is False where the photo shows print that could not be read. A mark with empty
    `printed` is one that a person could not read either. `numbers` are the indices of the lines in
    the check.
    """

    marks: tuple[Mark, ...]
    lines: tuple[str, ...]
    polygon: Polygon
    legible: bool
    numbers: tuple[int, ...] = ()

    def to_search(self, photo: int = 0) -> tuple[ReadLine, ...]:
        """The lines as the list searches them, each with the marks that stand on it."""
        return tuple(
            ReadLine(text, number, photo, tuple(mark for mark in self.marks if mark.line == number))
            for number, text in zip(self.numbers, self.lines, strict=True)
        )


@dataclass(frozen=True, slots=True)
class UnitPhoto:
    """One photo of a unit: its check, and what a person said beside the picture."""

    check: CheckOut
    circumstances: Circumstances
