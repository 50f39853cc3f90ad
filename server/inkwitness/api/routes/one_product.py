"""`/consignments/{id}/one-product`: what units bear, value by value, and which of them differ."""

from fastapi import APIRouter
from pydantic import Field

from inkwitness.api.deps import App, Id, Lang
from inkwitness.api.guard.roles import READERS, may
from inkwitness.api.shapes.consignment_shapes import UnitsDifferOut, across_out
from inkwitness.api.shapes.wire import Answer
from inkwitness.consignment.one_product import PrintedValue, spreads
from inkwitness.records import units
from inkwitness.use_cases.prints import side_by_side

router = APIRouter(prefix="/consignments", tags=["consignments"])


class MarkOverUnits(Answer):
    """A mark over the units: its distinct values, the most frequent first."""

    mark: str
    values: list[PrintedValue]
    declared: list[str] = Field(description="what was declared of it, or of the lots")
    differ: list[str] = Field(description="units that bear another value than the most frequent")
    without: list[str] = Field(description="units on which it was not read or confirmed")


class OneProduct(Answer):
    """Whether the units are one product: a table and no verdict."""

    consignment_id: str
    label: str
    units: dict[str, str] = Field(description="each unit's name, by its id")
    marks: list[MarkOverUnits]
    across: list[UnitsDifferOut]


@router.get("/{consignment_id}/one-product", openapi_extra=may(*READERS))
def see_one_product(app: App, consignment_id: Id, lang: Lang = "en") -> OneProduct:
    """Distinct numbers, models, makers, lots and dates over the units, beside what was declared."""
    say = app.phrases(lang)
    with app.store.database.reading() as conn:
        found = side_by_side(conn, consignment_id, units.of_consignment(conn, consignment_id))
    return OneProduct(
        consignment_id=consignment_id,
        label=found.label,
        units={one.unit_id: one.name for one in found.prints},
        marks=[
            MarkOverUnits(
                mark=one.mark,
                values=list(one.values),
                declared=list(found.declared.get(one.mark, ())),
                differ=list(one.differ),
                without=list(one.without),
            )
            for one in spreads(found.prints)
        ],
        across=across_out(found, say),
    )
