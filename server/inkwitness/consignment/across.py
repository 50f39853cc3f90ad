"""What units of one consignment say beside each other: findings of the consignment, not of a unit.

Each is a question to look again, with the units it rests on; none is a score and none says why.
Only marks that are read or confirmed and that more than their place names are compared. The kinds
are the job map's (common practice, no source).
"""

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations

from inkwitness.holders.names import likeness
from inkwitness.holders.numbers import normal_form
from inkwitness.phrases import Phrases

#: Marks that one lot is printed with alike.
_OF_A_LOT = ("approval_number", "manufacturer", "model", "filter_class")
#: Marks that no two units share.
_SERIALS = ("serial", "serial_number")


@dataclass(frozen=True, slots=True)
class UnitPrint:
    """What is known of one unit's print: mark name to its values, and the photos' SHA-256."""

    unit_id: str
    name: str
    place: str = ""
    marks: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    photos: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Across:
    """One thing that units say beside each other: a key of the phrase book, values, units."""

    key: str
    values: tuple[tuple[str, str], ...]
    unit_ids: tuple[str, ...]

    @property
    def id(self) -> str:
        """Names it: the same for the same units and values alone, as a person's answer needs it."""
        said = [self.key, sorted(self.values), sorted(self.unit_ids)]
        return hashlib.sha256(json.dumps(said, ensure_ascii=False).encode()).hexdigest()[:16]

    def says(self, say: Phrases) -> str:
        """What they say; a mark is named as sentences name it."""
        told = dict(self.values)
        if "mark" in told:
            told["mark"] = say.named("marks", told["mark"])
        return say(f"across.{self.key}", **told)

    def next_step(self, say: Phrases) -> str:
        """What to do about it."""
        return say(f"across.{self.key}.next")


def across(
    units: Sequence[UnitPrint],
    declared_lots: Sequence[str] = (),
    lots_elsewhere: Mapping[str, Sequence[str]] | None = None,
) -> tuple[Across, ...]:
    """Everything that the units say beside each other and beside what was declared.

    `lots_elsewhere` has the other suppliers under whose name each lot was declared too.
    """
    return (
        *_same_photo(units),
        *_serials(units),
        *_in_lots(units),
        *_in_cartons(units),
        *_declared(units, declared_lots),
        *_elsewhere(declared_lots, lots_elsewhere or {}),
    )


def _same_photo(units: Sequence[UnitPrint]) -> Iterable[Across]:
    by_photo: dict[str, dict[str, UnitPrint]] = {}
    for unit in units:
        for sha256 in unit.photos:
            by_photo.setdefault(sha256, {})[unit.unit_id] = unit
    pairs = {tuple(found): found for found in by_photo.values() if len(found) > 1}
    return [_found("same_photo", found.values()) for found in pairs.values()]


def _serials(units: Sequence[UnitPrint]) -> Iterable[Across]:
    by_serial: dict[str, dict[str, UnitPrint]] = {}
    for unit in units:
        for name in _SERIALS:
            for value in unit.marks.get(name, ()):
                by_serial.setdefault(normal_form(value), {})[unit.unit_id] = unit
    return [
        _found("serial_twice", found.values(), values=serial)
        for serial, found in by_serial.items()
        if len(found) > 1
    ]


def _in_lots(units: Sequence[UnitPrint]) -> Iterable[Across]:
    by_lot: dict[str, list[UnitPrint]] = {}
    for unit in units:
        for lot in dict.fromkeys(normal_form(value) for value in unit.marks.get("lot", ())):
            by_lot.setdefault(lot, []).append(unit)
    for lot, members in by_lot.items():
        for mark in _OF_A_LOT:
            if _disagree(members, mark):
                shown = [unit for unit in members if unit.marks.get(mark)]
                yield _found(
                    "lot_two_prints", shown, lot=lot, mark=mark, values=_values(shown, mark)
                )


def _in_cartons(units: Sequence[UnitPrint]) -> Iterable[Across]:
    by_carton: dict[str, list[UnitPrint]] = {}
    for unit in units:
        carton, _, _ = unit.place.rpartition("/")
        if carton:
            by_carton.setdefault(carton, []).append(unit)
    for carton, members in by_carton.items():
        if _disagree(members, "lot"):
            shown = [unit for unit in members if unit.marks.get("lot")]
            yield _found("carton_many_lots", shown, carton=carton, values=_values(shown, "lot"))


def _declared(units: Sequence[UnitPrint], lots: Sequence[str]) -> Iterable[Across]:
    codes = {normal_form(lot) for lot in lots}
    not_declared: dict[str, list[UnitPrint]] = {}
    for unit in units:
        printed = {normal_form(value) for value in unit.marks.get("lot", ())}
        here = normal_form(unit.place.partition("/")[0])
        if codes and printed and not printed & codes:
            not_declared.setdefault(_values([unit], "lot"), []).append(unit)
        elif here in codes and printed and here not in printed:
            yield _found("lot_not_at_place", [unit], values=_values([unit], "lot"))
    for values, found in not_declared.items():
        yield _found("lot_not_declared", found, values=values)


def _elsewhere(lots: Sequence[str], others: Mapping[str, Sequence[str]]) -> Iterable[Across]:
    for lot in lots:
        if suppliers := others.get(normal_form(lot), ()):
            yield _found("lot_two_suppliers", (), lot=lot, values="; ".join(suppliers))


def _disagree(units: Sequence[UnitPrint], mark: str) -> bool:
    """Whether two units have no value of this mark in common."""
    return any(
        not any(_alike(mark, left, right) for left in one for right in other)
        for one, other in combinations({u.marks[mark] for u in units if u.marks.get(mark)}, 2)
    )


def _alike(mark: str, left: str, right: str) -> bool:
    if mark == "manufacturer":
        return likeness(left, right) != "differs" or likeness(right, left) != "differs"
    return normal_form(left) == normal_form(right)


def _values(units: Sequence[UnitPrint], mark: str) -> str:
    return "; ".join(dict.fromkeys(value for unit in units for value in unit.marks.get(mark, ())))


def _found(key: str, units: Iterable[UnitPrint], **values: str) -> Across:
    members = list(units)
    more = f" +{len(members) - 5}" if len(members) > 5 else ""
    named = ", ".join(unit.name for unit in members[:5]) + more
    told = values | ({"units": named} if members else {})
    return Across(key, tuple(told.items()), tuple(unit.unit_id for unit in members))
