"""`/retention`, `/photos/{id}/remove`: what is due, what is kept all the same, what is removed."""

import datetime as dt

from fastapi import APIRouter
from pydantic import BaseModel, ConfigDict, Field

from inkwitness.api.deps import App, Id, Lang, Writer
from inkwitness.api.guard.roles import ADMINISTRATOR, READERS, RELEASER, SCREENER, may
from inkwitness.api.shapes.wire import Answer
from inkwitness.records.chain import Entry
from inkwitness.use_cases import retention

router = APIRouter(tags=["retention"])
# The command line tells all.
_MOST_TOLD = 200


class Remove(BaseModel):
    """Take a photo back: its bytes are removed for good."""

    model_config = ConfigDict(extra="forbid")

    id: Id
    reason: str = Field(max_length=500, examples=["A badge with a name is in it."])


class Keep(BaseModel):
    """Have the photos of a unit or of a consignment kept, whatever the period says."""

    model_config = ConfigDict(extra="forbid")

    id: Id
    unit_id: Id | None = None
    consignment_id: Id | None = None
    reason: str = Field(max_length=500, examples=["The authority asked for them."])


class EndKeep(BaseModel):
    """Say why they need not be kept any more."""

    model_config = ConfigDict(extra="forbid")

    id: Id
    reason: str = Field(max_length=500)


class RemovedOut(Answer):
    """Bytes that were removed: of which photo, by whom, when, why; the hashes stay."""

    removal_id: str
    photo_id: str
    sha256: str
    by: str
    at: dt.datetime
    reason: str


class KeepOut(Answer):
    """What is kept, because of whom, since when, and why."""

    keep_id: str
    unit_id: str | None
    consignment_id: str | None
    by: str
    at: dt.datetime
    reason: str


class DueOut(Answer):
    """A photo whose time is over; `stays` says why its bytes stay all the same."""

    photo_id: str
    unit_id: str
    kind: str = Field(description="`settled`: no conflict was found; `open`: anything else")
    since: dt.date
    stays: str


class RetentionOut(Answer):
    """The periods that are set, and what they come to; of long lists the first 200."""

    keep_settled_days: int = Field(description="0: without an end")
    keep_open_days: int = Field(description="0: without an end")
    due: list[DueOut]
    kept: list[KeepOut]
    removed: list[RemovedOut]


@router.get("/retention", openapi_extra=may(*READERS))
def see_retention(app: App, lang: Lang = "en") -> RetentionOut:
    """What is due by the periods that are set, what stays, and what was removed by whom."""
    say = app.phrases(lang)
    with app.store.database.reading() as conn:
        due = retention.due(conn, app.clock().date(), app.settings.periods)
        kept = retention.in_force(conn)
        removed = retention.removed(conn)
    return RetentionOut(
        keep_settled_days=app.settings.keep_settled_days,
        keep_open_days=app.settings.keep_open_days,
        due=[
            DueOut(
                photo_id=one.photo_id,
                unit_id=one.unit_id,
                kind=one.kind,
                since=one.since,
                stays=one.stays.said(say) if one.stays is not None else "",
            )
            for one in due[:_MOST_TOLD]
        ],
        kept=[_keep_out(entry) for entry in kept[:_MOST_TOLD]],
        removed=[_removed_out(entry) for entry in removed[:_MOST_TOLD]],
    )


@router.post(
    "/photos/{photo_id}/remove", status_code=201, openapi_extra=may(RELEASER, ADMINISTRATOR)
)
def remove_photo(app: App, context: Writer, photo_id: Id, body: Remove) -> RemovedOut:
    """Remove a photo's bytes for good: a face or a badge is in it. Hash, name and reason stay.

    Refused with 409 where the goods are on hold or the photos are to be kept.
    """
    entry, _ = retention.take_back(app.store, body.id, photo_id, body.reason, context)
    return _removed_out(entry)


@router.post(
    "/retention/keeps",
    status_code=201,
    openapi_extra=may(SCREENER, RELEASER, ADMINISTRATOR),
)
def keep(app: App, context: Writer, body: Keep) -> KeepOut:
    """Have photos kept, whatever the period says, until somebody ends it."""
    with app.store.database.writing() as conn:
        entry, _ = retention.keep(
            conn,
            body.id,
            context,
            body.reason,
            unit_id=body.unit_id,
            consignment_id=body.consignment_id,
        )
    return _keep_out(entry)


@router.post("/retention/keeps/{keep_id}/end", status_code=201, openapi_extra=may(ADMINISTRATOR))
def end_keep(app: App, context: Writer, keep_id: Id, body: EndKeep) -> KeepOut:
    """Say that they need not be kept any more; where accounts are on, another person does."""
    with app.store.database.writing() as conn:
        entry, _ = retention.end_keep(
            conn, body.id, keep_id, context, body.reason, two_people=app.two_people
        )
    return _keep_out(entry)


def _removed_out(entry: Entry) -> RemovedOut:
    return RemovedOut(
        removal_id=entry.id,
        photo_id=entry.content["photo_id"],
        sha256=entry.content["sha256"],
        by=entry.context.actor.name,
        at=entry.at,
        reason=entry.content["reason"],
    )


def _keep_out(entry: Entry) -> KeepOut:
    return KeepOut(
        keep_id=entry.id,
        unit_id=entry.content["unit_id"],
        consignment_id=entry.content["consignment_id"],
        by=entry.context.actor.name,
        at=entry.at,
        reason=entry.content["reason"],
    )
