"""Shapes of what is answered about a consignment: its draw, its gate, units side by side."""

from collections.abc import Iterable
from typing import Any

from pydantic import BaseModel, ConfigDict, Field

from inkwitness.api.routes.sampling import StatementOut
from inkwitness.api.shapes.answer_shapes import FindingAnswerOut
from inkwitness.api.shapes.wire import Answer, WrittenBy
from inkwitness.check.values import Basis
from inkwitness.consignment.values import Refusal
from inkwitness.findings.outcome import Outcome
from inkwitness.phrases import Phrases
from inkwitness.use_cases.overview import LotStands
from inkwitness.use_cases.plans import PlanKind


class LotDeclared(BaseModel):
    """A lot as declared. The code is part of unit names, so it holds no slash."""

    model_config = ConfigDict(extra="forbid", json_schema_serialization_defaults_required=True)

    code: str = Field(min_length=1, max_length=60, pattern=r"^[^/\s][^/]*$")
    units: int | None = Field(None, ge=1)
    cartons: int | None = Field(None, ge=1)


class DrawnPlaceOut(Answer):
    """A drawn unit: its rank, its name, the lot or carton drawn from, its ticket, what was seen."""

    rank: int
    place: str
    group: str
    sha256: str
    unit_id: str | None
    outcome: Outcome | None
    basis: Basis | None


class DrawPlanOut(Answer):
    """A stored plan: the question, the answer, and who drew when."""

    plan_id: str
    kind: PlanKind
    lot: int
    n: int
    accept: int
    reject: int
    chance: float | None = None
    cartons_opened: int | None = None
    per_carton: int | None = None
    letter: str | None = None
    seed: str
    frame: int
    frame_sha256: str
    cartons: list[str]
    question: dict[str, Any]
    statements: list[StatementOut]
    by: WrittenBy


class RefusalOut(Answer):
    """One thing that stands in the way of a release."""

    key: str
    says: str
    lift: str = Field(description="what to do about it")
    values: dict[str, str] = Field(description="for the same sentence in another language")


class UnitsDifferOut(Answer):
    """A finding of the consignment: something that units, or what was declared, disagree about."""

    key: str
    says: str
    next_step: str
    values: dict[str, str] = Field(description="for the same sentence in another language")
    unit_ids: list[str]
    id: str = Field("", description="names it for an answer; other units or values make another")
    answers: list[FindingAnswerOut] = Field([], description="what people said to it, in order")


class LotStandsOut(Answer):
    """Where one declared lot stands: held, released, and what a release of it waits for."""

    code: str
    held: bool = Field(description="itself, or with the whole")
    released: str = Field(description="the release in force, its own or of the whole; else empty")
    in_the_way: list[RefusalOut]


class LotSampleOut(Answer):
    """One lot of a draw over the lots; `statement` is empty until its own sample is complete."""

    code: str
    units: int
    drawn: int
    left_to_do: int
    outcome: Outcome | None
    statement: list[StatementOut]


def refusals_out(found: Iterable[Refusal], say: Phrases) -> list[RefusalOut]:
    """What stands in the way, in the language of `say`."""
    return [
        RefusalOut(key=one.key, says=one.says(say), lift=one.lift(say), values=dict(one.values))
        for one in found
    ]


def lots_out(found: Iterable[LotStands], say: Phrases) -> list[LotStandsOut]:
    """Where each lot stands, in the language of `say`."""
    return [
        LotStandsOut(
            code=lot.code,
            held=lot.held,
            released=lot.released,
            in_the_way=refusals_out(lot.in_the_way, say),
        )
        for lot in found
    ]
