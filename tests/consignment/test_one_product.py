"""Units as one product: distinct values and who differs, by hand on invented units."""

from inkwitness.consignment.across import UnitPrint
from inkwitness.consignment.one_product import spreads


def unit(id_: str, *, mask: bool = True, **marks: str) -> UnitPrint:
    held = {name: (value,) for name, value in marks.items()}
    side = {"on_mask": held} if mask else {"on_packaging": held}
    return UnitPrint(id_, id_, marks=held, **side)  # type: ignore[arg-type]


def test_distinct_values_the_most_frequent_first_and_the_units_that_differ() -> None:
    units = [
        unit("a", model="VX-910", lot="A310"),
        unit("b", model="VX 910", mask=False),
        unit("c", model="VX-940", lot="A311"),
        unit("d"),
    ]
    model, lot = spreads(units)
    assert [(one.value, one.unit_ids) for one in model.values] == [
        ("VX-910", ("a", "b")),
        ("VX-940", ("c",)),
    ]
    assert (model.values[0].on_packaging, model.values[0].on_mask) == (1, 1)
    assert (model.differ, model.without) == (("c",), ("d",))
    assert [one.value for one in lot.values] == ["A310", "A311"]
    assert lot.without == ("b", "d")


def test_a_mark_that_no_unit_bears_is_left_out() -> None:
    assert spreads([unit("a"), unit("b")]) == ()
