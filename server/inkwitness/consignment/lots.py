"""One lot of a consignment, decided on by itself: which goods it is, and what counts for it.

A unit belongs to a lot by the place it was drawn at (`LOT/C005/U02`) or by the lot that was
declared and that its place begins with. One of which that cannot be said stands in the way of
every lot: nothing is released for want of knowing where it belongs. These are decisions of this
project (no source).
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from inkwitness.consignment.dispositions import HOLDS, OUT, RELEASES, Act
from inkwitness.consignment.gate import Goods
from inkwitness.holders.numbers import normal_form


def lot_of(place: str, lots: Sequence[str]) -> str:
    """The declared lot that a place names; empty where it names none."""
    first = normal_form(place.partition("/")[0])
    return next((lot for lot in lots if normal_form(lot) == first), "")


def of_lot(goods: Goods, lot: str, sizes: Mapping[str, int | None]) -> Goods:
    """The goods of one lot, with the decisions on it, on the whole, and on its units.

    `sizes` has every declared lot with its units, None where nobody said how many. A plan counts
    for a lot once it drew units of it; a place that names no lot counts for each.
    """
    lots = list(sizes)
    units = tuple(unit for unit in goods.units if lot_of(unit.place, lots) in ("", lot))
    drawn = tuple(place for place in goods.drawn if lot_of(place, lots) in ("", lot))
    ids = {unit.unit_id for unit in units}
    return replace(
        goods,
        units=units,
        acts=goods.lot_acts.get(lot, ()),
        unit_acts={id_: acts for id_, acts in goods.unit_acts.items() if id_ in ids},
        drawn=drawn,
        has_plan=any(lot_of(place, lots) == lot for place in drawn),
        declared=sizes[lot],
        over=goods.acts,
        lot_acts={},
    )


def parted(acts: Sequence[Act]) -> tuple[tuple[Act, ...], dict[str, tuple[Act, ...]]]:
    """Decisions on the whole, and those on each lot, each in order."""
    whole = tuple(act for act in acts if not act.lot)
    lots = dict.fromkeys(act.lot for act in acts if act.lot)
    return whole, {lot: tuple(act for act in acts if act.lot == lot) for lot in lots}


def released_lot(acts: Sequence[Act], lot: str) -> str:
    """The release in force for a lot, of the whole or its own; empty where there is none.

    A hold or a way out, of either, ends it.
    """
    found = ""
    for act in acts:
        if act.lot not in ("", lot):
            continue
        if act.kind in RELEASES:
            found = act.kind
        elif act.kind in HOLDS or act.kind in OUT:
            found = ""
    return found
