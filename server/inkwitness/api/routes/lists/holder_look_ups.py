"""Look-ups at the authority's own list: kept with what it showed, apart from our comparison."""

import datetime as dt
from typing import Annotated, Any

from fastapi import APIRouter, File, Form, Response, UploadFile
from pydantic import Field

from inkwitness.api.attached import attached, download
from inkwitness.api.deps import App, Id, Writer, id_in_form
from inkwitness.api.guard.roles import LIST_KEEPER, READERS, RELEASER, SCREENER, may
from inkwitness.api.shapes.wire import Answer, WrittenBy, by
from inkwitness.consignment.values import Source
from inkwitness.errors import BadInput, NotFound
from inkwitness.records import chain, removals
from inkwitness.records.chain import Entry, WriteContext
from inkwitness.records.tables import official_look_ups
from inkwitness.use_cases import look_ups
from inkwitness.use_cases.intake import on_paper
from inkwitness.use_cases.look_ups import Asked, Attachment

router = APIRouter()


class LookUpOut(Answer):
    """A person's look at the authority's own list."""

    look_up_id: str
    unit_id: str | None
    consignment_id: str | None
    scheme: str
    looked_up: str
    list_name: str
    address: str
    source: Source = "official_list"
    document_id: str = Field("", description="the kept paper that it rests on, or empty")
    answer: look_ups.Answer
    words: str
    looked_up_at: dt.datetime
    attachments: list[Attachment]
    by: WrittenBy


@router.post("/look-ups", status_code=201, openapi_extra=may(SCREENER, LIST_KEEPER, RELEASER))
def keep_look_up(
    app: App,
    context: Writer,
    look_up_id: Annotated[Id, Form(alias="id", description="UUIDv7 of the look-up")],
    looked_up: Annotated[str, Form(max_length=400, description="list key, as the check has it")],
    list_name: Annotated[
        str, Form(max_length=300, description="which list was looked at, or the paper's title")
    ],
    answer: Annotated[look_ups.Answer, Form()],
    looked_up_at: Annotated[str, Form(description="ISO 8601 with offset; empty: now")] = "",
    scheme: Annotated[str, Form(max_length=40)] = "",
    address: Annotated[str, Form(max_length=1000, description="of the page, if it has one")] = "",
    words: Annotated[str, Form(max_length=4000, description="the answer, letter for letter")] = "",
    source: Annotated[
        Source, Form(description="the list, or the paper where a scheme has no public list")
    ] = "official_list",
    document_id: Annotated[
        str, Form(description="a paper kept with the goods that the look-up rests on")
    ] = "",
    unit_id: Annotated[str, Form()] = "",
    consignment_id: Annotated[str, Form()] = "",
    files: Annotated[list[UploadFile], File(description="screenshot or page")] = [],  # noqa: B006
) -> LookUpOut:
    """Keep a look-up at the authority's own list, with what it showed.

    Where no list is public it may rest on a paper kept with the goods: refused where that is of
    other goods, counts no more, or differs from the print in maker, model or number of the body.
    """
    asked = Asked(scheme, looked_up, list_name, address, source, id_in_form(document_id) or "")
    about = {"unit_id": id_in_form(unit_id), "consignment_id": id_in_form(consignment_id)}
    attachments = [attached(app, file) for file in files[:10]]
    with app.store.database.writing() as conn:
        removals.refuse_attached(conn, app.store.files, [one.sha256 for one in attachments])
        kept = chain.find(conn, official_look_ups, look_up_id)
        if asked.document_id and kept is None:
            on_paper.check(conn, asked, answer, **about)
        entry, _ = look_ups.keep(
            conn,
            look_up_id,
            asked,
            answer,
            context,
            looked_up_at=_moment(looked_up_at, context, kept),
            words=words,
            attachments=attachments,
            **about,
        )
    return _look_up_out(entry)


@router.get("/look-ups", openapi_extra=may(*READERS))
def kept_look_ups(app: App, unit_id: str = "", consignment_id: str = "") -> list[LookUpOut]:
    """Look-ups at the authority's own list, the newest first."""
    with app.store.database.reading() as conn:
        found = look_ups.all_of_them(
            conn, unit_id=id_in_form(unit_id), consignment_id=id_in_form(consignment_id)
        )
        return [_look_up_out(entry) for entry in found]


@router.get(
    "/look-ups/{look_up_id}/files/{index}", response_class=Response, openapi_extra=may(*READERS)
)
def attached_file(app: App, look_up_id: Id, index: int) -> Response:
    """A file that was attached to a look-up, to be saved, never shown as a page of ours."""
    with app.store.database.reading() as conn:
        kept = chain.get(conn, official_look_ups, look_up_id).content["attachments"]
    if not 0 <= index < len(kept):
        raise NotFound("no_look_up_file", files=len(kept), number=index)
    return download(app, kept[index]["sha256"])


def _look_up_out(entry: Entry) -> LookUpOut:
    content: dict[str, Any] = dict(entry.content)
    return LookUpOut.model_validate({**content, "look_up_id": entry.id, "by": by(entry)})


def _moment(text: str, context: WriteContext, kept: Entry | None) -> dt.datetime:
    """When somebody looked, by the clock of their phone.

    A phone whose clock runs ahead says a time that is not yet: no later one is kept than that of
    its coming, and the same once it is sent again.
    """
    if not text:
        return context.at
    try:
        moment = dt.datetime.fromisoformat(text)
    except ValueError as error:
        raise BadInput("looked_up_no_time") from error
    if moment.tzinfo is None:
        raise BadInput("looked_up_no_offset")
    ahead = dt.timedelta(milliseconds=max(context.clock_offset_ms or 0, 0) + 1000)
    before = dt.datetime.fromisoformat(kept.content["looked_up_at"]) if kept is not None else None
    if before is not None and before <= moment <= before + ahead:
        return before
    return context.at if context.at < moment <= context.at + ahead else moment
