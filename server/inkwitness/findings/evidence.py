"""What a unit's photos show, placed: the base that conditions and checks ask."""

import datetime as dt
import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from inkwitness.findings.values import Item, Placed, Surface
from inkwitness.marks.dates import DateReading, readings
from inkwitness.marks.values import Mark
from inkwitness.rulebook.kinds import Seen
from inkwitness.rulebook.values import Scheme

PACKAGING: frozenset[Surface] = frozenset({"pouch", "inner_box", "carton", "leaflet"})
#: Marks whose values other schemes use too: where a scheme that is not covered is named, they alone
#: claim none.
_SHARED = frozenset({"filter_class", "level", "mask_type"})


@dataclass(frozen=True)
class Evidence:
    """Marks that were seen (not the absent ones), of one photo or of several of one unit.

    `free` is print whose name is only a guess from its place: no rule looks at it, but it may be a
    mark that is not seen. `claimed_on` says which schemes the marks of each surface claim.
    """

    items: tuple[Item, ...]
    placed: tuple[Placed, ...]
    claimed: Mapping[str, bool] = field(default_factory=dict)
    free: tuple[Placed, ...] = ()
    claimed_on: Mapping[Surface, frozenset[str]] = field(default_factory=dict)

    @property
    def on(self) -> dt.date:
        return self.items[0].circumstances.on

    @cached_property
    def surfaces(self) -> frozenset[Surface]:
        return frozenset(item.circumstances.surface for item in self.items)

    @cached_property
    def seen_whole(self) -> frozenset[Surface]:
        """Surfaces photographed whole and legible: only there can a mark be missing."""
        return frozenset(
            item.circumstances.surface
            for item in self.items
            if item.circumstances.whole == "yes" and item.all_legible
        )

    @cached_property
    def declared(self) -> frozenset[str]:
        return frozenset(word for item in self.items for word in item.circumstances.declared)

    @cached_property
    def told(self) -> Mapping[str, str]:
        return {key: value for item in self.items for key, value in item.circumstances.told}

    @cached_property
    def text(self) -> str:
        return "\n".join(line for item in self.items for line in item.lines)

    def find(self, seen: Seen) -> tuple[Placed, ...]:
        """The placed marks that answer a description, sure ones first."""
        hits = [
            placed
            for placed in self.placed
            if answers(placed.mark, seen) and (not seen.on or placed.surface in seen.on)
        ]
        return tuple(sorted(hits, key=lambda placed: not placed.sure))

    def named(self, mark: str, scheme: str = "") -> tuple[Placed, ...]:
        return self.find(Seen(mark=mark, scheme=scheme))

    def dates(self, placed: Placed) -> tuple[DateReading, ...]:
        """Every way to read a date mark; a person's answer on the order (told) leaves one."""
        order = self.told.get("date_order", "")
        return readings(placed.mark.value, order) or readings(placed.mark.printed, order)


def surface_names(surfaces: Collection[Surface]) -> str:
    """Surfaces as a sentence has them: an inner box is a box, as on the page.

    >>> surface_names({"inner_box", "facepiece"})
    'box, facepiece'
    """
    return ", ".join(sorted(surface.removeprefix("inner_") for surface in surfaces))


def answers(mark: Mark, seen: Seen) -> bool:
    """True where the mark has the name, the value and the ink that are described."""
    return (
        mark.mark == seen.mark
        and (not seen.scheme or mark.scheme == seen.scheme)
        and (not seen.matches or re.search(seen.matches, mark.value) is not None)
        and (not seen.printed or re.search(seen.printed, mark.printed) is not None)
    )


def evidence_of(items: Sequence[Item], schemes: Sequence[Scheme]) -> Evidence:
    """Place the marks of one or more photos of a unit and decide which schemes they claim."""
    every = tuple(
        Placed(mark, item.circumstances.surface, number)
        for number, item in enumerate(items)
        for mark in item.marks
        if mark.standing != "absent"
    )
    placed = tuple(one for one in every if not is_free(one.mark))
    bare = Evidence(tuple(items), placed)
    claimed = claimed_schemes(bare, schemes)
    together = {surface: _of_one_piece(surface, bare.surfaces) for surface in bare.surfaces}
    here = {
        surfaces: frozenset(claimed) & frozenset(claimed_schemes(_only(bare, surfaces), schemes))
        for surfaces in set(together.values())
    }
    return Evidence(
        bare.items,
        placed,
        claimed,
        tuple(one for one in every if is_free(one.mark)),
        {surface: here[surfaces] for surface, surfaces in together.items()},
    )


def is_free(mark: Mark) -> bool:
    """Whether only its place says what the print is, and no person has said so."""
    return mark.named_by == "place" and not mark.confirmed


def same_piece(first: Placed, second: Placed) -> bool:
    """Whether two marks stand on one piece: the mask with its straps, or one kind of packaging."""
    return first.surface == second.surface or not {first.surface, second.surface} & PACKAGING


def _of_one_piece(surface: Surface, surfaces: frozenset[Surface]) -> frozenset[Surface]:
    return frozenset({surface}) if surface in PACKAGING else surfaces - PACKAGING


def _only(evidence: Evidence, surfaces: frozenset[Surface]) -> Evidence:
    return Evidence(
        evidence.items, tuple(one for one in evidence.placed if one.surface in surfaces)
    )


def claimed_schemes(evidence: Evidence, schemes: Sequence[Scheme]) -> dict[str, bool]:
    """Scheme id to whether a sure mark claims it (False: only doubtful marks do).

    Marks that claim a scheme whatever else stands there are asked first; then those that another
    scheme may explain (an N95 beside NOM-116 is that norm's class). Where a scheme that these rules
    do not cover is named, a class alone claims none: it may be that scheme's.
    """
    claimed: dict[str, bool] = {}
    uncovered = any(placed.sure for placed in evidence.named("uncovered_scheme"))
    for conditional in (False, True):
        before = dict(claimed)
        for scheme in schemes:
            for claim in scheme.claimed_by:
                if bool(claim.unless_claimed) is not conditional:
                    continue
                if any(before.get(other, False) for other in claim.unless_claimed):
                    continue
                if uncovered and claim.mark in _SHARED:
                    continue
                hits = evidence.find(
                    Seen(mark=claim.mark, matches=claim.matches, scheme=claim.scheme)
                )
                if hits:
                    claimed[scheme.scheme] = claimed.get(scheme.scheme, False) or hits[0].sure
    return claimed
