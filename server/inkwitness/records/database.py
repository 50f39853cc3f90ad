"""The database file: opened, brought to the present tables, read and written in turn.

SQLite with a write-ahead log and every commit flushed to the disk (`synchronous=FULL`): a tablet
whose battery dies loses what was not committed and nothing else.
"""

import os
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from alembic import command
from alembic.config import Config
from sqlalchemy import Connection, Engine, create_engine, event

from inkwitness.errors import StorageTrouble
from inkwitness.photo.files import flush

#: How long a writer waits for another one before it is told to try again.
BUSY_SECONDS = 5.0
#: SQLite takes at most 32,766 values in one statement.
_MOST_VALUES = 5000


@dataclass(frozen=True, slots=True)
class Database:
    """An open database whose tables are those of the newest migration."""

    engine: Engine
    # SQLite's own waiting polls, so that whoever came last may be first; this lets them queue.
    _turn: threading.Lock = field(default_factory=threading.Lock)

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A connection for one consistent look."""
        with self.engine.connect() as conn:
            yield conn

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A transaction that holds the write lock from its start; commits unless an error leaves.

        Writers take turns, so the last hash of a chain cannot be read by two of them. Nothing is
        computed in it that can be computed before. Raises StorageTrouble where others write for
        too long.
        """
        if not self._turn.acquire(timeout=BUSY_SECONDS):
            raise StorageTrouble("storage_busy", "busy")
        try:
            with self.engine.execution_options(writing=True).begin() as conn:
                yield conn
        finally:
            self._turn.release()

    def close(self) -> None:
        """Let go of the file."""
        self.engine.dispose()


def slices(ids: Sequence[str], length: int) -> Iterator[Sequence[str]]:
    """Ids, `length` of them at a time, and never more than one statement takes."""
    length = min(length, _MOST_VALUES)
    for start in range(0, len(ids), length):
        yield ids[start : start + length]


def open_database(path: Path, migrations: str = "inkwitness.records:migrations") -> Database:
    """Open or create the database file and run the migrations (`package:folder`) that it lacks."""
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    # SQLite gives its log and its shared memory the rights that the database has.
    opened = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
    os.fchmod(opened, 0o600)
    os.close(opened)
    # It flushes the names of its logs and not its own, so that a power cut may lose all of it.
    for folder in (path.parent, path.parent.parent):
        flush(folder)
    database = connect_database(path)
    with database.writing() as conn:
        config = Config()
        config.set_main_option("script_location", migrations)
        config.attributes["connection"] = conn
        command.upgrade(config, "head")
    return database


def connect_database(path: Path) -> Database:
    """Open a database file whose tables another process looks after."""
    engine = create_engine(f"sqlite:///{path}")
    _prepare(engine)
    return Database(engine)


def _prepare(engine: Engine) -> None:
    @event.listens_for(engine, "connect")
    def _connect(raw: Any, _record: object) -> None:
        raw.isolation_level = None  # we say BEGIN ourselves, see below
        for pragma in (
            "journal_mode=WAL",
            "synchronous=FULL",
            "foreign_keys=ON",
            f"busy_timeout={round(BUSY_SECONDS * 1000)}",
        ):
            raw.execute(f"PRAGMA {pragma}").close()

    @event.listens_for(engine, "begin")
    def _begin(conn: Connection) -> None:
        writing = conn.get_execution_options().get("writing", False)
        conn.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")
