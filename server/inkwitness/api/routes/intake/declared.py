"""`/consignments/{id}/declared`: what was declared of goods, what is asked, what was noted."""

import datetime as dt
from typing import Annotated, Any

from fastapi import APIRouter
from pydantic import BaseModel, ConfigDict, Field
from sqlalchemy import Connection

from inkwitness.api.deps import App, Id, Lang, Writer
from inkwitness.api.guard.roles import READERS, RELEASER, SCREENER, may
from inkwitness.api.shapes.consignment_shapes import LotDeclared
from inkwitness.api.shapes.wire import Answer, WrittenBy, by
from inkwitness.consignment.intake import (
    DeclaredLot,
    GoodsFrom,
    Identity,
    SupplyCondition,
    YesNo,
    supplier,
)
from inkwitness.consignment.number import number_of
from inkwitness.findings.values import AspectState
from inkwitness.phrases import Phrases
from inkwitness.rulebook import intake
from inkwitness.use_cases.intake import declared as use
from inkwitness.use_cases.intake.declared import Step

router = APIRouter(prefix="/consignments", tags=["intake"])
Words = Annotated[str, Field(max_length=4000)]


class DeclaredFields(BaseModel):
    """What is said of goods; what is left out, or null, is not said."""

    model_config = ConfigDict(extra="forbid", json_schema_serialization_defaults_required=True)

    goods_from: GoodsFrom | None = None
    product: str | None = Field(None, max_length=300)
    filter_class: str | None = Field(None, max_length=60)
    use: str | None = Field(None, max_length=60, description="a setting of the site's policy")
    region: str | None = Field(None, max_length=100, description="whose rules hold for wearers")
    supply_condition: SupplyCondition | None = None
    condition_by: str | None = Field(None, max_length=300, description="which declaration it is")
    condition_until: dt.date | None = Field(None, description="last day of that declaration")
    units: int | None = Field(None, ge=1, le=100_000_000)
    cartons: int | None = Field(None, ge=1, le=1_000_000)
    pallets: int | None = Field(None, ge=0, le=100_000)
    seals: int | None = Field(None, ge=0, le=1_000_000, description="counted on arrival")
    first_offer: dt.date | None = None
    identity: Identity | None = None
    valve: YesNo | None = None
    fluid_resistant: YesNo | None = None
    supplied: int | None = Field(None, ge=0, description="how many got some of them already")
    supplied_list: str | None = Field(
        None, max_length=300, description="where the list of them is kept; no names here"
    )


class SignalSaid(BaseModel):
    """Whether something was noted about an offer, and in which words."""

    model_config = ConfigDict(extra="forbid", json_schema_serialization_defaults_required=True)

    seen: YesNo
    note: str = Field("", max_length=2000)


class Declare(BaseModel):
    """One declaration. It adds to those before, or takes the place of part of them."""

    model_config = ConfigDict(
        extra="forbid",
        json_schema_extra={
            "examples": [
                {
                    "id": "019a0b53-0000-7abc-8def-001122334455",
                    "fields": {"goods_from": "walk_in", "filter_class": "N95", "units": 400},
                    "answers": {"why-now": "Last carton, cash today."},
                    "signals": {"price-low": {"seen": "yes", "note": "a third of the usual"}},
                }
            ]
        },
    )

    id: Id
    fields: DeclaredFields = DeclaredFields()
    lots: list[LotDeclared] | None = Field(None, max_length=500)
    answers: dict[str, Words] = {}
    signals: dict[str, SignalSaid] = {}
    reason: str = Field("", max_length=2000, description="why lots are others than before")


class QuestionOut(Answer):
    id: str
    text: str
    answer: str = Field(description="word for word; empty while nobody answered")
    source: str


class SignalOut(Answer):
    """`seen` is null while nobody looked."""

    id: str
    text: str
    seen: YesNo | None
    note: str
    source: str


class DeclarationOut(Answer):
    """One declaration as it was made."""

    declaration_id: str
    fields: DeclaredFields
    lots: list[LotDeclared] | None
    answers: dict[str, str]
    signals: dict[str, SignalSaid]
    reason: str
    by: WrittenBy


class DeclaredOut(Answer):
    """Everything declared of a consignment, put together; how it came to be; what is unanswered."""

    consignment_id: str
    number: str
    fields: DeclaredFields
    lots: list[LotDeclared]
    questions: list[QuestionOut]
    unanswered: int
    signals: list[SignalOut]
    supplier: AspectState
    history: list[DeclarationOut]


@router.post("/{consignment_id}/declared", status_code=201, openapi_extra=may(SCREENER, RELEASER))
def declare(
    app: App, context: Writer, consignment_id: Id, body: Declare, lang: Lang = "en"
) -> DeclaredOut:
    """Declare something of goods: fields, answers, signals, or their lots anew with the reason."""
    step = Step(
        fields=body.fields.model_dump(mode="json", exclude_none=True),
        lots=None
        if body.lots is None
        else tuple(DeclaredLot(lot.code.strip(), lot.units, lot.cartons) for lot in body.lots),
        answers={name: text.strip() for name, text in body.answers.items()},
        signals={name: one.model_dump() for name, one in body.signals.items()},
        reason=body.reason,
    )
    with app.store.database.writing() as conn:
        use.declare(conn, body.id, consignment_id, step, context)
    with app.store.database.reading() as conn:
        return _seen(conn, consignment_id, app.phrases(lang))


@router.get("/{consignment_id}/declared", openapi_extra=may(*READERS))
def see_declared(app: App, consignment_id: Id, lang: Lang = "en") -> DeclaredOut:
    """What was declared of a consignment, and what is still to be asked."""
    with app.store.database.reading() as conn:
        return _seen(conn, consignment_id, app.phrases(lang))


def _seen(conn: Connection, consignment_id: str, say: Phrases) -> DeclaredOut:
    now = use.declared(conn, consignment_id)
    asked = intake.shipped()
    state, _ = supplier(now)
    questions = [
        QuestionOut(
            id=one.id,
            text=say(f"intake_question.{one.id}"),
            answer=now.answers.get(one.id, ""),
            source=str(one.source),
        )
        for one in asked.questions
    ]
    return DeclaredOut(
        consignment_id=consignment_id,
        number=number_of(consignment_id),
        fields=DeclaredFields.model_validate(
            {name: getattr(now, name) or None for name in DeclaredFields.model_fields}
            | {name: getattr(now, name) for name in ("pallets", "seals", "supplied")}
        ),
        lots=[LotDeclared(code=lot.code, units=lot.units, cartons=lot.cartons) for lot in now.lots],
        questions=questions,
        unanswered=sum(not one.answer for one in questions),
        signals=[
            SignalOut(
                id=one.id,
                text=say(f"intake_signal.{one.id}"),
                seen=now.signals[one.id][0] if one.id in now.signals else None,
                note=now.signals[one.id][1] if one.id in now.signals else "",
                source=str(one.source),
            )
            for one in asked.signals
        ],
        supplier=state,
        history=[
            _declaration(entry.id, entry.content, by(entry))
            for entry in use.history(conn, consignment_id)
        ],
    )


def _declaration(id_: str, content: dict[str, Any], who: WrittenBy) -> DeclarationOut:
    shown = {name: content[name] for name in ("fields", "lots", "answers", "signals", "reason")}
    return DeclarationOut.model_validate({**shown, "declaration_id": id_, "by": who})
