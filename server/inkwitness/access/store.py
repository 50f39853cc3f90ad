"""The database of people and devices: opened, brought up to date; what was done is noted in it."""

import datetime as dt
import os
from pathlib import Path

from alembic import command
from alembic.config import Config
from sqlalchemy import Connection, insert

from inkwitness.access.tables import events
from inkwitness.records.database import Database, connect_database

FILE = "access.sqlite"


def open_access(folder: Path) -> Database:
    """Open or create the database in the data folder; only the owner can read the file."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / FILE
    # made before SQLite does, so that it is never readable by others, not even for a moment
    os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))
    path.chmod(0o600)
    database = connect_database(path)
    with database.writing() as conn:
        config = Config()
        config.set_main_option("script_location", str(Path(__file__).parent / "migrations"))
        config.attributes["connection"] = conn
        command.upgrade(config, "head")
    return database


def stamp(at: dt.datetime) -> str:
    """A time as it is kept: UTC, so that texts sort as times do."""
    return at.astimezone(dt.UTC).isoformat(timespec="milliseconds")


def note(
    conn: Connection, now: dt.datetime, what: str, *, by: str | None, about: str, detail: str = ""
) -> None:
    """Append what was done, to whom or what, and by whom (None: by the house's own link)."""
    conn.execute(
        insert(events).values(at=stamp(now), what=what, by_id=by, about=about, detail=detail)
    )
