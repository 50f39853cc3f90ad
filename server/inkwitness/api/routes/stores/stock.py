"""`/stock`: what lies where, who received which lot, and what came of a notice about a lot."""

import datetime as dt
from typing import Annotated

from fastapi import APIRouter, Query, Response
from pydantic import BaseModel, ConfigDict, Field

from inkwitness.api.deps import App, Id, Lang, Writer
from inkwitness.api.files import csv_answer
from inkwitness.api.guard.roles import READERS, RELEASER, SCREENER, may, may_decide
from inkwitness.api.shapes.consignment_shapes import RefusalOut
from inkwitness.api.shapes.wire import Answer, WrittenBy, by
from inkwitness.consignment.stock import (
    LEAVES,
    MovementKind,
    NoticeKind,
    Purpose,
    Recall,
    StockStatus,
    may_go_as,
)
from inkwitness.phrases import Phrases
from inkwitness.records.chain import Entry
from inkwitness.reports import stores as sheets
from inkwitness.use_cases.stores import reminders, stock
from inkwitness.use_cases.stores.stock import Line, Said, Where

router = APIRouter(tags=["stock"])


class MakeMovement(BaseModel):
    """One movement of goods, or a word on a notice about a lot."""

    model_config = ConfigDict(
        extra="forbid",
        json_schema_extra={
            "examples": [
                {
                    "id": "019a0b60-0000-7abc-8def-001122334455",
                    "kind": "received",
                    "consignment_id": "019a0b50-0000-7abc-8def-001122334455",
                    "lot": "A310",
                    "carton": "C001",
                    "pieces": 400,
                    "place": "Store 2, shelf 4",
                    "on": "2031-03-18",
                }
            ]
        },
    )

    id: Id
    kind: MovementKind
    lot: str = Field("", max_length=60, description="empty: the goods have lost their lot")
    consignment_id: Id | None = None
    unit_id: Id | None = Field(None, description="of a unit or group without a consignment")
    carton: str = Field("", max_length=60)
    pieces: int = Field(0, ge=0, le=100_000_000)
    place: str = Field("", max_length=120, description="where they lie")
    to_place: str = Field("", max_length=120, description="where they are put")
    recipient: str = Field("", max_length=120, description="a ward or a house; never a patient")
    purpose: Purpose = "protection"
    recall: str = Field("", max_length=36, description="id of the notice that this is about")
    notice: NoticeKind = "recall"
    words: str = Field("", max_length=2000, description="why, or the notice in its own words")
    on: dt.date | None = Field(None, description="the day it happened; by default today")


class MovementOut(Answer):
    """A movement as it was kept."""

    movement_id: str
    kind: MovementKind
    consignment_id: str | None
    unit_id: str | None
    lot: str
    carton: str
    pieces: int
    place: str
    to_place: str
    recipient: str
    purpose: Purpose
    recall: str
    notice: NoticeKind
    words: str
    on: dt.date
    by: WrittenBy


class PileOut(Answer):
    """Pieces at one place, and how they stand: worked out of decisions, written by nobody."""

    goods_id: str = Field(description="the consignment, or a unit by itself")
    lot: str
    carton: str
    place: str
    pieces: int
    came_back: bool
    status: StockStatus
    says: str
    limits: str
    until: dt.date | None
    may_go_as: list[Purpose]
    in_the_way: list[RefusalOut]


class InHandsOut(Answer):
    """Pieces that a recipient has."""

    goods_id: str
    lot: str
    carton: str
    recipient: str
    pieces: int
    since: dt.date


class GoneOut(Answer):
    """Pieces that left for good."""

    goods_id: str
    lot: str
    carton: str
    how: MovementKind
    says: str
    pieces: int


class AskedOut(Answer):
    """A recipient of a lot that a notice is about, with the message to send."""

    recipient: str
    pieces: int
    told: bool
    message: str


class RecallOut(Answer):
    """A notice about a lot, and what came of it. Pieces are those in hands when it was opened."""

    recall_id: str
    lot: str
    notice: NoticeKind
    words: str
    on: dt.date
    ended: bool
    out: int
    recovered: int
    used_up: int
    unaccounted: int
    asked: list[AskedOut]
    by: WrittenBy


class LotOut(Answer):
    """One lot: where it lies, who has pieces of it, what left, and notices about it."""

    lot: str
    piles: list[PileOut]
    hands: list[InHandsOut]
    gone: list[GoneOut]
    recalls: list[RecallOut]
    movements: list[MovementOut]


class WhereOut(Answer):
    """Where a lot is; `alike` are other lots that have what was asked for in them."""

    lots: list[LotOut]
    alike: list[str]


class StockPage(Answer):
    """Lots in order; ask on with `after` = the last lot."""

    lots: list[LotOut]
    more: bool


class ReminderOut(Answer):
    """Something that has been open for long, or grows old; nothing is sent by itself."""

    key: str
    says: str
    subject: str
    subject_id: str
    days: int
    values: dict[str, str]
    owner: str = Field(description="who began it and sees to it; empty: nobody in particular")


@router.post("/stock", status_code=201, openapi_extra=may(SCREENER, RELEASER))
def make_movement(app: App, context: Writer, body: MakeMovement) -> MovementOut:
    """Keep a movement. 409 where goods would be handed out that the gate does not release."""
    if body.kind in LEAVES and body.kind != "to_laboratory":
        may_decide(context.actor, LEAVES[body.kind])
    if body.kind in ("called_back", "call_ended"):
        may_decide(context.actor, "lift_hold")
    told = body.model_dump(exclude={"id", "on"})
    said = Said(**told, on=body.on or app.today())
    with app.store.database.writing() as conn:
        entry, _ = stock.keep(conn, body.id, said, context, app.terms())
    return movement_out(entry)


@router.get("/stock", openapi_extra=may(*READERS))
def list_stock(
    app: App,
    limit: Annotated[int, Query(ge=1, le=200)] = 50,
    after: Annotated[str, Query(max_length=60, description="the last lot of the page before")] = "",
    like: Annotated[str, Query(max_length=60, description="letters of the lot")] = "",
    lang: Lang = "en",
) -> StockPage:
    """The stock list, lot by lot: carton, place, pieces, and how they stand."""
    with app.store.database.reading() as conn:
        found, more = stock.page(conn, app.terms(), limit=limit, after=after, like=like)
    say = app.phrases(lang)
    return StockPage(lots=[_lot(one, say, whole=False) for one in found], more=more)


@router.get("/stock/where", openapi_extra=may(*READERS))
def where_is_lot(
    app: App, lot: Annotated[str, Query(min_length=1, max_length=60)], lang: Lang = "en"
) -> WhereOut:
    """Where a lot is: piles, recipients, what left, notices, and every movement."""
    with app.store.database.reading() as conn:
        found, alike = stock.where(conn, lot, app.terms())
    say = app.phrases(lang)
    return WhereOut(lots=[_lot(one, say, whole=True) for one in found], alike=alike)


@router.get("/stock/list.csv", response_class=Response, openapi_extra=may(*READERS))
def export_stock(
    app: App,
    like: Annotated[str, Query(max_length=60, description="letters of the lot")] = "",
    lang: Lang = "en",
) -> Response:
    """The stock list as CSV; no cell of it can run as a formula."""
    with app.store.database.reading() as conn:
        found, _ = stock.page(conn, app.terms(), limit=1_000_000, like=like)
    data = sheets.stock_csv(found, app.phrases(lang))
    return csv_answer(data, "stock")


@router.get("/stock/received-by", openapi_extra=may(*READERS))
def who_received(
    app: App, recipient: Annotated[str, Query(min_length=1, max_length=120)]
) -> list[InHandsOut]:
    """What was handed out to recipients of this name, movement by movement."""
    with app.store.database.reading() as conn:
        found = stock.received_by(conn, recipient)
    return [
        InHandsOut(
            goods_id=goods,
            lot=one.lot,
            carton=one.carton,
            recipient=one.recipient,
            pieces=one.pieces,
            since=one.on,
        )
        for goods, one in found
    ]


@router.get("/stock/recalls", openapi_extra=may(*READERS))
def list_recalls(app: App, lang: Lang = "en") -> list[RecallOut]:
    """Every notice about a lot, the newest first, with the count of what came back."""
    say = app.phrases(lang)
    with app.store.database.reading() as conn:
        return [_recall(entry, found, say) for entry, found in stock.recalls(conn)]


@router.get("/stock/recalls/{recall_id}", openapi_extra=may(*READERS))
def see_recall(app: App, recall_id: Id, lang: Lang = "en") -> RecallOut:
    """One notice: whom to tell, in which words, and what came back."""
    with app.store.database.reading() as conn:
        entry, found = stock.recall(conn, recall_id)
    return _recall(entry, found, app.phrases(lang))


@router.get("/reminders", openapi_extra=may(*READERS))
def list_reminders(app: App, lang: Lang = "en") -> list[ReminderOut]:
    """Holds, look-ups, list editions, limits and notices that grow old, the oldest first."""
    say = app.phrases(lang)
    ages = reminders.Ages(
        look_up_days=app.settings.look_up_days, list_days=app.settings.max_age_days
    )
    with app.store.database.reading() as conn:
        found = reminders.all_of_them(conn, app.holder_list(), app.today(), ages, app.terms())
    return [
        ReminderOut(
            key=one.key,
            says=one.says(say),
            subject=one.subject,
            subject_id=one.subject_id,
            days=one.days,
            values=dict(one.values),
            owner=one.owner,
        )
        for one in found
    ]


def movement_out(entry: Entry) -> MovementOut:
    return MovementOut(movement_id=entry.id, by=by(entry), **entry.content)


def _lot(found: Where, say: Phrases, *, whole: bool) -> LotOut:
    entries = {entry.id: entry for entry in found.movements}
    return LotOut(
        lot=found.lot,
        piles=[_pile(line, say) for line in found.lines],
        hands=[
            InHandsOut(
                goods_id=one.goods,
                lot=one.lot,
                carton=one.carton,
                recipient=one.recipient,
                pieces=one.pieces,
                since=one.since,
            )
            for one in found.stock.hands
        ],
        gone=[
            GoneOut(
                goods_id=one.goods,
                lot=one.lot,
                carton=one.carton,
                how=one.how,
                says=say(f"stock.move.{one.how}"),
                pieces=one.pieces,
            )
            for one in found.stock.gone
        ],
        recalls=[_recall(entries[one.id], one, say) for one in found.stock.recalls],
        movements=[movement_out(entry) for entry in found.movements] if whole else [],
    )


def _pile(line: Line, say: Phrases) -> PileOut:
    mine = line.standing
    return PileOut(
        goods_id=line.pile.goods,
        lot=line.pile.lot,
        carton=line.pile.carton,
        place=line.pile.place,
        pieces=line.pile.pieces,
        came_back=line.pile.back,
        status=line.status,
        says=say(f"stock.status.{line.status}"),
        limits=mine.limits,
        until=mine.until,
        may_go_as=sorted(may_go_as(line.status, mine.only_as)),
        in_the_way=[
            RefusalOut(key=one.key, says=one.says(say), lift=one.lift(say), values=dict(one.values))
            for one in mine.shut
        ],
    )


def _recall(entry: Entry, found: Recall, say: Phrases) -> RecallOut:
    return RecallOut(
        recall_id=found.id,
        lot=found.lot,
        notice=found.notice,
        words=found.words,
        on=found.on,
        ended=found.ended,
        out=found.out,
        recovered=found.recovered,
        used_up=found.used_up,
        unaccounted=found.unaccounted,
        asked=[
            AskedOut(
                recipient=recipient,
                pieces=pieces,
                told=recipient in found.told,
                message=sheets.recall_message(found, recipient, pieces, say),
            )
            for recipient, pieces in found.asked
        ],
        by=by(entry),
    )
