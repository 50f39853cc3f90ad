"""Whether units are one product: each mark's distinct values over the units, and which differ.

A table and no verdict: values stand as they are printed, the most frequent first, and nothing
is weighed. Only marks that are read or confirmed are in it; what no unit bears is left out.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from inkwitness.consignment.across import UnitPrint
from inkwitness.holders.numbers import normal_form

#: Marks that are laid beside each other, in this order.
COMPARED = (
    "approval_number",
    "model",
    "manufacturer",
    "filter_class",
    "standard",
    "body_number",
    "lot",
    "manufacture_date",
    "expiry_date",
)


@dataclass(frozen=True, slots=True)
class PrintedValue:
    """One value as printed first, the units that bear it, and how many bear it on each side."""

    value: str
    unit_ids: tuple[str, ...]
    on_packaging: int
    on_mask: int


@dataclass(frozen=True, slots=True)
class Spread:
    """A mark over the units. `differ`: units that bear another value than the most frequent;
    `without`: units on which it was not read or confirmed."""

    mark: str
    values: tuple[PrintedValue, ...]
    differ: tuple[str, ...]
    without: tuple[str, ...]


def spreads(units: Sequence[UnitPrint]) -> tuple[Spread, ...]:
    """Each compared mark that a unit bears, in the order of `COMPARED`."""
    return tuple(
        _spread(mark, units) for mark in COMPARED if any(one.marks.get(mark) for one in units)
    )


def _spread(mark: str, units: Sequence[UnitPrint]) -> Spread:
    printed: dict[str, str] = {}
    bearing: dict[str, list[UnitPrint]] = {}
    for unit in units:
        for value in unit.marks.get(mark, ()):
            key = normal_form(value)
            printed.setdefault(key, value)
            bearing.setdefault(key, []).append(unit)
    # a value twice on one unit, written otherwise, is one unit
    found = {
        key: list({one.unit_id: one for one in those}.values()) for key, those in bearing.items()
    }
    ordered = sorted(found, key=lambda key: -len(found[key]))
    usual = {one.unit_id for one in found[ordered[0]]}
    return Spread(
        mark,
        tuple(
            PrintedValue(
                printed[key],
                tuple(one.unit_id for one in found[key]),
                sum(_bears(one.on_packaging.get(mark, ()), key) for one in found[key]),
                sum(_bears(one.on_mask.get(mark, ()), key) for one in found[key]),
            )
            for key in ordered
        ),
        tuple(one.unit_id for one in units if one.marks.get(mark) and one.unit_id not in usual),
        tuple(one.unit_id for one in units if not one.marks.get(mark)),
    )


def _bears(values: Sequence[str], key: str) -> bool:
    return any(normal_form(value) == key for value in values)
