"""`/sampling`: the answers of the sampling stage on the wire.

Shares, confidences and error rates travel as text ("0.05" or "5 %"), so that they stay exact.
"""

from collections.abc import Sequence
from functools import partial
from typing import Annotated

from fastapi import APIRouter, Query
from pydantic import BaseModel, ConfigDict, Field

from inkwitness.api.deps import App, Lang
from inkwitness.api.guard.roles import READERS, may
from inkwitness.phrases import Phrases
from inkwitness.sampling import answers
from inkwitness.sampling.arguments import Looked
from inkwitness.sampling.cartons import CartonPlan, CartonQuestion
from inkwitness.sampling.curve import Point
from inkwitness.sampling.curve_svg import curve_svg
from inkwitness.sampling.draw import DrawnUnit
from inkwitness.sampling.statements import Statement
from inkwitness.use_cases.plans import checked_length

router = APIRouter(prefix="/sampling", tags=["sampling"])


class _Wire(BaseModel):
    model_config = ConfigDict(from_attributes=True)


class StatementOut(_Wire):
    """A sentence with the key and values it was made from."""

    key: str
    values: dict[str, int | float | str | None]
    text: str


class PlanOut(_Wire):
    """A single plan of MIL-STD-105E; `plan_letter` is the row that an arrow led to."""

    letter: str
    n: int
    accept: int
    reject: int
    plan_letter: str
    statements: list[StatementOut]


class DiscoveryOut(_Wire):
    """`n` is null, with a reason, where no sample size can do it; `chance` is the one reached.

    `per_carton` is the number to look at in every carton instead, where `cartons` was given.
    """

    n: int | None
    nonconforming: int
    lot: int
    chance: float
    reason: str | None
    per_carton: int | None
    statements: list[StatementOut]


class CartonPlanOut(_Wire):
    """Cartons opened, units looked at in each, units in all, chance of noticing."""

    opened: int
    looked_at: int
    units: int
    chance: float


class CartonsOut(_Wire):
    """`plan` is null, with a reason, where none can do it. The two others are for comparison."""

    plan: CartonPlanOut | None
    few_cartons: CartonPlanOut | None
    every_carton: CartonPlanOut | None
    reason: str | None
    statements: list[StatementOut]


class BoundOut(_Wire):
    """One-sided bounds in units (null for a process) and as shares.

    Only a random sample of units, or one from every carton, excludes a number of units; after a
    draw by carton,
    `nonconforming_cartons_at_most` counts the cartons that may still be nonconforming throughout.
    """

    at_most: int | None
    share: float
    at_least: int | None
    least_share: float
    nonconforming_cartons_at_most: int | None
    statements: list[StatementOut]


class EstimateOut(_Wire):
    """Nonconforming share behind unconfirmed flags; 0 or less: false alarms explain them all."""

    share: float
    low: float
    high: float
    statements: list[StatementOut]


class CurveOut(_Wire):
    """The operating characteristic as points and as an SVG picture."""

    lot: int
    n: int
    accept: int
    points: list[Point]
    marked: list[Point]
    svg: str


class DrawIn(BaseModel):
    """What to draw: `n` units, or `per_carton` units in `cartons` cartons.

    Names may be ranges: `C001..C100/U01..U40`.
    """

    model_config = ConfigDict(extra="forbid")

    units: list[str]
    seed: str = Field(max_length=500)
    n: int | None = None
    lots: bool = False
    cartons: int | None = None
    per_carton: int | None = None
    reserve: int = Field(default=10, le=1000)


class DrawOut(_Wire):
    """All that is needed to repeat the draw; `reserve` holds the next units in order."""

    seed: str
    n: int
    kind: str
    frame: int
    frame_sha256: str
    cartons: list[str]
    units: list[DrawnUnit]
    reserve: list[DrawnUnit]
    statements: list[StatementOut]


Lot = Annotated[int, Query(description="Units in the lot.")]
Confidence = Annotated[str, Query(max_length=40, description="Above 0, below 1.")]
Sensitivity = Annotated[
    str, Query(max_length=40, description="Share of nonconforming units noticed.")
]
NonconformingShare = Annotated[str | None, Query(max_length=40, description="0.01 or 1 %.")]
Nonconforming = Annotated[int | None, Query(description="The same as a number of units.")]


def stated(statements: Sequence[Statement], say: Phrases) -> list[StatementOut]:
    """Statements with their sentences in one language."""
    return [
        StatementOut(key=one.key, values=dict(one.values), text=one.said(say)) for one in statements
    ]


@router.get("/plan", openapi_extra=may(*READERS))
def plan(
    app: App,
    lot: Lot,
    aql: Annotated[str, Query(max_length=40)],
    level: Annotated[str, Query(max_length=10)] = "II",
    inspection: Annotated[str, Query(max_length=20)] = "normal",
    lang: Lang = "en",
) -> PlanOut:
    """Attribute plan, for ordinary print and pack faults in a contract series only."""
    answer = app.tables.run(answers.answer_plan, lot, level, aql, inspection)
    found = answer.plan
    return PlanOut(
        letter=found.letter,
        n=found.n,
        accept=found.accept,
        reject=found.reject,
        plan_letter=found.plan_letter,
        statements=stated(answer.statements, app.phrases(lang)),
    )


@router.get("/discovery", openapi_extra=may(*READERS))
def discovery(
    app: App,
    lot: Lot,
    nonconforming_share: NonconformingShare = None,
    nonconforming: Nonconforming = None,
    confidence: Confidence = "0.95",
    sensitivity: Sensitivity = "1",
    cartons: Annotated[int | None, Query(description="Cartons in the lot, if known.")] = None,
    lang: Lang = "en",
) -> DiscoveryOut:
    """Smallest sample that shows at least one nonconforming unit, if there are so many."""
    asked = partial(
        answers.answer_discovery,
        lot,
        nonconforming_share=nonconforming_share,
        nonconforming=nonconforming,
        confidence=confidence,
        sensitivity=sensitivity,
        cartons=cartons,
    )
    answer = app.tables.run(asked)
    said = stated(answer.statements, app.phrases(lang))
    return DiscoveryOut(
        n=answer.n,
        nonconforming=answer.nonconforming,
        lot=answer.lot,
        chance=answer.chance,
        reason=said[0].text if answer.n is None else None,
        per_carton=answer.per_carton,
        statements=said,
    )


@router.get("/cartons", openapi_extra=may(*READERS))
def cartons(
    app: App,
    cartons: int,
    per_carton: int,
    nonconforming_cartons: int = 1,
    nonconforming_inside: int | None = None,
    confidence: Confidence = "0.95",
    sensitivity: Sensitivity = "1",
    lang: Lang = "en",
) -> CartonsOut:
    """How many cartons to open, and how many units to look at in each."""
    question = CartonQuestion(
        cartons, per_carton, nonconforming_cartons, nonconforming_inside, sensitivity
    )
    answer = app.tables.run(answers.answer_cartons, question, confidence)
    said = stated(answer.statements, app.phrases(lang))
    return CartonsOut(
        plan=_carton_plan(answer.plan),
        few_cartons=_carton_plan(answer.few_cartons),
        every_carton=_carton_plan(answer.every_carton),
        reason=said[0].text if answer.plan is None else None,
        statements=said,
    )


def _carton_plan(plan: CartonPlan | None) -> CartonPlanOut | None:
    return CartonPlanOut.model_validate(plan) if plan is not None else None


@router.get("/bound", openapi_extra=may(*READERS))
def bound(
    app: App,
    looked_at: int,
    differed: int,
    lot: Annotated[int | None, Query(description="Without it, a process is meant.")] = None,
    confidence: Confidence = "0.95",
    sensitivity: Sensitivity = "1",
    seed: Annotated[str, Query(max_length=500)] = "",
    lacking: Annotated[int, Query(description="Units on which a mark was not seen.")] = 0,
    untold: Annotated[int, Query(description="Units that cannot be told.")] = 0,
    set_apart: Annotated[int, Query(description="Units that a person set apart.")] = 0,
    design: Annotated[str, Query(description="random, cartons or chosen.")] = "random",
    cartons: int | None = None,
    opened: int | None = None,
    lang: Lang = "en",
) -> BoundOut:
    """Most nonconforming units that the lot may hold after this sample, and what may be said."""
    if lot is None:
        answer = app.tables.run(
            answers.answer_process, looked_at, differed, confidence, sensitivity
        )
    else:
        looked = Looked(
            lot, looked_at, differed, untold, seed, design, cartons, opened, lacking, set_apart
        )
        answer = app.tables.run(answers.answer_bound, looked, confidence, sensitivity)
    return BoundOut(
        at_most=answer.at_most,
        share=answer.share,
        at_least=answer.at_least,
        least_share=answer.least_share,
        nonconforming_cartons_at_most=answer.nonconforming_cartons_at_most,
        statements=stated(answer.statements, app.phrases(lang)),
    )


@router.get("/estimate", openapi_extra=may(*READERS))
def estimate(
    app: App,
    looked_at: int,
    flagged: int,
    sensitivity: Annotated[str, Query(max_length=40)],
    specificity: Annotated[str, Query(max_length=40)],
    confidence: Confidence = "0.95",
    lang: Lang = "en",
) -> EstimateOut:
    """Nonconforming share behind unconfirmed flags, where both error rates are known."""
    answer = app.tables.run(
        answers.answer_estimate, looked_at, flagged, sensitivity, specificity, confidence
    )
    found = answer.estimate
    return EstimateOut(
        share=found.share,
        low=found.low,
        high=found.high,
        statements=stated(answer.statements, app.phrases(lang)),
    )


@router.get("/curve", openapi_extra=may(*READERS))
def curve(
    app: App,
    lot: Lot,
    n: int,
    accept: int = 0,
    sensitivity: Sensitivity = "1",
    nonconforming_share: NonconformingShare = None,
    nonconforming: Nonconforming = None,
    lang: Lang = "en",
) -> CurveOut:
    """The operating characteristic, with the nonconforming units asked about marked on it."""
    asked = partial(
        answers.answer_curve,
        lot,
        n,
        accept=accept,
        sensitivity=sensitivity,
        nonconforming_share=nonconforming_share,
        nonconforming=nonconforming,
    )
    drawn = app.tables.run(asked)
    return CurveOut(
        lot=drawn.lot,
        n=drawn.n,
        accept=drawn.accept,
        points=list(drawn.points),
        marked=list(drawn.marked),
        svg=curve_svg(drawn, app.phrases(lang)),
    )


@router.post("/draw", openapi_extra=may(*READERS))
def draw(app: App, asked: DrawIn, lang: Lang = "en") -> DrawOut:
    """Which units to look at, in an order that anyone can repeat from this record."""
    question = partial(
        answers.answer_draw,
        asked.units,
        asked.seed,
        n=asked.n,
        lots=asked.lots,
        cartons=asked.cartons,
        per_carton=asked.per_carton,
        reserve=asked.reserve,
    )
    answer = app.tables.run(question)
    checked_length(len(answer.draw.units) + len(answer.draw.reserve))
    drawn = answer.draw
    return DrawOut(
        seed=drawn.seed,
        n=len(drawn.units),
        kind=drawn.kind,
        frame=drawn.frame,
        frame_sha256=drawn.frame_sha256,
        cartons=list(drawn.cartons),
        units=list(drawn.units),
        reserve=list(drawn.reserve),
        statements=stated(answer.statements, app.phrases(lang)),
    )
