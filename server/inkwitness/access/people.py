"""People with accounts: added, given roles, removed. An administrator is always left."""

import datetime as dt
import json
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, RowMapping, insert, select, update

from inkwitness.access.errors import one_of
from inkwitness.access.secrets import password_hash, pin_hash
from inkwitness.access.store import note
from inkwitness.access.tables import devices, people
from inkwitness.errors import BadInput, Differs, NotFound
from inkwitness.records.chain import ROLES, stamp
from inkwitness.records.store import new_id

ADMINISTRATOR = "administrator"


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody with an account."""

    id: str
    name: str
    roles: tuple[str, ...]
    has_password: bool
    has_pin: bool
    made_at: dt.datetime


def name_key(name: str) -> str:
    """A name as it is compared: without case or spare spaces."""
    return " ".join(name.split()).casefold()


def everybody(conn: Connection) -> list[Person]:
    """Everybody who was not removed, by name."""
    rows = conn.execute(
        select(people).where(people.c.removed_at.is_(None)).order_by(people.c.key)
    ).mappings()
    return [_person(row) for row in rows]


def get(conn: Connection, person_id: str) -> Person:
    """Somebody who was not removed; raises NotFound."""
    return _person(_row(conn, person_id))


def add(
    conn: Connection, name: str, roles: Sequence[str], now: dt.datetime, *, by: str | None
) -> Person:
    """Add somebody; they sign in by a code that is made for them. Raises BadInput and Differs."""
    clean = " ".join(name.split())
    if not 1 <= len(clean) <= 100:
        raise BadInput("name_length")
    if any(one.name == clean or name_key(one.name) == name_key(clean) for one in everybody(conn)):
        raise Differs("name_taken", name=clean)
    id_ = new_id()
    kept = _roles(roles)
    conn.execute(
        insert(people).values(
            id=id_, name=clean, key=name_key(clean), roles=json.dumps(kept), made_at=stamp(now)
        )
    )
    note(conn, now, "added", by=by, about=id_, detail=", ".join(kept))
    return get(conn, id_)


def set_roles(
    conn: Connection, person_id: str, roles: Sequence[str], now: dt.datetime, *, by: str
) -> Person:
    """Give somebody these roles in place of those they have."""
    kept = _roles(roles)
    if ADMINISTRATOR not in kept:
        _one_is_left(conn, person_id)
    _row(conn, person_id)
    conn.execute(update(people).where(people.c.id == person_id).values(roles=json.dumps(kept)))
    note(conn, now, "roles", by=by, about=person_id, detail=", ".join(kept))
    return get(conn, person_id)


def remove(conn: Connection, person_id: str, now: dt.datetime, *, by: str) -> None:
    """Remove somebody: their devices are signed out. What they did stays under their name."""
    _row(conn, person_id)
    _one_is_left(conn, person_id)
    conn.execute(
        update(people)
        .where(people.c.id == person_id)
        .values(removed_at=stamp(now), password=None, pin=None)
    )
    conn.execute(update(devices).where(devices.c.person_id == person_id).values(person_id=None))
    conn.execute(
        update(devices)
        .where(devices.c.joined_by == person_id, devices.c.shared.is_(False))
        .values(revoked_at=stamp(now))
    )
    note(conn, now, "removed", by=by, about=person_id)


def keep_password(conn: Connection, person_id: str, password: str, now: dt.datetime) -> None:
    """Set somebody's own password; raises BadInput."""
    made = password_hash(password)
    conn.execute(update(people).where(people.c.id == person_id).values(password=made))
    note(conn, now, "password", by=person_id, about=person_id)


def keep_pin(conn: Connection, person_id: str, pin: str, now: dt.datetime) -> None:
    """Set somebody's own PIN; raises BadInput."""
    made = pin_hash(pin)
    conn.execute(update(people).where(people.c.id == person_id).values(pin=made))
    note(conn, now, "pin", by=person_id, about=person_id)


def secret_of(
    conn: Connection, which: str, *, name: str = "", person_id: str = ""
) -> tuple[str, str | None]:
    """Somebody's id and kept password or PIN; empty and None where there is no such person."""
    wanted = select(people.c.id, people.c[which]).where(people.c.removed_at.is_(None))
    wanted = wanted.where(people.c.id == person_id if person_id else people.c.key == name_key(name))
    row = conn.execute(wanted).first()
    return (row[0], row[1]) if row is not None else ("", None)


def administrators(conn: Connection) -> list[Person]:
    """Who can let people in."""
    return [one for one in everybody(conn) if ADMINISTRATOR in one.roles]


def _one_is_left(conn: Connection, without: str) -> None:
    left = [one.id for one in administrators(conn)]
    if left == [without]:
        raise Differs("last_administrator")


def _roles(roles: Sequence[str]) -> list[str]:
    unknown = [role for role in roles if role not in ROLES]
    if unknown or not roles:
        raise BadInput("no_role", roles=one_of(ROLES))
    return [role for role in ROLES if role in roles]


def _row(conn: Connection, person_id: str) -> RowMapping:
    wanted = select(people).where(people.c.id == person_id, people.c.removed_at.is_(None))
    row = conn.execute(wanted).mappings().first()
    if row is None:
        raise NotFound("no_person")
    return row


def _person(row: RowMapping) -> Person:
    return Person(
        id=row["id"],
        name=row["name"],
        roles=tuple(json.loads(row["roles"])),
        has_password=row["password"] is not None,
        has_pin=row["pin"] is not None,
        made_at=dt.datetime.fromisoformat(row["made_at"]),
    )
