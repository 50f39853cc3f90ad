"""What is waiting to be read and what is being read: the only rows that change."""

import datetime as dt
import json
from dataclasses import dataclass
from typing import Literal, cast

from sqlalchemy import Connection, RowMapping, func, insert, or_, select, update

from inkwitness.errors import NotFound
from inkwitness.phrases import Sentence, as_json, of_json
from inkwitness.records.chain import Actor, WriteContext, canonical, stamp
from inkwitness.records.store import new_id
from inkwitness.records.tables import jobs, photos

JobState = Literal["waiting", "reading", "done", "failed"]


@dataclass(frozen=True, slots=True)
class Failure:
    """Why a photo could not be read: a code for programs, and what to tell the person."""

    code: str
    why: Sentence


@dataclass(frozen=True, slots=True)
class Job:
    """One photo's way through the readers; `attempts` counts how often reading it was begun."""

    id: str
    photo_id: str
    state: JobState
    stage: str
    attempts: int
    check_id: str | None
    failure: Failure | None
    actor: Actor


def make(conn: Connection, photo_id: str, context: WriteContext) -> Job:
    """The job of a photo: made if it has none."""
    existing = conn.execute(select(jobs).where(jobs.c.photo_id == photo_id)).mappings().first()
    if existing is not None:
        return _job(existing)
    at = stamp(context.at)
    actor = {"id": context.actor.id, "name": context.actor.name, "roles": list(context.actor.roles)}
    id_ = new_id()
    conn.execute(
        insert(jobs).values(
            id=id_,
            photo_id=photo_id,
            state="waiting",
            stage="waiting",
            attempts=0,
            actor=canonical(actor),
            made_at=at,
            changed_at=at,
        )
    )
    return get(conn, id_)


def get(conn: Connection, job_id: str) -> Job:
    """A job by its id; raises NotFound."""
    row = conn.execute(select(jobs).where(jobs.c.id == job_id)).mappings().first()
    if row is None:
        raise NotFound("no_job", id=job_id)
    return _job(row)


def of_photo(conn: Connection, photo_id: str) -> Job:
    """The job of a photo; raises NotFound."""
    row = conn.execute(select(jobs).where(jobs.c.photo_id == photo_id)).mappings().first()
    if row is None:
        raise NotFound("no_job_of_photo", id=photo_id)
    return _job(row)


def unfinished(conn: Connection, *, again: bool = True) -> list[Job]:
    """Jobs that wait or that were cut off while reading, the oldest first.

    With `again` also those that lacked a reader: at a start it may be there.
    """
    states = jobs.c.state.in_(("waiting", "reading"))
    wanted = (
        select(jobs)
        .where(or_(states, jobs.c.error_code == "reader_missing") if again else states)
        .order_by(jobs.c.made_at, jobs.c.id)
    )
    return [_job(row) for row in conn.execute(wanted).mappings()]


def photos_without(conn: Connection) -> list[str]:
    """Photos that were kept and have no job, the oldest first."""
    wanted = (
        select(photos.c.id)
        .outerjoin(jobs, jobs.c.photo_id == photos.c.id)
        .where(jobs.c.id.is_(None))
        .order_by(photos.c.seq)
    )
    return list(conn.execute(wanted).scalars())


def waiting(conn: Connection) -> tuple[int, str | None]:
    """How many jobs are not finished, and since when the oldest of them waits (ISO 8601)."""
    row = conn.execute(
        select(func.count(), func.min(jobs.c.made_at)).where(
            jobs.c.state.in_(("waiting", "reading"))
        )
    ).one()
    return row[0], row[1]


def waiting_of(conn: Connection, actor_id: str) -> int:
    """How many jobs of what one actor sent are not finished."""
    wanted = select(func.count()).where(
        jobs.c.state.in_(("waiting", "reading")),
        func.json_extract(jobs.c.actor, "$.id") == actor_id,
    )
    return conn.execute(wanted).scalar_one()


def once_more(conn: Connection, job_id: str, at: dt.datetime) -> tuple[Job, bool]:
    """Have a failed job done again, as if it had never been begun; True where it had failed."""
    job = get(conn, job_id)
    if job.state != "failed":
        return job, False
    waiting = {"state": "waiting", "stage": "waiting", "attempts": 0}
    return _change(conn, job, at, **waiting, error_code=None, error_message=None), True


def begin(conn: Connection, job: Job, at: dt.datetime) -> Job:
    """Say that reading begins."""
    return _change(conn, job, at, state="reading", stage="reading", attempts=job.attempts + 1)


def put_back(conn: Connection, job: Job, at: dt.datetime, *, counts: bool) -> Job:
    """Say that reading stopped and will be tried again; `counts` says whether it was an attempt."""
    attempts = job.attempts if counts else job.attempts - 1
    return _change(conn, job, at, state="waiting", stage="waiting", attempts=attempts)


def done(conn: Connection, job: Job, check_id: str, at: dt.datetime) -> Job:
    """Say that the photo was read and checked."""
    return _change(
        conn,
        job,
        at,
        state="done",
        stage="done",
        check_id=check_id,
        error_code=None,
        error_message=None,
    )


def fail(conn: Connection, job: Job, failure: Failure, at: dt.datetime) -> Job:
    """Say that the photo could not be read, and what to do."""
    why = json.dumps(as_json(failure.why), ensure_ascii=False)
    return _change(
        conn, job, at, state="failed", stage="failed", error_code=failure.code, error_message=why
    )


def _change(conn: Connection, job: Job, at: dt.datetime, **values: object) -> Job:
    conn.execute(update(jobs).where(jobs.c.id == job.id).values(changed_at=stamp(at), **values))
    return get(conn, job.id)


def _job(row: RowMapping) -> Job:
    actor = json.loads(row["actor"])
    return Job(
        id=row["id"],
        photo_id=row["photo_id"],
        state=cast(JobState, row["state"]),
        stage=row["stage"],
        attempts=row["attempts"],
        check_id=row["check_id"],
        failure=_failure(row["error_code"], row["error_message"]),
        actor=Actor(actor["id"], actor["name"], tuple(actor["roles"])),
    )


def _failure(code: str | None, why: str | None) -> Failure | None:
    if code is None or why is None:
        return None
    # rows of before 2026-11-29 hold an English sentence
    told = of_json(json.loads(why)) if why.startswith("{") else None
    return Failure(code, told or Sentence("error.told_before", {"told": why}))
