"""The database of people and devices: opened, brought up to date; what was done is noted in it."""

import datetime as dt
from pathlib import Path

from sqlalchemy import Connection, insert

from inkwitness.access.tables import events
from inkwitness.records.chain import stamp
from inkwitness.records.database import Database, open_database
from inkwitness.records.store import ACCESS


def open_access(folder: Path) -> Database:
    """Open or create the database in the data folder; only the owner can read the file."""
    return open_database(folder / ACCESS, "inkwitness.access:migrations")


def note(
    conn: Connection, now: dt.datetime, what: str, *, by: str | None, about: str, detail: str = ""
) -> None:
    """Append what was done, to whom or what, and by whom (None: by the house's own link)."""
    conn.execute(
        insert(events).values(at=stamp(now), what=what, by_id=by, about=about, detail=detail)
    )
