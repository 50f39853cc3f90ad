"""What units of one consignment say beside each other: findings of the consignment, not of a unit.

Each is a question to look again, with the units it rests on; none is a score and none says why.
Only marks that are read or confirmed and that more than their place names are compared. The kinds
are the job map's (common practice, no source).
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations

from inkwitness.consignment.class_parts import compare
from inkwitness.consignment.papers.compare import alike
from inkwitness.findings.identity import digest_of
from inkwitness.holders.names import likeness
from inkwitness.holders.numbers import normal_form
from inkwitness.marks.vocabulary import PLAIN, Printing
from inkwitness.phrases import Phrases

#: Marks that one lot is printed with alike.
_OF_A_LOT = ("approval_number", "manufacturer", "model", "filter_class")
#: Marks that packaging and masks of one lot bear alike, where both bear them.
_OF_BOX_AND_MASK = (*_OF_A_LOT, "body_number")
#: What is looked at on how a unit is made, and is alike within a lot.
_BUILT_ALIKE = ("fastening", "nose_clip", "valve", "kind")
#: By how much measures of one lot may differ, in % of the middle one: common practice, no source.
SPREAD = {"mass": 10.0, "width": 5.0, "height": 5.0, "layers": 0.0}
#: Marks that are declared of goods when they are taken in.
DECLARED = ("manufacturer", "model", "filter_class", "approval_number")
#: Marks that no two units share.
_SERIALS = ("serial", "serial_number")


@dataclass(frozen=True, slots=True)
class UnitPrint:
    """What is known of one unit's print: mark name to its values, and the photos' SHA-256.

    `on_packaging` and `on_mask` are the values by the side they stand on; `build` is what a person
    saw of how it is made, `measures` its layers, grams and millimetres.
    """

    unit_id: str
    name: str
    place: str = ""
    marks: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    photos: tuple[str, ...] = ()
    on_packaging: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    on_mask: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    build: Mapping[str, str] = field(default_factory=dict)
    measures: Mapping[str, float] = field(default_factory=dict)


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
        return digest_of(said)

    def says(self, say: Phrases) -> str:
        """What they say; a mark is named as sentences name it."""
        told = dict(self.values)
        if "mark" in told:
            told["mark"] = say.named("marks", told["mark"])
        if "what" in told:
            told["what"] = say(f"look.{told['what']}")
        if self.key == "lot_two_builds":
            answers = [
                f"look.{dict(self.values)['what']}.{one}" for one in told["values"].split("; ")
            ]
            told["values"] = "; ".join(say(key) for key in answers)
        return say(f"across.{self.key}", **told)

    def next_step(self, say: Phrases) -> str:
        """What to do about it."""
        return say(f"across.{self.key}.next")


def across(
    units: Sequence[UnitPrint],
    declared_lots: Sequence[str] = (),
    lots_elsewhere: Mapping[str, Sequence[str]] | None = None,
    declared: Mapping[str, Sequence[str]] | None = None,
    printing: Printing = PLAIN,
) -> tuple[Across, ...]:
    """Everything that the units say beside each other and beside what was declared.

    `declared` has what was declared of the goods, by mark. `lots_elsewhere` has the other suppliers
    under whose name each lot was declared too. `printing` says which signs stand behind a class.
    """
    return (
        *_same_photo(units),
        *_serials(units),
        *_in_lots(units),
        *_box_and_mask(units),
        *_made_alike(units),
        *_in_cartons(units),
        *_of_goods(units, declared or {}, printing),
        *_class_in_parts(units, (declared or {}).get("filter_class", ()), printing),
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
    for lot, members in _by_lot(units).items():
        for mark in _OF_A_LOT:
            if _disagree(members, mark) and not _two_sides(members, mark):
                shown = [unit for unit in members if unit.marks.get(mark)]
                yield _found(
                    "lot_two_prints", shown, lot=lot, mark=mark, values=_values(shown, mark)
                )


def _by_lot(units: Sequence[UnitPrint]) -> dict[str, list[UnitPrint]]:
    """Units by the lot that is printed on them, in its normal form."""
    found: dict[str, list[UnitPrint]] = {}
    for unit in units:
        for lot in dict.fromkeys(normal_form(value) for value in unit.marks.get("lot", ())):
            found.setdefault(lot, []).append(unit)
    return found


def _box_and_mask(units: Sequence[UnitPrint]) -> Iterable[Across]:
    """Packaging of one unit against masks of others, within a lot."""
    for lot, members in _by_lot(units).items():
        for mark in _OF_BOX_AND_MASK:
            if _two_sides(members, mark):
                shown = [
                    one for one in members if one.on_packaging.get(mark) or one.on_mask.get(mark)
                ]
                values = _values(shown, mark)
                yield _found("box_and_facepiece", shown, lot=lot, mark=mark, values=values)


def _two_sides(units: Sequence[UnitPrint], mark: str) -> bool:
    """Whether masks agree among themselves, packaging too, and the two do not."""
    masks = {unit.on_mask[mark] for unit in units if unit.on_mask.get(mark)}
    boxes = {unit.on_packaging[mark] for unit in units if unit.on_packaging.get(mark)}
    return (
        bool(masks and boxes)
        and not _apart(masks, mark)
        and not _apart(boxes, mark)
        and _apart(masks | boxes, mark)
    )


def _made_alike(units: Sequence[UnitPrint]) -> Iterable[Across]:
    """What people saw and measured on units of one lot, where it is not alike."""
    for lot, members in _by_lot(units).items():
        for what in _BUILT_ALIKE:
            seen = [unit for unit in members if what in unit.build]
            answers = dict.fromkeys(unit.build[what] for unit in seen)
            if len(answers) > 1:
                values = "; ".join(answers)
                yield _found("lot_two_builds", seen, lot=lot, what=what, values=values)
        for what, limit in SPREAD.items():
            measured = [unit for unit in members if what in unit.measures]
            sizes = sorted(unit.measures[what] for unit in measured)
            if len(sizes) < 2:
                continue
            if (sizes[-1] - sizes[0]) * 100 > limit * sizes[len(sizes) // 2]:
                yield _found(
                    "lot_spread",
                    measured,
                    lot=lot,
                    what=what,
                    limit=f"{limit:g}",
                    values=f"{sizes[0]:g} - {sizes[-1]:g}",
                )


def _of_goods(
    units: Sequence[UnitPrint], declared: Mapping[str, Sequence[str]], printing: Printing
) -> Iterable[Across]:
    """What was declared of the goods and is printed otherwise, a mark at a time."""
    for mark in DECLARED:
        said = [value for value in declared.get(mark, ()) if value.strip()]
        other = [
            unit
            for unit in units
            if unit.marks.get(mark)
            and not any(
                _as_declared(unit, mark, one, v, printing) for one in said for v in unit.marks[mark]
            )
        ]
        if said and other:
            values = _values(other, mark)
            told = "; ".join(said)
            yield _found("declared_differs", other, mark=mark, declared=told, values=values)


def _class_in_parts(
    units: Sequence[UnitPrint], declared: Sequence[str], printing: Printing
) -> Iterable[Across]:
    """A class that agrees, and the signs behind it that stand on one side only."""
    told: dict[tuple[str, str, str, str], list[UnitPrint]] = {}
    for unit in units:
        signs = unit.marks.get("reuse", ())
        for said in (one for one in declared if one.strip()):
            for printed in unit.marks.get("filter_class", ()):
                beside = compare(said, printed, printing, signs)
                if not beside.differ and (beside.first_alone or beside.second_alone):
                    whole = " ".join((printed, *signs))
                    of_declared = ", ".join(beside.first_alone) or "–"
                    of_print = ", ".join(beside.second_alone) or "–"
                    told.setdefault((said, whole, of_declared, of_print), []).append(unit)
    for (said, whole, of_declared, of_print), members in told.items():
        yield _found(
            "class_in_parts",
            members,
            declared=said,
            values=whole,
            declared_alone=of_declared,
            printed_alone=of_print,
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
    return _apart({unit.marks[mark] for unit in units if unit.marks.get(mark)}, mark)


def _apart(found: Collection[tuple[str, ...]], mark: str) -> bool:
    """Whether two of these have no value in common."""
    return any(
        not any(_alike(mark, left, right) for left in one for right in other)
        for one, other in combinations(found, 2)
    )


def _alike(mark: str, left: str, right: str) -> bool:
    if mark == "manufacturer":
        return likeness(left, right) != "differs" or likeness(right, left) != "differs"
    return normal_form(left) == normal_form(right)


def _as_declared(
    unit: UnitPrint, mark: str, declared: str, printed: str, printing: Printing
) -> bool:
    """Whether the print is as declared: a product is declared by its whole name, model in it.

    A class is as declared where its parts are: a sign that one side leaves out is no difference.
    """
    if mark == "model":
        return alike("product", declared, printed) == "agrees"
    if mark == "filter_class":
        return not compare(declared, printed, printing, unit.marks.get("reuse", ())).differ
    return _alike(mark, declared, printed)


def _values(units: Sequence[UnitPrint], mark: str) -> str:
    return "; ".join(dict.fromkeys(value for unit in units for value in unit.marks.get(mark, ())))


def _found(key: str, units: Iterable[UnitPrint], **values: str) -> Across:
    members = list(units)
    more = f" +{len(members) - 5}" if len(members) > 5 else ""
    named = ", ".join(unit.name for unit in members[:5]) + more
    told = values | ({"units": named} if members else {})
    return Across(key, tuple(told.items()), tuple(unit.unit_id for unit in members))
