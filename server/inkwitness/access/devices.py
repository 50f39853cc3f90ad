"""Devices on which people are signed in: joined, switched by PIN, left, revoked.

A device is known by a random token in its cookie. The token changes whenever somebody signs in, so
that one that was known before is worth nothing after.
"""

import datetime as dt
import json
from dataclasses import dataclass

from sqlalchemy import Connection, RowMapping, delete, insert, select, update

from inkwitness.access.people import ADMINISTRATOR
from inkwitness.access.secrets import digest, new_token
from inkwitness.access.store import note
from inkwitness.access.tables import codes, devices, people
from inkwitness.errors import NotFound
from inkwitness.records.chain import stamp
from inkwitness.records.store import new_id

# How long a device stays known: since it joined, and since it was last seen.
LONGEST = dt.timedelta(days=180)
UNSEEN = dt.timedelta(days=30)
# A shared tablet that lies unused asks for a PIN again.
LEFT_ALONE = dt.timedelta(minutes=15)
# The time last seen is not written at each request.
_NOTED_EVERY = dt.timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class Signed:
    """Who asks. `person_id` is None on a known device on which nobody is signed in now."""

    device_id: str
    shared: bool
    person_id: str | None
    name: str
    roles: tuple[str, ...]
    by: str


@dataclass(frozen=True, slots=True)
class Device:
    """A known device, for the list of devices."""

    id: str
    label: str
    shared: bool
    person: str
    joined_by: str
    joined_by_name: str
    made_at: dt.datetime
    seen_at: dt.datetime


def join(
    conn: Connection,
    person_id: str,
    label: str,
    now: dt.datetime,
    *,
    by: str,
    shared: bool = False,
) -> str:
    """Make a device known and sign somebody in on it; answers its token, which is kept nowhere."""
    token = new_token()
    id_ = new_id()
    conn.execute(
        insert(devices).values(
            id=id_,
            token_hash=digest(token),
            label=" ".join(label.split())[:100] or "?",
            shared=shared,
            person_id=person_id,
            by=by,
            joined_by=person_id,
            made_at=stamp(now),
            seen_at=stamp(now),
            ends_at=stamp(now + LONGEST),
        )
    )
    note(conn, now, "joined", by=person_id, about=id_, detail=by)
    return token


def switch(
    conn: Connection, device_id: str, person_id: str, now: dt.datetime, *, by: str = "pin"
) -> str:
    """Sign somebody else in on a known device; answers its new token."""
    token = new_token()
    conn.execute(
        update(devices)
        .where(devices.c.id == device_id)
        .values(token_hash=digest(token), person_id=person_id, by=by, seen_at=stamp(now))
    )
    note(conn, now, "switched", by=person_id, about=device_id)
    return token


def who(conn: Connection, token: str, now: dt.datetime) -> Signed | None:
    """Who is signed in on the device of this token, or None where it is not known (any more).

    Roles are looked up at each request, so that what is taken away is gone at once. A PIN opens
    every role but the administrator's: it is short, and others see it typed.
    """
    wanted = (
        select(devices, people.c.name, people.c.roles, people.c.removed_at)
        .select_from(devices.outerjoin(people, devices.c.person_id == people.c.id))
        .where(devices.c.token_hash == digest(token))
    )
    row = conn.execute(wanted).mappings().first()
    if row is None or not _in_force(row, now):
        return None
    left_alone = row["shared"] and dt.datetime.fromisoformat(row["seen_at"]) + LEFT_ALONE < now
    if row["person_id"] is None or row["removed_at"] is not None or left_alone:
        return Signed(row["id"], row["shared"], None, "", (), row["by"])
    roles = tuple(json.loads(row["roles"]))
    if row["by"] == "pin":
        roles = tuple(role for role in roles if role != ADMINISTRATOR)
    return Signed(row["id"], row["shared"], row["person_id"], row["name"], roles, row["by"])


def needs_noting(conn: Connection, device_id: str, now: dt.datetime) -> bool:
    """Whether the time last seen is old enough to be written again."""
    seen = conn.execute(select(devices.c.seen_at).where(devices.c.id == device_id)).scalar_one()
    return dt.datetime.fromisoformat(seen) + _NOTED_EVERY < now


def seen(conn: Connection, device_id: str, now: dt.datetime) -> None:
    """Note that a device was used."""
    conn.execute(update(devices).where(devices.c.id == device_id).values(seen_at=stamp(now)))


def leave(conn: Connection, device_id: str, now: dt.datetime, *, by: str | None) -> None:
    """Sign out: a shared tablet stays known, any other device does not."""
    row = conn.execute(select(devices).where(devices.c.id == device_id)).mappings().one()
    conn.execute(update(devices).where(devices.c.id == device_id).values(person_id=None))
    if not row["shared"]:
        revoke(conn, device_id, now, by=by)


def revoke(conn: Connection, device_id: str, now: dt.datetime, *, by: str | None) -> None:
    """Take a device off: its token is worth nothing from now on. Raises NotFound."""
    wanted = update(devices).where(devices.c.id == device_id)
    if conn.execute(wanted.values(revoked_at=stamp(now), person_id=None)).rowcount == 0:
        raise NotFound("no_device")
    note(conn, now, "revoked", by=by, about=device_id)


def known(conn: Connection, now: dt.datetime, *, joined_by: str = "") -> list[Device]:
    """Devices in force, the last seen first; with `joined_by` those that somebody joined."""
    owner = people.alias("owner")
    wanted = (
        select(devices, people.c.name, owner.c.name.label("owner_name"))
        .select_from(
            devices.outerjoin(people, devices.c.person_id == people.c.id).join(
                owner, devices.c.joined_by == owner.c.id
            )
        )
        .order_by(devices.c.seen_at.desc())
    )
    if joined_by:
        wanted = wanted.where(devices.c.joined_by == joined_by)
    return [
        Device(
            id=row["id"],
            label=row["label"],
            shared=row["shared"],
            person=row["name"] or "",
            joined_by=row["joined_by"],
            joined_by_name=row["owner_name"],
            made_at=dt.datetime.fromisoformat(row["made_at"]),
            seen_at=dt.datetime.fromisoformat(row["seen_at"]),
        )
        for row in conn.execute(wanted).mappings()
        if _in_force(row, now)
    ]


def end_all(conn: Connection, now: dt.datetime) -> int:
    """Sign out everybody and end every code that was given out; answers how many devices.

    For a folder that was restored: what was taken back since the copy was made is not known there.
    """
    wanted = select(devices.c.id).where(devices.c.revoked_at.is_(None))
    known = list(conn.execute(wanted).scalars())
    conn.execute(
        update(devices).where(devices.c.revoked_at.is_(None)).values(revoked_at=stamp(now))
    )
    conn.execute(delete(codes))
    for id_ in known:
        note(conn, now, "revoked", by=None, about=id_, detail="restored")
    return len(known)


def _in_force(row: RowMapping, now: dt.datetime) -> bool:
    return (
        row["revoked_at"] is None
        and row["ends_at"] > stamp(now)
        and dt.datetime.fromisoformat(row["seen_at"]) + UNSEEN > now
    )
