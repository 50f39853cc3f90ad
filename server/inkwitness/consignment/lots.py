"""One lot of a consignment, decided on by itself: which goods it is, and what counts for it.

A unit belongs to a lot by the place it was drawn at (`LOT/C005/U02`) or by the lot that was
declared and that its place begins with. One of which that cannot be said stands in the way of
every lot: nothing is released for want of knowing where it belongs. What was decided on a lot that
is not declared any more counts for each that is: which of them has its goods now is not known.
These are decisions of this project (no source).
"""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Literal

from inkwitness.consignment.dispositions import (
    HOLDS,
    OUT,
    RELEASES,
    Act,
    answer_differs,
    awaited,
    held,
)
from inkwitness.consignment.draws import Draw, lot_form
from inkwitness.consignment.gate import OPEN, Goods, decided
from inkwitness.consignment.values import UnitState


def lot_of(place: str, lots: Iterable[str]) -> str:
    """The declared lot that a place names; empty where it names none."""
    first = lot_form(place.partition("/")[0])
    return next((lot for lot in lots if lot_form(lot) == first), "")


def of_lot(goods: Goods, lot: str, sizes: Mapping[str, int | None]) -> Goods:
    """The goods of one lot, with the decisions on it, on the whole, and on its units.

    `sizes` has every declared lot with its units, None where nobody said how many. A plan counts
    for a lot once it drew units of it; a place that names no lot counts for each. A unit of which
    no lot is known makes the lot larger by itself: it is not one of those that were looked at.
    """
    mine, lots = lot_form(lot), [*sizes, lot]

    def among(place: str) -> str:
        return lot_form(lot_of(place, lots))

    units = tuple(unit for unit in goods.units if among(unit.place) in ("", mine))
    known = sum(unit.count for unit in units if among(unit.place))
    ids = {unit.unit_id for unit in units}
    said = next((n for code, n in sizes.items() if lot_form(code) == mine), None)
    size = None if said is None else max(said, known)
    on_lots = {**goods.lot_acts, **goods.lost}
    return replace(
        goods,
        units=units,
        acts=tuple(act for code, acts in on_lots.items() if lot_form(code) == mine for act in acts),
        unit_acts={id_: acts for id_, acts in goods.unit_acts.items() if id_ in ids},
        draws=tuple(_of_lot(draw, mine, among) for draw in goods.draws),
        declared=None if size is None else size + sum(unit.count for unit in units) - known,
        sizes={} if size is None else {lot: size},
        over=goods.acts,
        lot_acts={},
        lost={code: acts for code, acts in goods.lost.items() if lot_form(code) != mine},
        gone=mine not in {lot_form(code) for code in sizes},
    )


def _of_lot(draw: Draw, lot: str, among: Callable[[str], str]) -> Draw:
    """A draw as one lot has it: of size 0 where it drew nothing of the lot."""
    drew = any(among(place) == lot for place in draw.places)
    places = tuple(place for place in draw.places if among(place) in ("", lot))
    return replace(draw, places=places, size=draw.size if drew else 0)


def parted(acts: Sequence[Act]) -> tuple[tuple[Act, ...], dict[str, tuple[Act, ...]]]:
    """Decisions on the whole, and those on each lot, each in order.

    A lot is named as it was written first; another spelling of it is the same lot.
    """
    whole = tuple(act for act in acts if not act.lot)
    names: dict[str, str] = {}
    for act in acts:
        if act.lot:
            names.setdefault(lot_form(act.lot), act.lot)
    return whole, {
        name: tuple(act for act in acts if act.lot and lot_form(act.lot) == form)
        for form, name in names.items()
    }


def still_declared(
    on_lots: Mapping[str, tuple[Act, ...]], declared: Collection[str]
) -> tuple[dict[str, tuple[Act, ...]], dict[str, tuple[Act, ...]]]:
    """Decisions on lots, those on declared lots apart from those on lots of before."""
    there = {lot_form(code) for code in declared}
    return (
        {code: acts for code, acts in on_lots.items() if lot_form(code) in there},
        {code: acts for code, acts in on_lots.items() if lot_form(code) not in there},
    )


def leaves(been: Collection[str], place: str, lots: Collection[str]) -> frozenset[str]:
    """The lots, by their form, that a unit leaves when it is put at another place.

    `been` are all places that it had among these goods. Where the new place names no lot it leaves
    none: it then stands in the way of each.
    """
    to = _named(place, lots)
    if not to:
        return frozenset()
    return frozenset(_named(one, lots) for one in been) - {"", to}


def stays(
    unit: UnitState, on_it: Sequence[Act], on_left: Iterable[Sequence[Act]]
) -> Literal["", "held", "asked", "unread", "undecided"]:
    """What keeps a unit from leaving goods; empty where it may leave them.

    `on_it` are the decisions on the unit, `on_left` those on each of the goods that it would leave.
    Goods on hold, asked about, not read, or with an open outcome are not moved out of sight.
    """
    left = list(on_left)
    if any(held([act.kind for act in acts]) for acts in left):
        return "held"
    if any(awaited(acts) or answer_differs(acts) for acts in left):
        return "asked"
    if not unit.photos or any(photo.outcome is None for photo in unit.photos):
        return "unread"
    return "undecided" if unit.outcome in OPEN and not decided(unit, on_it) else ""


def _named(place: str, lots: Collection[str]) -> str:
    """What a place says first, declared as a lot or not: lots may be declared later."""
    first, slash, _ = place.partition("/")
    return lot_form(first) if slash else lot_form(lot_of(place, lots))


def released_lot(acts: Sequence[Act], lot: str) -> str:
    """The release in force for a lot, of the whole or its own; empty where there is none.

    A hold or a way out, of either, ends it.
    """
    found, mine = "", lot_form(lot)
    for act in acts:
        if act.lot and lot_form(act.lot) != mine:
            continue
        if act.kind in RELEASES:
            found = act.kind
        elif act.kind in HOLDS or act.kind in OUT:
            found = ""
    return found
