"""`/consignments`: what was declared, what to look at, what was seen, what was decided."""

import datetime as dt
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query
from pydantic import BaseModel, BeforeValidator, ConfigDict, Field
from sqlalchemy import Connection

from inkwitness.api.deps import App, Id, Lang, Services, Writer
from inkwitness.api.guard.roles import READERS, RELEASER, SCREENER, may, may_decide
from inkwitness.api.routes.sampling import StatementOut, stated
from inkwitness.api.routes.units import Decide
from inkwitness.api.shapes.access_shapes import of_the_house
from inkwitness.api.shapes.consignment_shapes import (
    CountedOut,
    DrawnPlaceOut,
    DrawPlanOut,
    LotDeclared,
    LotSampleOut,
    LotStandsOut,
    PlanMadeOut,
    RefusalOut,
    RetakesOut,
    StandsOut,
    UnitsDifferOut,
    across_out,
    counted_out,
    lots_out,
    plans_out,
    refusals_out,
    retakes_out,
    stands_out,
)
from inkwitness.api.shapes.wire import (
    Answer,
    DecisionOut,
    UnitRow,
    WrittenBy,
    by,
    decision_out,
    unit_row,
)
from inkwitness.consignment.number import number_of
from inkwitness.consignment.values import rank
from inkwitness.findings.outcome import Outcome
from inkwitness.phrases import Phrases
from inkwitness.records import chain, consignments
from inkwitness.records.chain import Entry
from inkwitness.records.tables import consignments as consignments_table
from inkwitness.rulebook import Rulebook
from inkwitness.use_cases import deciding, overview, plans
from inkwitness.use_cases.drawn import Place
from inkwitness.use_cases.intake.declared import content_in_force
from inkwitness.use_cases.overview import Overview, Row, aspects_of
from inkwitness.use_cases.plans import PlanKind, Question
from inkwitness.use_cases.prints import SideBySide, side_by_side

router = APIRouter(prefix="/consignments", tags=["consignments"])


def _lot(value: Any) -> Any:
    return {"code": value.strip()} if isinstance(value, str) else value


class MakeConsignment(BaseModel):
    """A consignment as declared by whoever sends it."""

    model_config = ConfigDict(
        extra="forbid",
        json_schema_extra={
            "examples": [
                {
                    "id": "019a0b50-0000-7abc-8def-001122334455",
                    "label": "Delivery of 18 March (FICTIONAL)",
                    "supplier": "Kestrane Medical Supply",
                    "reference": "PO 1188",
                    "units_declared": 24000,
                    "cartons_declared": 60,
                    "lots": [
                        {"code": "A310", "units": 8000, "cartons": 20},
                        {"code": "A311", "units": 8000, "cartons": 20},
                        {"code": "A312", "units": 8000, "cartons": 20},
                    ],
                    "note": "",
                }
            ]
        },
    )

    id: Id
    label: str = Field(min_length=1, max_length=200)
    supplier: str = Field("", max_length=200)
    reference: str = Field("", max_length=200)
    units_declared: int | None = Field(None, ge=1, le=100_000_000)
    cartons_declared: int | None = Field(None, ge=1, le=1_000_000)
    lots: list[Annotated[LotDeclared, BeforeValidator(_lot)]] = Field([], max_length=500)
    note: str = Field("", max_length=4000)
    supply_condition: Literal["", "conventional", "contingency", "crisis"] = Field(
        "", description="as declared; a crisis reserve is only for a declared crisis"
    )


class ConsignmentRow(Answer):
    """One consignment in a list."""

    consignment_id: str
    number: str = Field(description="short, made of the id: the same on a phone before it is sent")
    label: str
    supplier: str
    reference: str
    units_declared: int | None
    cartons_declared: int | None
    lots: list[LotDeclared]
    note: str
    supply_condition: str = ""
    made_at: dt.datetime
    by: WrittenBy
    outcome: Outcome | None
    held: bool
    units: int
    groups: int
    pieces: int
    looked_at: int
    confirmed: int


class ConsignmentPage(Answer):
    """A page of consignments; `more`: there are older ones."""

    consignments: list[ConsignmentRow]
    more: bool


class ConsignmentOut(ConsignmentRow, StandsOut):
    """All that is known of a consignment."""

    by_outcome: dict[str, int] = Field(description="units and groups by outcome")
    pieces_by_outcome: dict[str, int] = Field(description="the pieces that they stand for")
    not_read: int
    plan: DrawPlanOut | None
    plans: list[PlanMadeOut] = Field([], description="every plan that was made, in order")
    drawn: list[DrawnPlaceOut] = Field(description="the places of every draw that counts")
    reserve: list[DrawnPlaceOut]
    drawn_looked_at: int
    left_to_do: int
    statement: list[StatementOut] = Field(
        description="what the sample shows; empty until it is complete"
    )
    decisions: list[DecisionOut]
    in_the_way: list[RefusalOut]
    aspects: dict[str, dict[str, int]] = Field(
        description="units by state, an aspect at a time, the worst state first; never added up"
    )
    across: list[UnitsDifferOut] = Field(description="what units say beside each other")
    counted: list[CountedOut] = Field([], description="what how many units of the sample show")
    lot_stands: list[LotStandsOut] = Field(
        [], description="each declared lot as it stands; empty where there are fewer than two"
    )
    retakes: RetakesOut
    lot_samples: list[LotSampleOut] = Field(description="the sample lot by lot, the worst first")
    rows: list[UnitRow] = Field(description="units and groups, the worst first")


class MakePlan(BaseModel):
    """What to ask of a plan. See `/sampling` for trying questions without storing them."""

    model_config = ConfigDict(
        extra="forbid",
        json_schema_extra={
            "examples": [
                {
                    "id": "019a0b51-0000-7abc-8def-001122334455",
                    "kind": "discovery",
                    "seed": "PO 1188; dice 4 1 6 2 5 3",
                    "nonconforming_share": "0.05",
                    "confidence": "0.95",
                    "sensitivity": "1",
                }
            ]
        },
    )

    id: Id
    kind: PlanKind
    seed: str = Field(min_length=1, max_length=500)
    confidence: str = Field("0.95", max_length=40)
    sensitivity: str = Field("1", max_length=40)
    nonconforming_share: str | None = Field(None, max_length=40)
    nonconforming: int | None = None
    nonconforming_cartons: int = 1
    nonconforming_inside: int | None = None
    level: str = Field("II", max_length=10)
    aql: str = Field("1.5", max_length=40)
    inspection: str = Field("normal", max_length=20)
    each_lot: bool = Field(False, description="a discovery of each declared lot by itself")
    open_cartons: int | None = Field(
        None, ge=1, description="with `each_lot`: draw from so many of all cartons only"
    )
    units: list[str] = Field([], max_length=5000, description="names or ranges to draw from")
    reserve: int = Field(10, ge=0, le=1000)
    instead_because: str = Field("", max_length=2000, description="why earlier ones no longer hold")


class TickList(Answer):
    """The draw as a list to tick off, in the order of the draw."""

    consignment_id: str
    label: str
    seed: str
    frame: int
    frame_sha256: str
    left_to_do: int
    units: list[DrawnPlaceOut]
    reserve: list[DrawnPlaceOut]


@router.post("", status_code=201, openapi_extra=may(SCREENER, RELEASER))
def make_consignment(
    app: App, context: Writer, body: MakeConsignment, lang: Lang = "en"
) -> ConsignmentOut:
    """Keep what a consignment is declared to be. The same again changes nothing."""
    with app.store.database.writing() as conn:
        consignments.make(conn, body.id, body.model_dump(exclude={"id"}), context)
    with app.store.database.reading() as conn:  # nobody waits for the lock while it is put together
        return _see(conn, body.id, app, lang)


@router.get("", openapi_extra=may(*READERS))
def list_consignments(
    app: App,
    limit: Annotated[int, Query(ge=1, le=200)] = 100,
    before: Id | None = None,
) -> ConsignmentPage:
    """Consignments, the newest first; ask on with `before` = the last one's id."""
    with app.store.database.reading() as conn:
        found = overview.rows(conn, limit=limit + 1, before=before, on=app.terms().on)
    return ConsignmentPage(
        consignments=[ConsignmentRow(**_row(one)) for one in found[:limit]],
        more=len(found) > limit,
    )


@router.get("/{consignment_id}", openapi_extra=may(*READERS))
def see_consignment(app: App, consignment_id: Id, lang: Lang = "en") -> ConsignmentOut:
    """One consignment: counts, plan, drawn units, what the sample shows, decisions."""
    with app.store.database.reading() as conn:
        return _see(conn, consignment_id, app, lang)


@router.post("/{consignment_id}/plan", status_code=201, openapi_extra=may(SCREENER, RELEASER))
def make_plan(
    app: App, context: Writer, consignment_id: Id, body: MakePlan, lang: Lang = "en"
) -> DrawPlanOut:
    """Make a plan and keep its draw, beside those before it or, with a reason, in their place."""
    asked = body.model_dump(exclude={"id", "instead_because"})
    question = Question(**{**asked, "units": tuple(body.units)})
    with app.store.database.reading() as conn:
        entry = chain.get(conn, consignments_table, consignment_id)
        declared = content_in_force(conn, entry)
    # lots that are split meanwhile ask for a plan anew, so it can be made before the lock
    made = app.tables.run(plans.make, question, declared)
    with app.store.database.writing() as conn:
        why = body.instead_because
        entry, _ = plans.keep(conn, body.id, consignment_id, made, why, context)
    return _plan(entry, app.phrases(lang))


@router.post(
    "/{consignment_id}/decisions",
    status_code=201,
    openapi_extra=may(SCREENER, RELEASER),
)
def decide_on_consignment(
    app: App, context: Writer, consignment_id: Id, body: Decide
) -> DecisionOut:
    """Decide on a consignment. A release is refused with 409 while something stands in its way."""
    may_decide(context.actor, body.disposition)
    of_the_house(app, body.assignee)
    with app.store.database.writing() as conn:
        entry, _ = deciding.decide(
            conn, body.id, body.said(), context, app.terms(), consignment_id=consignment_id
        )
    return decision_out(entry)


@router.get("/{consignment_id}/tick-list", openapi_extra=may(*READERS))
def see_tick_list(app: App, consignment_id: Id) -> TickList:
    """The draw as a list to tick off; empty while there is no plan."""
    with app.store.database.reading() as conn:
        found = overview.of_consignment(conn, consignment_id, app.terms())
    draw = found.plan.content["draw"] if found.plan is not None else {}
    return TickList(
        consignment_id=consignment_id,
        label=found.entry.content["label"],
        seed=draw.get("seed", ""),
        frame=draw.get("frame", 0),
        frame_sha256=draw.get("frame_sha256", ""),
        left_to_do=found.left_to_do,
        units=[_place(place) for place in found.drawn],
        reserve=[_place(place) for place in found.reserve],
    )


def _row(found: Overview | Row) -> dict[str, Any]:
    counted = found.roll_up
    return {
        **found.content,
        "number": number_of(found.entry.id),
        "consignment_id": found.entry.id,
        "made_at": found.entry.at,
        "by": by(found.entry),
        "outcome": found.outcome,
        "held": found.held,
        "units": counted.units,
        "groups": counted.groups,
        "pieces": counted.pieces,
        "looked_at": counted.looked_at,
        "confirmed": counted.confirmed,
    }


def _see(conn: Connection, consignment_id: str, app: Services, lang: str) -> ConsignmentOut:
    found = overview.of_consignment(conn, consignment_id, app.terms())
    beside = side_by_side(conn, consignment_id, found.units)
    return _out(found, beside, app.rulebook(), app.phrases(lang))


def _out(found: Overview, beside: SideBySide, rulebook: Rulebook, say: Phrases) -> ConsignmentOut:
    counted = found.roll_up
    return ConsignmentOut(
        **_row(found),
        by_outcome=counted.by_outcome,
        pieces_by_outcome=counted.pieces_by_outcome,
        not_read=counted.not_read,
        plan=_plan(found.plan, say) if found.plan is not None else None,
        plans=plans_out(found),
        drawn=[_place(place) for place in found.drawn],
        reserve=[_place(place) for place in found.reserve],
        drawn_looked_at=counted.drawn_looked_at,
        left_to_do=found.left_to_do,
        statement=stated(found.statements, say),
        decisions=[decision_out(entry) for entry in found.decisions],
        in_the_way=refusals_out(found.in_the_way, say),
        **stands_out(found, say),
        aspects=aspects_of(found, beside),
        across=across_out(beside, say),
        counted=counted_out(found, beside, rulebook, say),
        lot_stands=lots_out(found.lot_stands, say),
        retakes=retakes_out(found.retakes, say),
        lot_samples=[
            LotSampleOut(
                code=lot.code,
                units=lot.units,
                drawn=lot.drawn,
                left_to_do=lot.left_to_do,
                outcome=lot.outcome,
                statement=stated(lot.statements, say),
            )
            for lot in found.lots
        ],
        rows=[unit_row(unit) for unit in sorted(found.units, key=lambda u: rank(u.outcome))],
    )


def _place(place: Place) -> DrawnPlaceOut:
    unit = place.unit
    return DrawnPlaceOut(
        rank=place.rank,
        place=place.place,
        group=place.group,
        sha256=place.sha256,
        unit_id=unit.unit_id if unit is not None else None,
        outcome=unit.outcome if unit is not None else None,
        basis=unit.basis if unit is not None else None,
    )


def _plan(entry: Entry, say: Phrases) -> DrawPlanOut:
    content = entry.content
    draw = content["draw"]
    names = ("kind", "lot", "n", "accept", "reject", "chance", "cartons_opened", "per_carton")
    return DrawPlanOut(
        plan_id=entry.id,
        **{name: content[name] for name in (*names, "letter") if name in content},
        seed=draw["seed"],
        frame=draw["frame"],
        frame_sha256=draw["frame_sha256"],
        cartons=draw["cartons"],
        question=content["question"],
        statements=[
            StatementOut(key=one["key"], values=one["values"], text=plans.said(one, say))
            for one in content["statements"]
        ],
        by=by(entry),
    )
