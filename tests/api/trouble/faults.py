"""Faults of the storage, put into a running application where a statement is run or committed."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from weakref import WeakKeyDictionary, ref

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


#: Who is asked about the writes of an engine now. Its listeners stay where they are: to take one
#: away while another thread goes through them would be a fault of the test.
_ASKED: WeakKeyDictionary[Engine, Injector | None] = WeakKeyDictionary()


@contextmanager
def faulty(engine: Engine, injector: Injector) -> Iterator[Injector]:
    """While inside, writes of this engine go through the injector: statements and commits."""
    if engine not in _ASKED:
        _listen(engine)
    _ASKED[engine] = injector
    try:
        yield injector
    finally:
        _ASKED[engine] = None


def _listen(engine: Engine) -> None:
    _ASKED[engine] = None
    # the engine holds its listeners: held by these in turn, it would never go
    held = ref(engine)

    def passes(statement: str) -> None:
        writing = held()
        asked = None if writing is None else _ASKED.get(writing)
        if asked is not None:
            asked.passes(statement)

    def run(_cursor: Any, statement: str, _parameters: Any, _context: Any) -> None:
        passes(statement)

    def run_plain(_cursor: Any, statement: str, _context: Any) -> None:
        passes(statement)

    def commit(conn: Any) -> None:
        if not conn.get_execution_options().get("writing", False):
            return
        try:
            passes("UPDATE: commit")
        except sqlite3.OperationalError as error:
            raise OperationalError("COMMIT", {}, error) from error

    event.listen(engine, "do_execute", run)
    event.listen(engine, "do_execute_no_params", run_plain)
    event.listen(engine, "commit", commit)
