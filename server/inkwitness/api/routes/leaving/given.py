"""What was given to whom, and what was answered; the files as they were given."""

from typing import Literal

from fastapi import APIRouter, Response
from pydantic import Field

from inkwitness.api.deps import App, Id, Lang, Writer
from inkwitness.api.guard.roles import READERS, RELEASER, SCREENER, may
from inkwitness.api.routes.leaving.shapes import DispatchOut, Given, dispatch_out
from inkwitness.errors import NotFound
from inkwitness.records import chain
from inkwitness.records.tables import consignments as consignments_table
from inkwitness.records.tables import dispatches as dispatches_table
from inkwitness.use_cases import dispatches
from inkwitness.use_cases.dispatches import Dispatch

router = APIRouter(tags=["what leaves the house"])


class WriteDown(Given):
    """A message or labels that were given, or an answer that came, letter for letter."""

    kind: Literal["message", "labels", "answer"]
    text: str = Field("", max_length=20_000, description="letter for letter")
    answers: Id | None = Field(None, description="the dispatch that was answered")
    about: Literal["", "agrees", "differs"] = Field(
        "", description="a holder's answer: the print agrees with their records or differs"
    )
    decision_id: Id | None = Field(
        None, description="a decision taken with it: the holder is asked, or has answered"
    )
    lot: str = Field("", max_length=60, description="the one lot that it is about; empty: all")


@router.get("/consignments/{consignment_id}/dispatches", openapi_extra=may(*READERS))
def list_dispatches(app: App, consignment_id: Id) -> list[DispatchOut]:
    """What was given and answered about a consignment, the newest first."""
    with app.store.database.reading() as conn:
        chain.get(conn, consignments_table, consignment_id)
        found = dispatches.all_of(conn, consignment_id=consignment_id)
    later = dispatches.corrected_by(found)
    return [dispatch_out(one, later.get(one.id)) for one in reversed(found)]


@router.post(
    "/consignments/{consignment_id}/dispatches",
    status_code=201,
    openapi_extra=may(SCREENER, RELEASER),
)
def write_down(
    app: App, context: Writer, consignment_id: Id, body: WriteDown, lang: Lang = "en"
) -> DispatchOut:
    """Write down that a message or labels were given, or what was answered. Nothing is sent."""
    given = Dispatch(
        kind=body.kind,
        recipients=body.to(),
        on=body.day(context),
        language=lang,
        text=body.text,
        note=body.note,
        answers=body.answers,
        about=body.about,
        decision_id=body.decision_id,
        lot=body.lot,
    )
    with app.store.database.writing() as conn:
        entry, _ = dispatches.keep(
            conn, body.id, given, context, app.terms(), consignment_id=consignment_id
        )
    return dispatch_out(entry)


@router.get(
    "/dispatches/{dispatch_id}/files/{place}",
    response_class=Response,
    openapi_extra=may(*READERS),
)
def given_file(app: App, dispatch_id: Id, place: int) -> Response:
    """A file as it was given, byte for byte, to be saved."""
    with app.store.database.reading() as conn:
        kept = chain.get(conn, dispatches_table, dispatch_id).content["attachments"]
    if not 0 <= place < len(kept):
        raise NotFound("no_given_file", files=len(kept), number=place)
    headers = {
        "Content-Disposition": f'attachment; filename="{kept[place]["name"]}"',
        "X-Content-Type-Options": "nosniff",
        "Content-Security-Policy": "sandbox; default-src 'none'",
    }
    data = app.store.files.sent(kept[place]["sha256"])
    return Response(data, media_type=kept[place]["media_type"], headers=headers)
