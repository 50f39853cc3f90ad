"""How long photos are kept: taken back by a person, due by a setting, kept in spite of it.

Only bytes are ever removed (`records.removals`); rows stay, for the chain and for whoever asks why.
Nothing is removed of goods on hold, nor where somebody said that it is to be kept. How long what is
kept, and what a hold means for that, is the house's own rule and local law.
"""

import datetime as dt
import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from inkwitness.consignment.dispositions import held
from inkwitness.errors import BadInput
from inkwitness.jobs import queue
from inkwitness.phrases import Sentence
from inkwitness.records import chain, removals, units
from inkwitness.records.chain import Actor, Entry, WriteContext
from inkwitness.records.consignments import Refused
from inkwitness.records.store import Store, new_id
from inkwitness.records.tables import consignments, decisions, keeps, photos
from inkwitness.records.tables import removals as removals_table
from inkwitness.records.tables import units as units_table

#: No clock that was set says a day before this one: the machine began without one.
_NO_CLOCK = dt.date(2020, 1, 1)
#: So long after the newest entry bytes are not removed by a timer: a clock may have jumped ahead.
_QUIET = dt.timedelta(days=30)
#: Kinds of photos, each with a period of its own: of goods without a conflict, and of all others.
SETTLED, OPEN = "settled", "open"


@dataclass(frozen=True, slots=True)
class Periods:
    """Days for which the bytes of photos are kept, by kind; 0: without an end."""

    settled: int = 0
    open: int = 0

    def of(self, kind: str) -> int:
        return self.settled if kind == SETTLED else self.open


@dataclass(frozen=True, slots=True)
class Due:
    """A photo whose time is over. `stays` says why its bytes stay all the same; None: they go."""

    photo_id: str
    unit_id: str
    kind: str
    since: dt.date
    stays: Sentence | None


def take_back(
    store: Store, id_: str, photo_id: str, reason: str, context: WriteContext
) -> tuple[Entry, bool]:
    """Remove the bytes of a photo for good: a face, a badge, somebody else's papers are in it.

    Answers its removal and whether it is new. Raises NotFound, BadInput without a reason, and
    Refused where the goods are on hold, are to be kept, or the photo is being read just now.
    """
    if len(reason.strip()) < 3:
        raise BadInput("take_back_reason_missing")
    with store.database.writing() as conn:
        photo = chain.get(conn, photos, photo_id)
        kept = removals.of_photo(conn, photo_id)
        if kept is not None:
            # the row is written already; perhaps the program was cut off before the files went
            made, new = kept, False
        else:
            made, new = _remove(conn, store, id_, photo, reason.strip(), "person", context), True
        names = removals.going(conn, made)
    removals.unlink(store.files, names)
    return made, new


def keep(
    conn: Connection,
    id_: str,
    context: WriteContext,
    reason: str,
    *,
    unit_id: str | None = None,
    consignment_id: str | None = None,
) -> tuple[Entry, bool]:
    """Say that the photos of a unit or a consignment are kept, whatever the period says."""
    if (unit_id is None) == (consignment_id is None):
        raise BadInput("keep_one_of_two")
    if len(reason.strip()) < 3:
        raise BadInput("keep_reason_missing")
    table, subject = (units_table, unit_id) if unit_id else (consignments, consignment_id)
    chain.get(conn, table, str(subject))
    content = {
        "unit_id": unit_id,
        "consignment_id": consignment_id,
        "reason": reason.strip(),
        "ends": None,
    }
    return chain.append(conn, keeps, id_, content, context)


def end_keep(
    conn: Connection,
    id_: str,
    kept_id: str,
    context: WriteContext,
    reason: str,
    *,
    two_people: bool = False,
) -> tuple[Entry, bool]:
    """Say that what was to be kept need not be any more. With `two_people` another person does."""
    kept = chain.get(conn, keeps, kept_id)
    if kept.content["ends"] is not None:
        raise BadInput("keep_ended")
    if len(reason.strip()) < 3:
        raise BadInput("keep_end_reason_missing")
    if two_people and kept.context.actor.id == context.actor.id:
        raise Refused("keep_own")
    content = {**kept.content, "reason": reason.strip(), "ends": kept_id}
    return chain.append(conn, keeps, id_, content, context)


def in_force(conn: Connection) -> list[Entry]:
    """What is to be kept now, the oldest first."""
    said = chain.entries(conn, keeps)
    ended = {entry.content["ends"] for entry in said}
    return [entry for entry in said if entry.content["ends"] is None and entry.id not in ended]


def removed(conn: Connection) -> list[Entry]:
    """Every removal, the newest first."""
    return chain.entries(conn, removals_table)[::-1]


def due(conn: Connection, on: dt.date, periods: Periods) -> list[Due]:
    """Photos whose time is over on a day, the oldest first, and those of them that stay.

    The time of a photo begins when the last photo, word of decision or attachment of its unit, or
    decision on its consignment, was kept; not before what was kept ahead of it, whatever the clock
    said. Where the clock was not set it is not known, and the photo stays.
    """
    gone = {entry.content["photo_id"] for entry in chain.entries(conn, removals_table)}
    kept = chain.entries(conn, photos)
    came = dict(
        zip(
            (photo.id for photo in kept),
            itertools.accumulate((photo.at.date() for photo in kept), max),
            strict=True,
        )
    )
    waiting = [photo for photo in kept if photo.id not in gone]
    found = []
    for unit_id in dict.fromkeys(photo.content["unit_id"] for photo in waiting):
        (unit,) = units.summaries(conn, [unit_id])
        kind = SETTLED if unit.outcome == "no_conflict_found" else OPEN
        days = periods.of(kind)
        if not days:
            continue
        its = [photo for photo in waiting if photo.content["unit_id"] == unit_id]
        acts = chain.entries(conn, decisions, unit_id=unit_id)
        if unit.consignment_id is not None:
            acts += chain.entries(conn, decisions, consignment_id=unit.consignment_id)
        since = max([*(came[photo.id] for photo in its), *(act.at.date() for act in acts)])
        if since + dt.timedelta(days=days) > on:
            continue
        stays = _why_kept(conn, unit_id)
        if stays is None and since < _NO_CLOCK:
            stays = Sentence("error.clock_was_not_set", {"day": str(since)})
        found += [Due(photo.id, unit_id, kind, since, stays) for photo in its]
    return found


def refuse_odd_clock(conn: Connection, now: dt.datetime) -> None:
    """Raise BadInput where a clock says a time before the newest entry, or long after it.

    A clock that jumped ahead makes everything due. A person knows what day it is.
    """
    newest = max(
        (dt.datetime.fromisoformat(at) for at in chain.last_times(conn).values()), default=now
    )
    if not newest <= now <= newest + _QUIET:
        raise BadInput("clock_odd", now=str(now.date()), newest=str(newest.date()))


def remove_due(
    store: Store, periods: Periods, at: dt.datetime, on: dt.date | None = None
) -> list[Entry]:
    """Remove the bytes of each photo that is due and does not stay; answers the removals.

    `on` is the day that a person says it is; by default that of `at`.
    """
    with store.database.reading() as conn:
        wanted = [one for one in due(conn, on or at.date(), periods) if not one.stays]
    made = []
    for one in wanted:
        days = periods.of(one.kind)
        by = Actor(f"setting:keep_{one.kind}_days", f"the retention period of {days} days", ())
        with store.database.writing() as conn:
            if removals.of_photo(conn, one.photo_id) is not None or _why_kept(conn, one.unit_id):
                continue  # somebody was sooner
            photo = chain.get(conn, photos, one.photo_id)
            reason = f"its time was over: {days} days since {one.since}"
            context = WriteContext(by, at)
            entry = _remove(conn, store, new_id(), photo, reason, "period", context)
        removals.unlink(store.files, entry.content["files"])
        made.append(entry)
    return made


def _remove(
    conn: Connection,
    store: Store,
    id_: str,
    photo: Entry,
    reason: str,
    why: str,
    context: WriteContext,
) -> Entry:
    """Append that the bytes are removed, of this photo and of all whose file it is."""
    together = removals.same_bytes(conn, photo)
    for one in together:
        if stays := _why_kept(conn, one.content["unit_id"]):
            raise Refused("photo_stays", why=stays)
    names = list(
        dict.fromkeys(
            name for one in together for name in removals.files_of(conn, store.files, one)
        )
    )
    _refuse_while_read(conn, together)
    made: list[Entry] = []
    for one in together:
        job = queue.of_photo(conn, one.id)
        if job.state == "waiting":
            said = Sentence("error.taken_back", {"reason": reason})
            queue.fail(conn, job, queue.Failure("removed", said), context.at)
        content = {
            "photo_id": one.id,
            "sha256": one.content["sha256"],
            "served_sha256": one.content["served_sha256"],
            "files": names,
            "reason": reason,
            "why": why,
        }
        own = id_ if one.id == photo.id else new_id()
        made.append(chain.append(conn, removals_table, own, content, context)[0])
    return next(entry for entry in made if entry.id == id_)


def _refuse_while_read(conn: Connection, together: Sequence[Entry]) -> None:
    for one in together:
        if queue.of_photo(conn, one.id).state == "reading":
            raise Refused("photo_being_read")


def _why_kept(conn: Connection, unit_id: str) -> Sentence | None:
    """Why the photos of a unit are kept whatever the period says; None where nothing says so."""
    (unit,) = units.summaries(conn, [unit_id])
    subjects = [("unit_id", unit_id)]
    if unit.consignment_id is not None:
        subjects.append(("consignment_id", unit.consignment_id))
    for key, id_ in subjects:
        acts = chain.entries(conn, decisions, **{key: id_})
        if held([act.content["disposition"] for act in acts]):
            return Sentence("error.goods_on_hold", {})
    return kept_for(conn, [unit_id], unit.consignment_id)


def kept_for(
    conn: Connection, unit_ids: Sequence[str], consignment_id: str | None
) -> Sentence | None:
    """Who had one of these kept, and why; None where nobody did."""
    among = set(unit_ids)
    for entry in in_force(conn):
        told = entry.content
        if told["unit_id"] in among or (
            consignment_id and told["consignment_id"] == consignment_id
        ):
            name, day = entry.context.actor.name, str(entry.at.date())
            values = {"name": name, "day": day, "reason": told["reason"]}
            return Sentence("error.kept_by", values)
    return None
