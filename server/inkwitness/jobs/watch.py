"""Looks through the records in the background: at the start, then now and then, all of it daily."""

import datetime as dt
import logging
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from inkwitness.photo.files import write_flushed
from inkwitness.records.integrity.audit import Audit, Mark, audit, marks_as_json, marks_of
from inkwitness.records.store import Store
from inkwitness.records.trouble import trouble

#: Where the last look ended is kept beside the database, so that a start need not look at all.
MARKS = "looked-at.json"
_EVERY = 600.0
_WHOLE_EVERY = 24 * 3600.0
#: Up to so many rows everything is looked at whenever somebody asks: under a second (measured).
_FEW_ROWS = 2_000
_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Looked:
    """The last look, when it ended (None: none did yet), and whether one is under way."""

    done: Audit
    ended: dt.datetime | None
    looking: bool


class Watch:
    """Keeps what the last look showed, and adds what came since when asked."""

    def __init__(self, store: Store, folder: Path, clock: Callable[[], dt.datetime]) -> None:
        self._store = store
        self._marks = folder / MARKS
        self._clock = clock
        self._lock = threading.Lock()
        self._state: Looked | None = None
        self._busy = False
        self._stopping = threading.Event()
        self._thread = threading.Thread(target=self._work, name="records' watch", daemon=True)

    def start(self) -> None:
        """Begin to look in the background."""
        self._thread.start()

    def stop(self) -> None:
        """Stop looking; what was looked at is kept."""
        self._stopping.set()
        if self._thread.ident is not None:
            self._thread.join()

    def last(self) -> Looked | None:
        """The last look as it ended, or None while there was none."""
        with self._lock:
            return self._state

    def now(self) -> Looked:
        """The last look with what came since; all of it where there are few rows."""
        with self._lock:
            state = self._state
        few = state is None or sum(mark.rows for mark in state.done.marks.values()) < _FEW_ROWS
        return self._look(None if few or state is None else state.done.marks)

    def _look(self, since: Mapping[str, Mark] | None) -> Looked:
        done = audit(self._store.database, self._store.files, since=since, go_on=self._go_on)
        with self._lock:
            if since is not None and self._state is not None:
                # what was found before is still so
                done.found = list(dict.fromkeys([*self._state.done.found, *done.found]))
            self._state = Looked(done, self._clock(), self._busy)
            return self._state

    def _go_on(self) -> bool:
        return not self._stopping.is_set()

    def _work(self) -> None:
        since: Mapping[str, Mark] | None = None
        if self._marks.is_file():
            since = marks_of(self._marks.read_text(encoding="utf-8")) or None
        whole_at = time.monotonic()
        while True:
            self._busy = True
            try:
                found = self._look(since).done.found
                for one in found[:20]:
                    _log.error("records: %s", one.says)
                if self._go_on() and not found:
                    self._keep()
            except Exception as error:
                if trouble(error) is None:
                    _log.exception("looking through the records failed")
                else:
                    _log.warning("looking through the records failed: %s", error)
            finally:
                self._busy = False
            if self._stopping.wait(_EVERY):
                return
            since = self._state.done.marks if self._state is not None else None
            if time.monotonic() - whole_at > _WHOLE_EVERY:
                since, whole_at = None, time.monotonic()

    def _keep(self) -> None:
        assert self._state is not None
        part = self._marks.with_suffix(".part")
        part.unlink(missing_ok=True)
        write_flushed(part, marks_as_json(self._state.done.marks).encode())
        part.replace(self._marks)
