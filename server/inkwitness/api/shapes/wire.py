"""Shapes that more than one router answers."""

import datetime as dt

from pydantic import BaseModel, ConfigDict, Field

from inkwitness.check.contract import CheckOut, UnitCheckOut
from inkwitness.check.values import Basis
from inkwitness.consignment.dispositions import CODES
from inkwitness.consignment.seen import Seen
from inkwitness.consignment.stock import OnlyAs
from inkwitness.findings.outcome import Outcome
from inkwitness.jobs.queue import Job, JobState
from inkwitness.phrases import Phrases
from inkwitness.records.chain import Entry
from inkwitness.records.units import UnitSummary


class Answer(BaseModel):
    """Base of answers."""

    model_config = ConfigDict(extra="forbid", json_schema_serialization_defaults_required=True)


class WrittenBy(Answer):
    """Who wrote an entry, when by the server's clock, and how far their own clock was off."""

    id: str
    name: str
    roles: list[str]
    at: dt.datetime
    clock_offset_ms: int | None


class ErrorInJob(Answer):
    code: str
    message: str


class JobOut(Answer):
    """One photo's way through the readers."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "job_id": "019a0b52-6f6e-7c1f-a4a3-0d8e7f3b2c11",
                    "photo_id": "019a0b52-6f00-7d0a-b0f2-6a6d5a5d9a01",
                    "state": "done",
                    "stage": "done",
                    "check_id": "019a0b52-7a00-7aaa-8d2f-1c2d3e4f5a6b",
                    "error": None,
                }
            ]
        }
    )

    job_id: str
    photo_id: str
    state: JobState
    stage: str
    check_id: str | None
    error: ErrorInJob | None


class UnitRow(Answer):
    """One unit or group in a list."""

    unit_id: str
    label: str
    count: int
    consignment_id: str | None
    place: str
    made_at: dt.datetime
    outcome: Outcome | None
    basis: Basis | None
    photo_ids: list[str]
    scheme: str
    approval_number: str
    holder: str
    unit_check_id: str | None = Field(
        None, description="`outcome` is of this check of its photos together; null: of one photo"
    )


class CheckRecord(Answer):
    """A stored check."""

    check_id: str
    photo_id: str
    made_at: dt.datetime
    on: dt.date
    basis: Basis
    why: str
    confirmations: list[str]
    check: CheckOut


class UnitCheckRecord(Answer):
    """A stored check of a unit: what its photos come to together.

    `photo_ids` and `check_ids` stand in the order of `check.photos`. The crop of a place is
    `/api/photos/{photo_ids[place.photo]}/lines/{place.mark.line}`; a mark that a person added has
    no line.
    """

    unit_check_id: str = Field(examples=["019a0b52-8b00-7aaa-8d2f-1c2d3e4f5a6b"])
    unit_id: str
    made_at: dt.datetime
    why: str = Field(description="`read`, `confirmed`, `withdrawn` or `list_edition`")
    photo_ids: list[str]
    check_ids: list[str] = Field(description="the photos' checks that it rests on")
    check: UnitCheckOut


class ConfirmationOut(Answer):
    """What a person said of a mark, or that it was taken back.

    `mark_id` is the mark's id in the check, also where the word was stored before marks had ids;
    empty while the photo is not read.
    """

    confirmation_id: str
    photo_id: str
    item: int | None = None
    mark: str | None = None
    mark_id: str = ""
    named: str = Field("", description="what the person says that it is; empty: as it was read")
    scheme: str = ""
    occurrence: int = 0
    printed: str | None = None
    come_from: str | None = Field(None, alias="from")
    read_as: str = ""
    supersedes: str | None = None
    withdraws: str | None = None
    in_force: bool
    by: WrittenBy


class AsSeen(Answer):
    """How goods stand, for who decides on them: sent back with the decision as it came."""

    outcome: Outcome | None = Field(description="the worst of their units")
    decisions: int = Field(ge=0, description="how many there are on them and on their parts")
    evidence: str = Field(max_length=64, description="digest of what is known of them")

    def value(self) -> Seen:
        """The same, as the core has it."""
        return Seen(self.outcome, self.decisions, self.evidence)


def as_seen(seen: Seen) -> AsSeen:
    """How goods stand, as it is sent."""
    return AsSeen(outcome=seen.outcome, decisions=seen.decisions, evidence=seen.evidence)


class DecisionOut(Answer):
    """What a person decided."""

    decision_id: str
    disposition: str
    code: str = Field("", description="D0 to D10; empty for what is no disposition")
    reason: str
    limits: str
    until: dt.date | None = None
    about: str = ""
    lot: str = Field("", description="the one lot that it is about; empty: all")
    assignee: str = Field("", description="who sees to what comes next; empty: whoever decided")
    answers: str = Field("", description="the question that an answer is to, by its id")
    only_as: OnlyAs = Field("", description="what alone the goods are handed out as; or empty")
    by: WrittenBy


def by(entry: Entry) -> WrittenBy:
    """Who wrote an entry."""
    actor = entry.context.actor
    return WrittenBy(
        id=actor.id,
        name=actor.name,
        roles=list(actor.roles),
        at=entry.at,
        clock_offset_ms=entry.context.clock_offset_ms,
    )


def job_out(job: Job, say: Phrases) -> JobOut:
    error = None
    if job.failure is not None:
        error = ErrorInJob(code=job.failure.code, message=job.failure.why.said(say))
    return JobOut(
        job_id=job.id,
        photo_id=job.photo_id,
        state=job.state,
        stage=job.stage,
        check_id=job.check_id,
        error=error,
    )


def unit_row(unit: UnitSummary) -> UnitRow:
    return UnitRow(
        unit_id=unit.unit_id,
        label=unit.label,
        count=unit.count,
        consignment_id=unit.consignment_id,
        place=unit.state.place,
        made_at=unit.made_at,
        outcome=unit.outcome,
        basis=unit.basis,
        photo_ids=[photo.photo_id for photo in unit.state.photos],
        scheme=unit.scheme,
        approval_number=unit.approval_number,
        holder=unit.holder,
        unit_check_id=unit.unit_check_id,
    )


def check_record(entry: Entry, check: CheckOut) -> CheckRecord:
    """A stored check, in the language that `check` is in."""
    return CheckRecord(
        check_id=entry.id,
        photo_id=entry.content["photo_id"],
        made_at=entry.at,
        on=check.on,
        basis=check.basis,
        why=entry.content["why"],
        confirmations=entry.content["confirmations"],
        check=check,
    )


def unit_check_record(entry: Entry, check: UnitCheckOut) -> UnitCheckRecord:
    """A stored check of a unit, in the language that `check` is in."""
    return UnitCheckRecord(
        unit_check_id=entry.id,
        unit_id=entry.content["unit_id"],
        made_at=entry.at,
        why=entry.content["why"],
        photo_ids=entry.content["photos"],
        check_ids=entry.content["checks"],
        check=check,
    )


def confirmation_out(entry: Entry, in_force: set[str]) -> ConfirmationOut:
    content = {key: value for key, value in entry.content.items() if key != "ink"}
    return ConfirmationOut.model_validate(
        {
            **content,
            "confirmation_id": entry.id,
            "in_force": entry.id in in_force,
            "by": by(entry),
        }
    )


def decision_out(entry: Entry) -> DecisionOut:
    return DecisionOut(
        decision_id=entry.id,
        disposition=entry.content["disposition"],
        code=CODES.get(entry.content["disposition"], ""),
        reason=entry.content["reason"],
        limits=entry.content["limits"],
        until=entry.content.get("until") or None,
        about=entry.content.get("about", ""),
        lot=entry.content.get("lot", ""),
        assignee=entry.content.get("assignee", ""),
        answers=entry.content.get("answers", ""),
        only_as=entry.content.get("only_as", ""),
        by=by(entry),
    )
