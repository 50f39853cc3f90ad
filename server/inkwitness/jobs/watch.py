"""Looks through the records in the background: at the start, then now and then, all of it daily."""

import datetime as dt
import logging
import math
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from inkwitness.photo.files import write_flushed
from inkwitness.records.integrity.audit import (
    Audit,
    Mark,
    audit,
    marks_as_json,
    marks_of,
    whole_at_of,
)
from inkwitness.records.integrity.heads import head_of
from inkwitness.records.store import Store
from inkwitness.records.trouble import trouble

#: Where the last look ended is kept beside the database, so that a start need not look at all; not
#: while anything is found, so that the next start looks at all of it.
MARKS = "looked-at.json"
_EVERY = 600.0
_WHOLE_EVERY = dt.timedelta(hours=24)
#: Everything is looked at whenever somebody asks, where the last such look was over a minute ago
#: and took less than a second. Rows say little, 300 photos may be 3 GB: they count where no such
#: look was made since the start.
_AGAIN_AFTER, _QUICK, _FEW_ROWS = 60.0, 1.0, 2_000
#: So many wait for a look, for so long: each does so in a thread that others need.
_PLACES, _PATIENCE = 5, 10.0
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
        self._turn = threading.Lock()
        self._places = threading.BoundedSemaphore(_PLACES)
        self._began = self._whole_ended = -math.inf
        self._whole_took: float | None = None
        self._whole_at: dt.datetime | None = None
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
        """The last look with what came since; all of it where that is quick, once a minute.

        One look at a time. Who asks while others look is told what began after they asked; with
        too many before them, or while a look takes long, what is known so far.
        """
        asked = time.monotonic()
        if not self._places.acquire(blocking=False):
            return self._so_far()
        try:
            if not self._turn.acquire(timeout=_PATIENCE):
                return self._so_far()
            try:
                return self._now(asked)
            finally:
                self._turn.release()
        finally:
            self._places.release()

    def _now(self, asked: float) -> Looked:
        state = self.last()
        if state is not None and self._began >= asked:
            return state
        if state is None or (self._is_quick(state) and asked - self._whole_ended > _AGAIN_AFTER):
            return self._look(None)
        return self._look(state.done.marks)

    def _is_quick(self, state: Looked) -> bool:
        if self._whole_took is not None:
            return self._whole_took < _QUICK
        return sum(mark.rows for mark in state.done.marks.values()) < _FEW_ROWS

    def _so_far(self) -> Looked:
        state = self.last()
        if state is not None:
            return replace(state, looking=True)
        with self._store.database.reading() as conn:
            return Looked(Audit(head_of(conn)), None, looking=True)

    def _look(self, since: Mapping[str, Mark] | None) -> Looked:
        """Look, in turn. What was found before is still so until all is looked at again."""
        began = time.monotonic()
        done = audit(self._store.database, self._store.files, since=since, go_on=self._go_on)
        ended = self._clock()
        if since is None and self._go_on():
            self._whole_ended = time.monotonic()
            self._whole_took = self._whole_ended - began
            self._whole_at = ended
        with self._lock:
            if since is not None and self._state is not None:
                done.found = list(dict.fromkeys([*self._state.done.found, *done.found]))
            self._state = found = Looked(done, ended, self._busy)
        self._began = began
        if done.found:
            self._marks.unlink(missing_ok=True)
        return found

    def _go_on(self) -> bool:
        return not self._stopping.is_set()

    def _work(self) -> None:
        while True:
            self._busy = True
            try:
                with self._turn:
                    found = self._look(self._since()).done.found
                    if self._go_on() and not found:
                        self._keep()
                for one in found[:20]:
                    _log.error("records: %s", one.says)
            except Exception as error:
                if trouble(error) is None:
                    _log.exception("looking through the records failed")
                else:
                    _log.warning("looking through the records failed: %s", error)
            finally:
                self._busy = False
            if self._stopping.wait(_EVERY):
                return

    def _since(self) -> Mapping[str, Mark] | None:
        """Where to go on; None where all is to be looked at, as it is daily, by the kept time.

        A time that lies ahead is a clock's that was wrong, then or now.
        """
        state = self.last()
        if state is not None:
            marks = state.done.marks
        else:
            try:
                kept = self._marks.read_text(encoding="utf-8", errors="replace")
            except OSError:  # none is there, or it cannot be read: then all is looked at
                return None
            marks, self._whole_at = marks_of(kept), whole_at_of(kept)
        if self._whole_at is None:
            return None
        ago = self._clock() - self._whole_at
        return marks if marks and dt.timedelta() <= ago < _WHOLE_EVERY else None

    def _keep(self) -> None:
        assert self._state is not None
        part = self._marks.with_suffix(".part")
        part.unlink(missing_ok=True)
        write_flushed(part, marks_as_json(self._state.done.marks, self._whole_at).encode())
        part.replace(self._marks)
