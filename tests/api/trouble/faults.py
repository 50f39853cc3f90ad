"""Faults of the storage, put into a running application where a statement is run or committed."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import Engine, event
from sqlalchemy.exc import OperationalError

# SQLite's own messages for SQLITE_BUSY, SQLITE_FULL and SQLITE_IOERR (sqlite.org, result codes)
BUSY = "database is locked"
FULL = "database or disk is full"
IOERR = "disk I/O error"
KINDS = (BUSY, FULL, IOERR)
_WRITES = ("INSERT", "UPDATE", "DELETE", "BEGIN IMMEDIATE", "CREATE", "DROP", "ALTER")


class Injector:
    """Counts what is written and lets the statement of a number fail, or all from it on."""

    def __init__(self, message: str = IOERR, at: int | None = None, *, lasting: bool = False):
        self.message, self.at, self.lasting = message, at, lasting
        self.seen = self.failed = 0

    def passes(self, statement: str) -> None:
        """Raises where this write is to fail."""
        if not statement.lstrip().upper().startswith(_WRITES):
            return
        self.seen += 1
        hit = self.at is not None and (
            self.seen >= self.at if self.lasting else self.seen == self.at
        )
        if hit:
            self.failed += 1
            raise sqlite3.OperationalError(self.message)


@contextmanager
def faulty(engine: Engine, injector: Injector) -> Iterator[Injector]:
    """While inside, writes of this engine go through the injector: statements and commits."""

    def run(_cursor: Any, statement: str, _parameters: Any, _context: Any) -> None:
        injector.passes(statement)

    def run_plain(_cursor: Any, statement: str, _context: Any) -> None:
        injector.passes(statement)

    def commit(conn: Any) -> None:
        if not conn.get_execution_options().get("writing", False):
            return
        try:
            injector.passes("UPDATE: commit")
        except sqlite3.OperationalError as error:
            raise OperationalError("COMMIT", {}, error) from error

    listeners: list[tuple[str, Any]] = [
        ("do_execute", run),
        ("do_execute_no_params", run_plain),
        ("commit", commit),
    ]
    for name, listener in listeners:
        event.listen(engine, name, listener)
    try:
        yield injector
    finally:
        for name, listener in listeners:
            event.remove(engine, name, listener)
