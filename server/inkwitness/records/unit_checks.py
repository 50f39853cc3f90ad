"""Checks of a unit: appended with every new check of one of its photos, old ones kept.

A unit of one photo has none: the photo's check is the unit's.
"""

from collections.abc import Callable
from typing import Any

from sqlalchemy import Connection, func, select

from inkwitness.check.contract import UnitCheckOut
from inkwitness.check.values import UnitPhoto
from inkwitness.holders.values import HolderList
from inkwitness.records import chain, checks, photos
from inkwitness.records.chain import Entry, Hand
from inkwitness.records.checker import Rechecker
from inkwitness.records.store import new_id
from inkwitness.records.tables import unit_checks


def judge_together(
    conn: Connection,
    unit_id: str,
    rechecker: Callable[[], Rechecker],
    holder_list: HolderList | None,
    hand: Hand,
    *,
    why: str,
    edition_id: str | None = None,
) -> Entry | None:
    """Append a check of the unit, from the newest checks of its photos.

    It is made for the latest day that one of them was made for. `why` is as for a photo's check,
    `edition_id` the edition of the list that it was re-checked against. Answers None, and appends
    nothing, where fewer than two photos were read.
    """
    its_photos = photos.of_unit(conn, unit_id)
    if len(its_photos) < 2:
        return None
    read = [
        (photo, check)
        for photo in its_photos
        if (check := checks.newest(conn, photo.id)) is not None
    ]
    if len(read) < 2:
        return None
    outs = [checks.out_of(check) for _, check in read]
    on = max(out.on for out in outs)
    parts = [
        UnitPhoto(out, photos.circumstances(photo.content, on))
        for (photo, _), out in zip(read, outs, strict=True)
    ]
    before = newest(conn, unit_id)
    content: dict[str, Any] = {
        "unit_id": unit_id,
        "edition_id": edition_id,
        "photos": [photo.id for photo, _ in read],
        "checks": [check.id for _, check in read],
        "before": before.id if before is not None else None,
        "why": why,
        **_summary(rechecker().check_unit(parts, on, holder_list)),
    }
    entry, _ = chain.append(conn, unit_checks, new_id(), content, hand)
    return entry


def out_of(entry: Entry) -> UnitCheckOut:
    """The check as the contract has it."""
    return UnitCheckOut.model_validate(entry.content["check"])


def of_unit(conn: Connection, unit_id: str) -> list[Entry]:
    """All checks of a unit, the newest first."""
    return chain.entries(conn, unit_checks, unit_id=unit_id)[::-1]


def newest(conn: Connection, unit_id: str) -> Entry | None:
    """The newest check of a unit, or None where it has none."""
    last = select(func.max(unit_checks.c.seq)).where(unit_checks.c.unit_id == unit_id)
    id_ = conn.execute(
        select(unit_checks.c.id).where(unit_checks.c.seq == last.scalar_subquery())
    ).scalar()
    return chain.get(conn, unit_checks, id_) if id_ else None


def in_force(conn: Connection, unit_id: str) -> Entry | None:
    """The check that speaks for the unit: the newest, while it has several photos."""
    return newest(conn, unit_id) if len(photos.of_unit(conn, unit_id)) > 1 else None


def _summary(out: UnitCheckOut) -> dict[str, object]:
    return {
        "outcome": out.outcome,
        "basis": out.basis,
        "scheme": out.scheme,
        **checks.heading({name: place.mark for name, place in out.marks.items()}, out.holder_match),
        "check": out.model_dump(mode="json"),
    }
