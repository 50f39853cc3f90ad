"""Readings, and each judgement of them: appended, old ones kept, read again as they were."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, func, select

from inkwitness.check.values import Check, Judgement, Reading, UnitJudgement
from inkwitness.holders.values import HolderMatch
from inkwitness.marks.values import Mark
from inkwitness.records import chain, old_form, photos, stored
from inkwitness.records.chain import Entry, WriteContext
from inkwitness.records.store import new_id
from inkwitness.records.tables import checks, readings, unit_checks
from inkwitness.records.tables import photos as photos_table


def keep_reading(
    conn: Connection,
    photo_id: str,
    reading: Reading,
    context: WriteContext,
    *,
    reading_id: str | None = None,
    images: Mapping[int, str] | None = None,
) -> Entry:
    """Keep what was read in a photo.

    `images` are the SHA-256 of the straightened lines' pictures, which were kept before.
    """
    content = {
        "photo_id": photo_id,
        "strips": {str(line): sha256 for line, sha256 in sorted((images or {}).items())},
        "reading": stored.reading_content(reading),
    }
    entry, _ = chain.append(conn, readings, reading_id or new_id(), content, context)
    return entry


def keep_check(
    conn: Connection,
    photo_id: str,
    reading_id: str,
    check: Check,
    context: WriteContext,
    *,
    confirmations: tuple[str, ...] = (),
    why: str = "read",
) -> Entry:
    """Append a judgement; `why` is `read`, `confirmed`, `withdrawn`, `list_edition` or `carried`.

    `check` is it with its reading, `confirmations` are the ids of the words it was made with.
    """
    judgement = check.judgement
    content = {
        "photo_id": photo_id,
        "reading_id": reading_id,
        "confirmations": list(confirmations),
        "why": why,
        **_columns(judgement, judgement.best),
        **stored.judgement_content(judgement, check.reading),
    }
    entry, _ = chain.append(conn, checks, new_id(), content, context)
    return entry


def keep_unit_check(
    conn: Connection,
    unit_id: str,
    made_of: Mapping[str, Entry],
    judgement: UnitJudgement,
    context: WriteContext,
    *,
    why: str,
    edition_id: str | None = None,
) -> Entry:
    """Append what the photos of a unit came to together; `made_of` are their checks by photo id.

    `why` is as for a photo's check, `edition_id` the edition of the list that it was re-checked
    against.
    """
    before = newest_of_unit(conn, unit_id)
    parts = [load(conn, entry) for entry in made_of.values()]
    content = {
        "unit_id": unit_id,
        "edition_id": edition_id,
        "photos": list(made_of),
        "checks": [entry.id for entry in made_of.values()],
        "before": before.id if before is not None else None,
        "why": why,
        **_columns(judgement, {name: placed.mark for name, placed in judgement.best.items()}),
        **stored.unit_content(judgement, parts),
    }
    entry, _ = chain.append(conn, unit_checks, new_id(), content, context)
    return entry


def load(conn: Connection, entry: Entry) -> Check:
    """A check as it was made: its reading, and the judgement of it."""
    if "check" in entry.content:
        return old_form.check_of(entry.content["check"])
    reading = load_reading(conn, entry.content["reading_id"])
    return Check(reading, stored.judgement_of(entry.content, reading))


def load_reading(conn: Connection, reading_id: str) -> Reading:
    """A reading as it was made; raises NotFound."""
    content = chain.get(conn, readings, reading_id).content
    if "reading" in content:
        return stored.reading_of(content["reading"])
    # the old form kept of the reading itself less than of its first check
    first = select(checks.c.id).where(checks.c.reading_id == reading_id).order_by(checks.c.seq)
    entry = chain.get(conn, checks, conn.execute(first.limit(1)).scalar_one())
    return old_form.check_of(entry.content["check"]).reading


def load_unit(conn: Connection, entry: Entry) -> UnitJudgement:
    """A judgement of a unit as it was made."""
    if "check" in entry.content:
        return old_form.unit_of(entry.content["check"])
    made_of = chain.get_all(conn, checks, entry.content["checks"])
    parts = [load(conn, made_of[id_]) for id_ in entry.content["checks"]]
    return stored.unit_of(entry.content, parts)


def heading(marks: Mapping[str, Mark], match: HolderMatch) -> dict[str, str]:
    """What a list of units shows of a check: number and holder, each only where it was read.

    A list shows no ink and no doubt, so a doubtful mark would pass there for one that was read;
    and what only its place names is no title.
    """
    read = {
        name: mark
        for name, mark in marks.items()
        if mark.standing == "read" and mark.named_by != "place"
    }
    number, name = read.get("approval_number"), read.get("manufacturer")
    return {
        "approval_number": (number.value or number.printed)[:200] if number else "",
        "holder": ((match.holder if number or name else "") or (name.printed if name else ""))[
            :400
        ],
        "looked_up": match.looked_up[:400],
    }


def of_photo(conn: Connection, photo_id: str) -> list[Entry]:
    """All checks of a photo, the newest first."""
    return chain.entries(conn, checks, photo_id=photo_id)[::-1]


def newest(conn: Connection, photo_id: str) -> Entry | None:
    """The newest check of a photo, or None while it has none."""
    wanted = select(checks.c.id).where(checks.c.photo_id == photo_id).order_by(checks.c.seq.desc())
    id_ = conn.execute(wanted.limit(1)).scalar()
    return chain.get(conn, checks, id_) if id_ else None


def as_read(conn: Connection, photo_id: str) -> Entry | None:
    """The first check of the photo's newest reading: the one before any person's word."""
    wanted = (
        select(readings.c.id)
        .where(readings.c.photo_id == photo_id)
        .order_by(readings.c.seq.desc())
        .limit(1)
    )
    reading_id = conn.execute(wanted).scalar()
    if reading_id is None:
        return None
    first = (
        select(checks.c.id).where(checks.c.reading_id == reading_id).order_by(checks.c.seq).limit(1)
    )
    id_ = conn.execute(first).scalar()
    return chain.get(conn, checks, id_) if id_ else None


def of_unit(conn: Connection, unit_id: str) -> list[Entry]:
    """All checks of a unit's photos together, the newest first; a unit of one photo has none."""
    return chain.entries(conn, unit_checks, unit_id=unit_id)[::-1]


def newest_of_unit(conn: Connection, unit_id: str) -> Entry | None:
    """The newest check of a unit's photos together, or None where it has none."""
    last = select(func.max(unit_checks.c.seq)).where(unit_checks.c.unit_id == unit_id)
    id_ = conn.execute(
        select(unit_checks.c.id).where(unit_checks.c.seq == last.scalar_subquery())
    ).scalar()
    return chain.get(conn, unit_checks, id_) if id_ else None


def in_force(conn: Connection, unit_id: str) -> Entry | None:
    """The check that speaks for the unit: the newest, while it has several photos."""
    several = len(photos.of_unit(conn, unit_id)) > 1
    return newest_of_unit(conn, unit_id) if several else None


def confirmed_photos(conn: Connection) -> list[str]:
    """Photos whose newest check rests on a person's word, the oldest first."""
    rows = conn.execute(select(checks.c.photo_id, checks.c.basis).order_by(checks.c.seq))
    last: dict[str, str] = {row.photo_id: row.basis for row in rows}
    replaced = set(conn.execute(select(photos_table.c.replaces)).scalars())
    return [id_ for id_, basis in last.items() if basis == "confirmed" and id_ not in replaced]


def today(at: dt.datetime) -> dt.date:
    """The date of a moment on this machine's calendar."""
    return at.astimezone().date()


def _columns(judged: Judgement | UnitJudgement, best: Mapping[str, Mark]) -> dict[str, Any]:
    """What is repeated beside the judgement, to be searched for and listed."""
    return {
        "outcome": judged.outcome,
        "basis": judged.basis,
        "scheme": judged.scheme,
        **heading(best, judged.holder_match),
    }
