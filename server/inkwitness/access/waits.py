"""Waits after wrong tries. Nobody can be locked out for good, least of all by somebody else.

A wait holds for whoever tries from one place: a joined device has a count of its own, and so has
each address for each name. It grows to a quarter of an hour and never further; a code from an
administrator goes by another way. Lengths are the project's own (common practice, no source).
"""

import datetime as dt
import ipaddress

from sqlalchemy import Connection, delete, select
from sqlalchemy.dialects.sqlite import insert

from inkwitness.access.errors import Wait
from inkwitness.access.tables import waits
from inkwitness.records.chain import stamp

FREE = 5
FIRST = dt.timedelta(seconds=30)
LONGEST = dt.timedelta(minutes=15)
FORGOTTEN = dt.timedelta(hours=1)


def place(address: str | None) -> str:
    """Where a request came from, for counting: a whole /64 of IPv6, which one machine owns."""
    try:
        found = ipaddress.ip_address(address or "")
    except ValueError:
        return "?"
    if isinstance(found, ipaddress.IPv6Address):
        return str(ipaddress.ip_network(f"{found}/64", strict=False).network_address)
    return str(found)


def count(conn: Connection, key: str, now: dt.datetime, *, free: int = FREE) -> None:
    """Count a try before it is looked at, so that many at once are many; raises Wait.

    Take it back with `forget` where the try was right.
    """
    row = conn.execute(select(waits).where(waits.c.key == key)).mappings().first()
    failures = 0
    if row is not None and dt.datetime.fromisoformat(row["at"]) + FORGOTTEN > now:
        failures = row["failures"]
        until = dt.datetime.fromisoformat(row["until"])
        if until > now:
            seconds = round((until - now).total_seconds())
            raise Wait("too_many_tries", seconds, minutes=max(1, round(seconds / 60)))
    failures += 1
    over = failures - free
    wait = min(LONGEST, FIRST * 2 ** min(over, 20)) if over >= 0 else dt.timedelta(0)
    values = {"failures": failures, "at": stamp(now), "until": stamp(now + wait)}
    conn.execute(
        insert(waits)
        .values(key=key, **values)
        .on_conflict_do_update(index_elements=[waits.c.key], set_=values)
    )
    conn.execute(delete(waits).where(waits.c.at < stamp(now - 2 * FORGOTTEN)))


def forget(conn: Connection, key: str) -> None:
    """The try was right: nothing is counted against this place any more."""
    conn.execute(delete(waits).where(waits.c.key == key))
