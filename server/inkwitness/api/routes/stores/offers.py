"""`/offers` and `/typed`: goods refused at the door, and print that was typed without a photo."""

import datetime as dt
from typing import Annotated

from fastapi import APIRouter, Query, Response
from pydantic import BaseModel, ConfigDict, Field

from inkwitness.api.deps import App, Id, Lang, Services, Writer
from inkwitness.api.files import csv_answer
from inkwitness.api.guard.roles import READERS, RELEASER, SCREENER, may
from inkwitness.api.shapes.wire import Answer, WrittenBy, by
from inkwitness.check.contract import CheckOut
from inkwitness.check.outward import check_out
from inkwitness.findings.values import Surface, Whole
from inkwitness.records.chain import Entry
from inkwitness.reports import stores as sheets
from inkwitness.use_cases.stores import offers
from inkwitness.use_cases.stores.offers import Channel, Refused, Why

router = APIRouter()


class MakeOffer(BaseModel):
    """Goods that were offered and not taken. It has no field for a person, and takes no picture."""

    model_config = ConfigDict(
        extra="forbid",
        json_schema_extra={
            "examples": [
                {
                    "id": "019a0b70-0000-7abc-8def-001122334455",
                    "channel": "at_the_door",
                    "goods": "boxes of N95 with ear loops, no approval number printed",
                    "why": ["papers_missing", "print_conflict"],
                    "pieces": 200,
                }
            ]
        },
    )

    id: Id
    channel: Channel
    goods: str = Field(max_length=300, description="type and print; no name of a person")
    why: list[Why] = Field(max_length=10)
    pieces: int | None = Field(None, ge=1, le=100_000_000)
    typed_id: Id | None = Field(None, description="typed print of the same goods")


class OfferOut(Answer):
    """A refused offer. `by` is who refused it."""

    offer_id: str
    code: str = Field(description="D0: refused at the door")
    channel: Channel
    goods: str
    why: list[Why]
    pieces: int | None
    typed_id: str | None
    by: WrittenBy


class TypePrint(BaseModel):
    """What is printed on one surface, typed letter for letter because no photo can be taken."""

    model_config = ConfigDict(extra="forbid")

    id: Id
    lines: list[Annotated[str, Field(max_length=200)]] = Field(max_length=60)
    surface: Surface = "facepiece"
    whole: Whole = Field("unknown", description="`yes`: all print of this surface was typed")
    declared: list[Annotated[str, Field(max_length=40)]] = Field([], max_length=40)
    on: dt.date | None = Field(None, description="date to check for; by default today")


class TypedOut(Answer):
    """Typed print as it was judged when it was kept. It is no unit and part of no sample."""

    typed_id: str
    typed_by: str
    says: str
    lines: list[str]
    by: WrittenBy
    check: CheckOut


@router.post("/offers", status_code=201, tags=["offers"], openapi_extra=may(SCREENER, RELEASER))
def refuse_offer(app: App, context: Writer, body: MakeOffer) -> OfferOut:
    """Keep a short record of goods that were refused at the door."""
    told = body.model_dump(exclude={"id", "why"})
    said = Refused(**told, why=tuple(body.why))
    with app.store.database.writing() as conn:
        entry, _ = offers.refuse(conn, body.id, said, context)
    return _offer(entry)


@router.get("/offers", tags=["offers"], openapi_extra=may(*READERS))
def list_offers(app: App, limit: Annotated[int, Query(ge=1, le=1000)] = 100) -> list[OfferOut]:
    """Refused offers, the newest first."""
    with app.store.database.reading() as conn:
        return [_offer(entry) for entry in offers.every(conn, "refused")[:limit]]


@router.get(
    "/offers/list.csv", tags=["offers"], response_class=Response, openapi_extra=may(*READERS)
)
def export_offers(app: App, lang: Lang = "en") -> Response:
    """Refused offers as CSV; no cell of it can run as a formula."""
    with app.store.database.reading() as conn:
        data = sheets.offers_csv(offers.every(conn, "refused"), app.phrases(lang))
    return csv_answer(data, "offers")


@router.post("/typed", status_code=201, tags=["offers"], openapi_extra=may(SCREENER, RELEASER))
def type_print(app: App, context: Writer, body: TypePrint, lang: Lang = "en") -> TypedOut:
    """Judge typed print by the same rules, and keep both."""
    about = offers.about(body.surface, body.whole, body.on or app.today(), body.declared)
    check = offers.typed_check(
        body.lines, context.actor.name, about, app.judge(), app.rulebook(), app.holder_list()
    )
    with app.store.database.writing() as conn:
        entry, _ = offers.keep_typed(conn, body.id, check, about, context)
    return _typed(app, entry, lang)


@router.get("/typed", tags=["offers"], openapi_extra=may(*READERS))
def list_typed(
    app: App, limit: Annotated[int, Query(ge=1, le=200)] = 50, lang: Lang = "en"
) -> list[TypedOut]:
    """Typed print, the newest first."""
    with app.store.database.reading() as conn:
        return [_typed(app, entry, lang) for entry in offers.every(conn, "typed")[:limit]]


@router.get("/typed/{typed_id}", tags=["offers"], openapi_extra=may(*READERS))
def see_typed(app: App, typed_id: Id, lang: Lang = "en") -> TypedOut:
    """One typed print, as it was judged when it was kept."""
    with app.store.database.reading() as conn:
        return _typed(app, offers.typed_entry(conn, typed_id), lang)


def _offer(entry: Entry) -> OfferOut:
    content = {key: value for key, value in entry.content.items() if key != "kind"}
    return OfferOut(offer_id=entry.id, code="D0", by=by(entry), **content)


def _typed(app: Services, entry: Entry, lang: Lang) -> TypedOut:
    who = entry.content["typed_by"]
    said = app.phrases(lang)("typed.by", name=who)
    out = check_out(offers.load(entry), app.rulebook(), lang)
    return TypedOut(
        typed_id=entry.id,
        typed_by=who,
        says=said,
        lines=entry.content["lines"],
        by=by(entry),
        check=out.model_copy(update={"photo": said, "readers": [said]}),
    )
