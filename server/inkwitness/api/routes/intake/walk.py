"""`/consignments/{id}/picked`: drawn units that were picked from their cartons."""

from fastapi import APIRouter
from pydantic import BaseModel, ConfigDict, Field
from sqlalchemy import Connection

from inkwitness.api.deps import App, Id, Writer
from inkwitness.api.guard.roles import READERS, RELEASER, SCREENER, may
from inkwitness.api.shapes.wire import Answer, WrittenBy, by
from inkwitness.use_cases.intake import walk

router = APIRouter(prefix="/consignments", tags=["intake"])


class PickUnit(BaseModel):
    """A tick on the walk list, or one taken back. The phone makes the id, also offline."""

    model_config = ConfigDict(extra="forbid")

    id: Id
    place: str = Field(min_length=1, max_length=200, description="as the draw names it")
    picked: bool = Field(description="false: it was not, after all")


class PickedPlace(Answer):
    """A drawn place whose unit was picked, and by whom."""

    place: str
    by: WrittenBy


class PickedOut(Answer):
    """What is ticked now on the walk list of a consignment; the last word on a place counts."""

    consignment_id: str
    picked: list[PickedPlace]


@router.post("/{consignment_id}/picked", status_code=201, openapi_extra=may(SCREENER, RELEASER))
def pick_unit(app: App, context: Writer, consignment_id: Id, body: PickUnit) -> PickedOut:
    """Say that a drawn unit was picked from its carton, or was not. 422 for one not drawn."""
    with app.store.database.writing() as conn:
        walk.tick(conn, body.id, consignment_id, body.place, context, picked=body.picked)
        return _out(conn, consignment_id)


@router.get("/{consignment_id}/picked", openapi_extra=may(*READERS))
def see_picked(app: App, consignment_id: Id) -> PickedOut:
    """The drawn units that were picked, whoever ticked them off."""
    with app.store.database.reading() as conn:
        return _out(conn, consignment_id)


def _out(conn: Connection, consignment_id: str) -> PickedOut:
    return PickedOut(
        consignment_id=consignment_id,
        picked=[
            PickedPlace(place=one.place, by=by(one.entry))
            for one in walk.ticks(conn, consignment_id)
        ],
    )
