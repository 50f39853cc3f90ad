"""Shapes of what is answered about a consignment: its draw, its gate, units side by side."""

from collections.abc import Iterable
from typing import Any

from pydantic import BaseModel, ConfigDict, Field

from inkwitness.api.routes.sampling import StatementOut
from inkwitness.api.shapes.answer_shapes import FindingAnswerOut, answer_out
from inkwitness.api.shapes.wire import Answer, AsSeen, WrittenBy, as_seen, by
from inkwitness.check.values import Basis
from inkwitness.consignment.values import Refusal
from inkwitness.findings.outcome import Outcome
from inkwitness.phrases import Phrases
from inkwitness.records.chain import Entry
from inkwitness.rulebook import Rulebook
from inkwitness.use_cases import answers
from inkwitness.use_cases.overview import LotStands, Overview, answer_says, counted_says
from inkwitness.use_cases.photos import Retakes
from inkwitness.use_cases.plans import PlanKind
from inkwitness.use_cases.prints import SideBySide


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


class PlanMadeOut(Answer):
    """One plan of those that were made: what was drawn from how many, by whom, and whether the
    draw still counts.
    """

    plan_id: str
    kind: PlanKind
    n: int
    lot: int
    seed: str
    counts: bool = Field(description="what it drew is to be looked at")
    instead_because: str = Field(
        description="why the draws before it no longer held; empty: it was added to them"
    )
    by: WrittenBy


def plans_out(found: Overview) -> list[PlanMadeOut]:
    """Every plan of a consignment, in order."""
    return [
        PlanMadeOut(
            plan_id=one.entry.id,
            kind=one.entry.content["kind"],
            n=one.entry.content["n"],
            lot=one.entry.content["lot"],
            seed=one.entry.content["draw"]["seed"],
            counts=one.counts,
            instead_because=one.instead_because,
            by=by(one.entry),
        )
        for one in found.plans
    ]


class UnitsDifferOut(Answer):
    """A finding of the consignment: something that units, or what was declared, disagree about."""

    key: str
    says: str
    next_step: str
    values: dict[str, str] = Field(description="for the same sentence in another language")
    unit_ids: list[str]
    id: str = Field("", description="names it for an answer; other units or values make another")
    answers: list[FindingAnswerOut] = Field([], description="what people said to it, in order")


def across_out(beside: SideBySide, say: Phrases) -> list[UnitsDifferOut]:
    """What units disagree about, each with what people said to it, in the language of `say`."""
    answered = frozenset(entry.id for entry in answers.standing(beside.answers).values())
    return [
        UnitsDifferOut(
            key=one.key,
            says=one.says(say),
            next_step=one.next_step(say),
            values=dict(one.values),
            unit_ids=list(one.unit_ids),
            id=one.id,
            answers=[answer_out(entry, answered) for entry in beside.answered(one)],
        )
        for one in beside.across
    ]


class CountedOut(Answer):
    """A finding, on `n` of the `of` single units of the sample that were looked at."""

    rule: str
    severity: str
    n: int
    of: int
    says: str


def counted_out(
    found: Overview, beside: SideBySide, rulebook: Rulebook, say: Phrases
) -> list[CountedOut]:
    """What how many units of the sample show, in the language of `say`."""
    return [
        CountedOut(
            rule=one.finding.rule, severity=one.finding.severity, n=one.n, of=one.of, says=says
        )
        for one, says in counted_says(found, beside, rulebook, say)
    ]


class HolderAnswerOut(Answer):
    """What the approval holder answered: whether it agrees with the print, letter for letter."""

    about: str
    words: str
    says: str
    by: WrittenBy


class RetakesOut(Answer):
    """First photos that the phone found poor and that were taken again before one was kept."""

    kept: int
    again: int
    percent: int = Field(description="taken again among all that were taken")
    reasons: dict[str, int]
    says: str = Field(description="empty where none was taken again")


class StandsOut(Answer):
    """A release in force, what stands in its way now, and how the goods stand."""

    released: str = Field("", description="the release in force, its own or of the whole; or empty")
    stopped_by: list[RefusalOut] = Field(
        [], description="what stands in the way of that release now: nothing is handed out so long"
    )
    seen: AsSeen = Field(description="send it back with a decision on these goods")


class LotStandsOut(StandsOut):
    """Where one declared lot stands: held, released, and what a release of it waits for."""

    code: str
    outcome: Outcome | None = Field(
        None, description="the worst of its units and of what the holder answered about it"
    )
    answered: HolderAnswerOut | None = Field(
        None, description="the newest answer of the holder about this lot, or about all of them"
    )
    held: bool = Field(description="itself, or with the whole")
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


def stands_out(found: Overview | LotStands, say: Phrases) -> dict[str, Any]:
    """The fields of `StandsOut`, in the language of `say`."""
    return {
        "released": found.released,
        "stopped_by": refusals_out(found.stopped_by, say),
        "seen": as_seen(found.seen),
    }


def lots_out(found: Iterable[LotStands], say: Phrases) -> list[LotStandsOut]:
    """Where each lot stands, in the language of `say`."""
    return [
        LotStandsOut(
            code=lot.code,
            outcome=lot.outcome,
            answered=None if lot.answered is None else _answer(lot.answered, say),
            held=lot.held,
            in_the_way=refusals_out(lot.in_the_way, say),
            **stands_out(lot, say),
        )
        for lot in found
    ]


def retakes_out(found: Retakes, say: Phrases) -> RetakesOut:
    """Photos taken again, in the language of `say`."""
    return RetakesOut(
        kept=found.kept,
        again=found.again,
        percent=found.percent,
        reasons=dict(found.reasons),
        says=found.says(say),
    )


def _answer(entry: Entry, say: Phrases) -> HolderAnswerOut:
    return HolderAnswerOut(
        about=entry.content["about"],
        words=entry.content["reason"],
        says=answer_says(entry, say),
        by=by(entry),
    )
