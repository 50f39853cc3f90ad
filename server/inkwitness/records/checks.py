"""Readings and checks: what the readers saw, and each judgement of it, old ones kept."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, select

from inkwitness.check.confirm import with_ids
from inkwitness.check.contract import CheckOut, HolderMatchOut, MarkOut
from inkwitness.records import chain
from inkwitness.records.chain import Entry, Hand
from inkwitness.records.store import new_id
from inkwitness.records.tables import checks, photos, readings

# What a reading is, apart from every judgement of it.
_READING = ("sha256", "lines", "photo_quality", "readers", "width", "height", "turn", "notes")


def keep_reading(
    conn: Connection,
    photo_id: str,
    out: CheckOut,
    hand: Hand,
    *,
    reading_id: str | None = None,
    strips: Mapping[int, str] | None = None,
) -> tuple[Entry, Entry]:
    """Keep what was read in a photo, and the first check made of it.

    `strips` are the SHA-256 of the straightened lines' pictures, which were kept before.
    """
    whole = out.model_dump(mode="json")
    content: dict[str, Any] = {name: whole[name] for name in _READING}
    content["photo_id"] = photo_id
    content["items"] = [
        {"polygon": item["polygon"], "marks": item["marks"]} for item in whole["items"]
    ]
    content["strips"] = {str(line): sha256 for line, sha256 in sorted((strips or {}).items())}
    reading, _ = chain.append(conn, readings, reading_id or new_id(), content, hand)
    return reading, keep_check(conn, photo_id, reading.id, out, hand)


def heading(marks: Mapping[str, MarkOut], match: HolderMatchOut) -> dict[str, str]:
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


def keep_check(
    conn: Connection,
    photo_id: str,
    reading_id: str,
    out: CheckOut,
    hand: Hand,
    *,
    confirmations: tuple[str, ...] = (),
    why: str = "read",
) -> Entry:
    """Append a check; `why` is `read`, `confirmed`, `withdrawn`, `list_edition` or `carried`."""
    content = {
        "photo_id": photo_id,
        "reading_id": reading_id,
        "confirmations": list(confirmations),
        "why": why,
        "outcome": out.outcome,
        "basis": out.basis,
        "scheme": out.scheme,
        **heading(out.marks, out.holder_match),
        "check": out.model_dump(mode="json"),
    }
    entry, _ = chain.append(conn, checks, new_id(), content, hand)
    return entry


def out_of(entry: Entry) -> CheckOut:
    """The check as the contract has it; marks that were stored without an id get one."""
    return with_ids(CheckOut.model_validate(entry.content["check"]))


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


def confirmed_photos(conn: Connection) -> list[str]:
    """Photos whose newest check rests on a person's word, the oldest first."""
    rows = conn.execute(select(checks.c.photo_id, checks.c.basis).order_by(checks.c.seq))
    last: dict[str, str] = {row.photo_id: row.basis for row in rows}
    replaced = set(conn.execute(select(photos.c.replaces)).scalars())
    return [id_ for id_, basis in last.items() if basis == "confirmed" and id_ not in replaced]


def today(at: dt.datetime) -> dt.date:
    """The date of a moment on this machine's calendar."""
    return at.astimezone().date()


def summary(entry: Entry) -> Mapping[str, Any]:
    """A check without the contract's object: for lists."""
    return {key: value for key, value in entry.content.items() if key != "check"}
