"""Units beside each other: what disagrees across a consignment is said, with the units.

The kinds are the job map's (common practice, no source).
"""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inkwitness import phrases
from inkwitness.consignment.across import UnitPrint, across
from inkwitness.marks.vocabulary import Printing

PRINT = {
    "approval_number": ("TC-84A-9981",),
    "manufacturer": ("VEXHOLM",),
    "model": ("VX-910",),
    "filter_class": ("N95",),
    "lot": ("A310",),
}


SAY = phrases.shipped().of("en")


def unit(id_: str, place: str = "", photos: tuple[str, ...] = (), **marks: str) -> UnitPrint:
    changed = {name: (value,) if value else () for name, value in marks.items()}
    return UnitPrint(id_, place or id_, place, {**PRINT, **changed}, photos or (f"sha-{id_}",))


def keys(*units: UnitPrint, lots: tuple[str, ...] = (), **more: object) -> list[str]:
    return [one.key for one in across(units, lots, **more)]  # type: ignore[arg-type]


def test_units_that_are_printed_alike_say_nothing() -> None:
    whole = unit("b", manufacturer="Vexholm Filtration Works Ltd", model="VX 910")
    assert keys(unit("a"), whole, lots=("A310",)) == []


def test_two_prints_under_one_lot_are_named_with_lot_mark_and_values() -> None:
    (found,) = across([unit("a"), unit("b", model="VX-940"), unit("c")])
    assert found.key == "lot_two_prints"
    assert dict(found.values) == {
        "lot": "A310",
        "mark": "model",
        "values": "VX-910; VX-940",
        "units": "a, b, c",
    }
    assert found.says(SAY) == (
        "Units of lot A310 bear different prints of one mark (model): VX-910; VX-940 (a, b, c)."
    )
    assert found.unit_ids == ("a", "b", "c")


def test_another_lot_may_be_printed_otherwise() -> None:
    assert keys(unit("a"), unit("b", model="VX-940", lot="A311")) == []


def test_a_mark_that_is_not_read_on_one_unit_differs_from_nothing() -> None:
    assert keys(unit("a"), unit("b", model="")) == []


def test_many_lots_in_one_carton() -> None:
    members = [unit("a", "C001/U01"), unit("b", "C001/U02", lot="A311"), unit("c", "C002/U01")]
    assert keys(*members) == ["carton_many_lots"]


def test_the_same_photo_under_two_units_and_a_serial_number_twice() -> None:
    same = ("sha-1",)
    assert keys(unit("a", photos=same), unit("b", photos=same)) == ["same_photo"]
    assert keys(unit("a", photos=("sha-1", "sha-1"))) == []
    assert keys(unit("a", serial="00017"), unit("b", serial="00017")) == ["serial_twice"]


def test_what_was_declared_is_compared_with_what_is_printed() -> None:
    lots = ("A310", "A311")
    assert keys(unit("a", lot="B999"), unit("b", lot="B999"), lots=lots) == ["lot_not_declared"]
    assert keys(unit("a", "A311/C001/U01"), lots=lots) == ["lot_not_at_place"]
    assert keys(unit("a", "A310/C001/U01"), lots=lots) == []


def test_one_lot_declared_under_two_suppliers() -> None:
    elsewhere = {"A310": ["Jorvandy Import"], "C7": ["Jorvandy Import"]}
    (found,) = across([], ("A310", "A311"), elsewhere)
    assert (found.key, dict(found.values)["values"]) == ("lot_two_suppliers", "Jorvandy Import")


_units = st.lists(
    st.builds(
        unit,
        st.sampled_from("abcdef"),
        st.sampled_from(["", "A310/C001/U01", "A310/C001/U02", "A311/C002/U01"]),
        lot=st.sampled_from(["A310", "A311", ""]),
        model=st.sampled_from(["VX-910", "VX-940", ""]),
        manufacturer=st.sampled_from(["VEXHOLM", "Orsaline", ""]),
    ),
    max_size=8,
    unique_by=lambda one: one.unit_id,
)


@given(_units, st.permutations(range(8)))
def test_what_is_found_does_not_depend_on_the_order_of_the_units(
    units: list[UnitPrint], order: list[int]
) -> None:
    moved = [units[at] for at in order if at < len(units)]
    lots = ["A310", "A311"]

    def told(found: list[UnitPrint]) -> set[tuple[str, frozenset[str]]]:
        return {(one.key, frozenset(one.unit_ids)) for one in across(found, lots)}

    assert told(units) == told(moved)
    for one in across(units, lots):
        assert one.next_step(SAY).endswith(".")
        assert "{" not in one.says(SAY)


def test_packaging_and_masks_of_one_lot_that_differ_are_named_as_such() -> None:
    masks = [replace(unit(one), on_mask=PRINT) for one in ("a", "b")]
    other = {**PRINT, "model": ("VX-940",)}
    box = replace(unit("c", model="VX-940"), on_packaging=other)
    (found,) = across([*masks, box])
    assert (found.key, dict(found.values)["mark"]) == ("box_and_facepiece", "model")
    assert found.unit_ids == ("a", "b", "c")
    # masks that differ among themselves are two prints under one lot
    mixed = replace(unit("d", model="VX-950"), on_mask={**PRINT, "model": ("VX-950",)})
    assert [one.key for one in across([*masks, mixed])] == ["lot_two_prints"]


def test_what_was_declared_is_compared_with_what_is_read() -> None:
    goods = [unit("a"), unit("b", filter_class="P95", lot="A311")]
    (found,) = across(goods, declared={"filter_class": ["N95"], "model": ["Respirator VX-910, M"]})
    assert (found.key, found.unit_ids) == ("declared_differs", ("b",))
    assert found.says(SAY) == "Declared was N95 (filter class), and printed is P95 (b)."
    assert across(goods, declared={"model": [""]}) == ()


@given(st.floats(3, 6), st.floats(3, 6))
def test_measures_of_one_lot_that_spread_over_the_limit_are_a_note(one: float, two: float) -> None:
    """10 % of mass within a lot: common practice, no source."""
    least, most = sorted((one, two))
    units = [replace(unit(i), measures={"mass": m}) for i, m in (("a", one), ("b", two))]
    found = [each.key for each in across(units)]
    assert found == (["lot_spread"] if (most - least) * 100 > 10 * most else [])
    apart = [units[0], replace(units[1], marks={**PRINT, "lot": ("A311",)})]
    assert across(apart) == ()


def test_units_of_one_lot_that_are_made_differently_are_named_in_words() -> None:
    units = [
        replace(unit(name), build={"fastening": how})
        for name, how in (("a", "ear_loops"), ("b", "head_straps"))
    ]
    (found,) = across(units)
    assert found.says(SAY) == (
        "Units of lot A310 are made differently (Straps or ear loops): "
        "around the ears; around the head (a, b)."
    )
    assert across([units[0], replace(units[1], build={})]) == ()


def test_other_units_or_values_make_another_finding_of_it() -> None:
    two = across([unit("a"), unit("b", model="VX-940")])
    three = across([unit("a"), unit("b", model="VX-940"), unit("c", model="VX-940")])
    again = across([unit("a"), unit("b", model="VX-940")])
    assert [one.id for one in two] == [one.id for one in again]
    assert two[0].id != three[0].id


@pytest.mark.parametrize(
    ("declared", "printed", "differs"),
    [
        ("HR-F20", "HR-F2", True),
        ("HR-F2", "HR-F20", True),
        ("Half mask HR-F2, white", "HR-F2", False),
        ("HR F2", "HR-F2", False),
    ],
)
def test_a_model_that_begins_like_another_is_another_model(
    declared: str, printed: str, differs: bool
) -> None:
    goods = [unit("a", model=printed)]
    found = [one.key for one in across(goods, declared={"model": [declared]})]
    assert ("declared_differs" in found) is differs


#: Signs behind a class (EN 149:2001+A1:2009, clause 9: marking).
SIGNS = Printing(behind_class=("NR", "R", "D"), either_behind=(("NR", "R"),))


def declared_class(declared: str, printed: str, *signs: str) -> list[tuple[str, str, str]]:
    """What is said of a declared class beside a print: key, what each side alone states."""
    marks = {"filter_class": (printed,), "reuse": signs}
    one = UnitPrint("a", "a", "", marks, ("sha-a",))
    found = across([one], declared={"filter_class": [declared]}, printing=SIGNS)
    told = [(one.key, dict(one.values)) for one in found]
    return [
        (key, values.get("declared_alone", ""), values.get("printed_alone", ""))
        for key, values in told
    ]


@pytest.mark.parametrize(
    ("declared", "printed", "told"),
    [
        ("FFP2 NR D", ("FFP2", "NR", "D"), []),
        ("FFP2 NR D", ("FFP2",), [("class_in_parts", "D, NR", "–")]),
        ("FFP2 NR", ("FFP2", "NR", "D"), [("class_in_parts", "–", "D")]),
        ("FFP2", ("FFP2", "NR"), [("class_in_parts", "–", "NR")]),
        ("FFP2 R D", ("FFP2", "NR"), [("declared_differs", "", "")]),
        ("FFP2", ("FFP3",), [("declared_differs", "", "")]),
        ("FFP2 NR D", ("FFP3", "NR", "D"), [("declared_differs", "", "")]),
    ],
)
def test_a_class_is_compared_by_its_parts_and_a_part_left_out_is_told(
    declared: str, printed: tuple[str, ...], told: list[tuple[str, str, str]]
) -> None:
    """EN 149:2001+A1:2009, clause 9 (marking): class, NR or R, and D where it was tested."""
    assert declared_class(declared, *printed) == told


def test_what_agrees_and_what_one_side_leaves_out_is_said() -> None:
    marks = {"filter_class": ("FFP2",), "reuse": ("NR",)}
    one = UnitPrint("a", "a", "", marks, ("sha-a",))
    (found,) = across([one], declared={"filter_class": ["FFP2 NR D"]}, printing=SIGNS)
    assert found.says(SAY) == (
        "Declared was FFP2 NR D, and printed is FFP2 NR: the class agrees; stated in the "
        "declaration alone: D, in the print alone: – (a)."
    )
