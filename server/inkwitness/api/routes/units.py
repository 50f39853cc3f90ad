"""`/units`: what was photographed, unit by unit, with every check, word and decision on it."""

import datetime as dt
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query
from pydantic import Field
from sqlalchemy import Connection

from inkwitness.api.deps import App, Id, Lang, Services, Writer
from inkwitness.api.guard.roles import (
    READERS,
    RELEASER,
    SCREENER,
    may,
    may_decide,
)
from inkwitness.api.routes.constructions import ConstructionOut, construction_out
from inkwitness.api.routes.intake.papers import paper_finding_out
from inkwitness.api.shapes.access_shapes import of_the_house
from inkwitness.api.shapes.answer_shapes import (
    AfterAnswersOut,
    FindingAnswerOut,
    after_out,
    answer_out,
)
from inkwitness.api.shapes.paper_shapes import PaperFindingOut
from inkwitness.api.shapes.wire import (
    Answer,
    AsSeen,
    CheckRecord,
    ConfirmationOut,
    DecisionOut,
    UnitCheckRecord,
    UnitRow,
    as_seen,
    check_record,
    confirmation_out,
    decision_out,
    unit_check_record,
    unit_row,
)
from inkwitness.check.outward import check_out, unit_check_out
from inkwitness.consignment.dispositions import Disposition
from inkwitness.consignment.seen import seen_now
from inkwitness.consignment.stock import OnlyAs
from inkwitness.findings.values import Aspect, AspectState, Surface, Whole
from inkwitness.records import chain, checks, constructions, removals, units
from inkwitness.records.chain import Entry
from inkwitness.records.tables import photos as photos_table
from inkwitness.records.tables import units as units_table
from inkwitness.use_cases import answers, confirmations, deciding, goods
from inkwitness.use_cases.deciding import Said
from inkwitness.use_cases.intake import standing
from inkwitness.use_cases.intake.standing import BesideUnit

router = APIRouter(prefix="/units", tags=["units"])


class UnitPage(Answer):
    """Units, the newest first; ask on with `before` = the last unit's id."""

    units: list[UnitRow]


class TakenBack(Answer):
    """Who removed the bytes of a photo, when, and why."""

    by: str
    at: dt.datetime
    reason: str


class PhotoOut(Answer):
    """A photo of a unit. Width and height are as a viewer turns it, as all polygons are."""

    photo_id: str
    surface: Surface
    whole: Whole
    declared: list[str]
    width: int
    height: int
    sha256: str = Field(description="of the bytes as they came")
    served_sha256: str = Field(description="of the copy without metadata")
    served_how: str = Field(description="`metadata_removed`, or `encoded_again` for HEIC")
    had_location: bool = Field(description="the file as it came carries a position; copies do not")
    file: str = Field(
        description="the bytes as they came are `intact`, `changed`, `missing` or `removed`"
    )
    removed: TakenBack | None = Field(description="of bytes that were removed for good")
    reduced: bool
    replaced_by: str | None


class CameWithOut(Answer):
    """What papers and supplier say of a unit, beside its print; no outcome is changed by it."""

    aspects: dict[Aspect, AspectState] = Field(description="those that somebody looked at")
    findings: list[PaperFindingOut] = Field(description="what papers raise beside its print")


class UnitOut(Answer):
    """All that is kept of one unit."""

    unit_id: str
    label: str
    count: int
    consignment_id: str | None
    place: str
    made_at: dt.datetime
    row: UnitRow
    held: bool
    photos: list[PhotoOut]
    unit_check: UnitCheckRecord | None = Field(
        description="its photos checked together, the newest; null where it has one photo"
    )
    checks: list[CheckRecord]
    confirmations: list[ConfirmationOut]
    decisions: list[DecisionOut]
    answers: list[FindingAnswerOut] = Field(description="what people said to findings, in order")
    construction: ConstructionOut | None = Field(
        description="how it is made and its condition, as seen last; null: nobody looked"
    )
    came_with: CameWithOut | None = Field(
        description="papers and supplier of its consignment, beside it; null: nobody looked"
    )
    after: AfterAnswersOut | None = Field(
        description="what is left without what was set aside; null where nothing was"
    )
    seen: AsSeen = Field(description="send it back with a decision on this unit")


class Attach(Answer):
    """Put a unit under a consignment, at a place of its draw or at none."""

    id: Id
    consignment_id: Id
    place: str = Field("", max_length=200, examples=["LOT-A/C005/U02"])
    label: str = Field(
        "", max_length=200, description="what it is called from now on; empty: as before"
    )


class Decide(Answer):
    """What a person decides."""

    id: Id
    disposition: Disposition
    reason: str = Field("", max_length=2000, examples=["Waiting for the approval holder's answer."])
    limits: str = Field("", max_length=2000, description="only for what these may be used")
    until: dt.date | None = Field(None, description="last day of a limit")
    about: str = Field(
        "",
        max_length=40,
        description="what is agreed to or dissented from; of the holder's answer: agrees, differs",
    )

    lot: str = Field("", max_length=60, description="one lot of a consignment; empty: all of it")
    assignee: str = Field(
        "", max_length=100, description="somebody of the house who sees to what comes next"
    )
    answers: Id | Literal[""] = Field(
        "", description="the question that an answer is to; empty: the only one there is"
    )
    only_as: OnlyAs = Field(
        "", description="of a release with limits: what alone these are handed out as"
    )
    seen: AsSeen | None = Field(
        None, description="how the goods stood on the screen; 409 where that has changed"
    )

    def said(self) -> Said:
        """The decision as the records keep it."""
        until = self.until.isoformat() if self.until is not None else ""
        return Said(
            self.disposition,
            self.reason,
            self.limits,
            until,
            self.about,
            self.lot,
            self.assignee.strip(),
            self.answers,
            self.seen.value() if self.seen is not None else None,
            self.only_as,
        )


@router.get("", openapi_extra=may(*READERS))
def list_units(
    app: App,
    limit: Annotated[int, Query(ge=1, le=200)] = 50,
    before: Id | None = None,
    consignment_id: Id | None = None,
) -> UnitPage:
    """Units, the newest first, each with what its photos come to together."""
    with app.store.database.reading() as conn:
        found = units.page(conn, limit=limit, before=before, consignment_id=consignment_id)
    return UnitPage(units=[unit_row(unit) for unit in found])


@router.get("/{unit_id}", openapi_extra=may(*READERS))
def see_unit(app: App, unit_id: Id, lang: Lang = "en") -> UnitOut:
    """One unit: its photos, all checks (the newest first), what people said and decided."""
    with app.store.database.reading() as conn:
        chain.get(conn, units_table, unit_id)
        (unit,) = units.summaries(conn, [unit_id])
        its_photos = chain.entries(conn, photos_table, unit_id=unit_id)
        gone = {
            photo.id: removal
            for photo in its_photos
            if (removal := removals.of_photo(conn, photo.id)) is not None
        }
        replaced_by = {photo.content["replaces"]: photo.id for photo in its_photos}
        made = [
            (entry, checks.load(conn, entry))
            for photo in its_photos
            for entry in checks.of_photo(conn, photo.id)
        ]
        said = [word for photo in its_photos for word in confirmations.of_photo(conn, photo.id)]
        together = checks.in_force(conn, unit_id)
        unit_check = _unit_check(app, conn, together, lang) if together is not None else None
        decided = deciding.decided(conn, unit_id=unit_id)
        on_hold = deciding.is_held(conn, unit_id=unit_id)
        built = constructions.newest(conn, unit_id)
        beside = standing.beside_unit(conn, unit_id, unit.consignment_id, app.today())
        seen = seen_now(goods.of_unit(conn, unit_id, on=app.terms().on))
        answered = answers.of_unit(conn, unit_id)
        in_place = answers.standing(answered)
        after, covered = answers.after(answers.judged(conn, unit) if in_place else (), in_place)
    made.sort(key=lambda one: -one[0].seq)
    said.sort(key=lambda word: word.seq)
    in_force = {word.id for word in confirmations.standing_by_photo(said)}
    return UnitOut(
        unit_id=unit_id,
        label=unit.label,
        count=unit.count,
        consignment_id=unit.consignment_id,
        place=unit.state.place,
        made_at=unit.made_at,
        row=unit_row(unit),
        held=on_hold,
        photos=[
            PhotoOut(
                photo_id=photo.id,
                **{
                    key: photo.content[key] for key in PhotoOut.model_fields if key in photo.content
                },
                **_file(app, photo, gone.get(photo.id)),
                replaced_by=replaced_by.get(photo.id),
            )
            for photo in its_photos
        ],
        unit_check=unit_check,
        checks=[
            check_record(entry, check_out(check, app.rulebook(), lang)) for entry, check in made
        ],
        confirmations=[confirmation_out(word, in_force) for word in said],
        decisions=[decision_out(entry) for entry in decided],
        answers=[
            answer_out(entry, frozenset(in_place[named].id for named in covered))
            for entry in answered
        ],
        construction=construction_out(built) if built is not None else None,
        came_with=_came_with(app, beside, lang) if beside.aspects else None,
        after=after_out(after),
        seen=as_seen(seen),
    )


@router.get("/{unit_id}/checks", openapi_extra=may(*READERS))
def see_unit_checks(app: App, unit_id: Id, lang: Lang = "en") -> list[UnitCheckRecord]:
    """Every check of a unit's photos together, the newest first; none for a unit of one photo."""
    with app.store.database.reading() as conn:
        chain.get(conn, units_table, unit_id)
        made = checks.of_unit(conn, unit_id)
        return [_unit_check(app, conn, entry, lang) for entry in made]


@router.post("/{unit_id}/attach", status_code=201, openapi_extra=may(SCREENER, RELEASER))
def attach_unit(app: App, context: Writer, unit_id: Id, body: Attach) -> UnitRow:
    """Put a unit under a consignment; a later attachment takes the place of an earlier one.

    Refused with 409 where it would take goods out of a hold, on them or on their lot, or what is
    not read, asked about or open out of sight.
    """
    with app.store.database.writing() as conn:
        if why := goods.stays(conn, unit_id, body.consignment_id, body.place):
            raise why
        units.attach(
            conn,
            body.id,
            unit_id,
            body.consignment_id,
            body.place,
            context,
            label=body.label.strip(),
        )
        return unit_row(units.summaries(conn, [unit_id])[0])


@router.post(
    "/{unit_id}/decisions",
    status_code=201,
    openapi_extra=may(SCREENER, RELEASER),
)
def decide_on_unit(app: App, context: Writer, unit_id: Id, body: Decide) -> DecisionOut:
    """Decide on one unit. A release is refused with 409 while something stands in its way."""
    may_decide(context.actor, body.disposition)
    of_the_house(app, body.assignee)
    with app.store.database.writing() as conn:
        entry, _ = deciding.decide(
            conn, body.id, body.said(), context, app.terms(), unit_id=unit_id
        )
    return decision_out(entry)


def _file(app: Services, photo: Entry, removal: Entry | None) -> dict[str, Any]:
    """What is the matter with the bytes as they came."""
    if removal is None:
        return {"file": app.store.files.state(photo.content["sha256"]), "removed": None}
    by, reason = removal.context.actor.name, removal.content["reason"]
    return {"file": "removed", "removed": TakenBack(by=by, at=removal.at, reason=reason)}


def _came_with(app: Services, beside: BesideUnit, lang: str) -> CameWithOut:
    say, book = app.phrases(lang), app.rulebook()
    found = [paper_finding_out(one, book, say) for one in beside.papers.findings]
    return CameWithOut(aspects=beside.aspects, findings=found)


def _unit_check(app: Services, conn: Connection, entry: Entry, lang: str) -> UnitCheckRecord:
    out = unit_check_out(checks.load_unit(conn, entry), app.rulebook(), lang)
    return unit_check_record(entry, out)
