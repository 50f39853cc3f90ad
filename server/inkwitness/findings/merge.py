"""Several photos of one unit made one: facepiece, strap, pouch, boxes, leaflet.

Marks keep their place. A mark that may stand on the packaging is looked for there, and a facepiece
and a box that disagree are a conflict (rule `x-facepiece-and-box-differ`), both places named.
Two items of one photo are never merged: they are two units.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TypeVar

from inkwitness.errors import BadInput
from inkwitness.findings.evidence import is_free
from inkwitness.findings.judge import judge_unit, schemes_of
from inkwitness.findings.values import Finding, Item, Placed
from inkwitness.marks.values import Mark
from inkwitness.rulebook.values import Rulebook

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Unit:
    """What several photos of one unit say together."""

    marks: tuple[Placed, ...]
    schemes: tuple[str, ...]
    findings: tuple[Finding, ...]


def unit_of(items: Sequence[Item], rulebook: Rulebook) -> Unit:
    """Judge the photos of one unit together; all must be made for the same date.

    Raises BadInput without an item, or with items of different dates.
    """
    if not items:
        raise BadInput("unit_without_photo")
    if len({item.circumstances.on for item in items}) > 1:
        raise BadInput("unit_of_two_dates")
    marks = tuple(
        Placed(mark, item.circumstances.surface, number)
        for number, item in enumerate(items)
        for mark in item.marks
    )
    return Unit(
        marks=marks,
        schemes=schemes_of(items, rulebook),
        findings=judge_unit(items, rulebook),
    )


def best_of(places: Iterable[T], mark_of: Callable[[T], Mark]) -> dict[str, T]:
    """One occurrence of each mark, by its name: confirmed before read before doubtful before print
    that only its place names, then the more probable.
    """
    best: dict[str, T] = {}
    for place in places:
        mark = mark_of(place)
        held = best.get(mark.mark)
        if held is None or _weight(mark) > _weight(mark_of(held)):
            best[mark.mark] = place
    return best


def _weight(mark: Mark) -> tuple[bool, bool, int, float]:
    standing = {"read": 2, "doubtful": 1, "absent": 0}[mark.standing]
    return mark.confirmed, not is_free(mark), standing, mark.probability
