"""Codes that stand in a QR code: the house's first link, one to join a device, tickets for photos.

Kept as SHA-256 only. A link or a join code is good once; a ticket for some photos of one unit.
"""

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection, delete, insert, select, update

from inkwitness.access.errors import NotAllowed
from inkwitness.access.secrets import code_letters, digest, new_code
from inkwitness.access.tables import codes
from inkwitness.records.chain import stamp
from inkwitness.records.store import new_id

GOOD_FOR = {
    "first": dt.timedelta(days=1),
    "join": dt.timedelta(minutes=10),
    "ticket": dt.timedelta(hours=1),
}
# How many times a ticket can be used: each time is a photo or a piece of trouble on the way.
TICKET_USES = 40


@dataclass(frozen=True, slots=True)
class Code:
    """A code that was found good: for whom, for which unit, on a shared tablet or not."""

    id: str
    kind: str
    person_id: str | None
    unit_id: str | None
    shared: bool


def make(
    conn: Connection,
    kind: str,
    now: dt.datetime,
    *,
    person_id: str | None = None,
    unit_id: str | None = None,
    shared: bool = False,
) -> tuple[str, dt.datetime]:
    """A new code and when it ends. A new first link, or one to join for somebody, ends the old."""
    conn.execute(delete(codes).where(codes.c.ends_at < stamp(now)))
    if kind != "ticket":
        conn.execute(delete(codes).where(codes.c.kind == kind, codes.c.person_id.is_(person_id)))
    code = new_code()
    ends = now + GOOD_FOR[kind]
    conn.execute(
        insert(codes).values(
            hash=digest(code_letters(code)),
            id=new_id(),
            kind=kind,
            person_id=person_id,
            unit_id=unit_id,
            shared=shared,
            uses_left=TICKET_USES if kind == "ticket" else 1,
            made_at=stamp(now),
            ends_at=stamp(ends),
        )
    )
    return code, ends


def use(conn: Connection, kind: str, typed: str, now: dt.datetime) -> Code:
    """Use a code; raises NotAllowed for one that is wrong, used or too old.

    The connection must be a writing one: of two that use a code at once, one is refused.
    """
    wanted = select(codes).where(codes.c.hash == digest(code_letters(typed)), codes.c.kind == kind)
    row = conn.execute(wanted).mappings().first()
    if row is None or row["uses_left"] < 1 or row["ends_at"] <= stamp(now):
        raise NotAllowed("code_wrong")
    conn.execute(
        update(codes).where(codes.c.hash == row["hash"]).values(uses_left=codes.c.uses_left - 1)
    )
    return Code(row["id"], row["kind"], row["person_id"], row["unit_id"], row["shared"])
