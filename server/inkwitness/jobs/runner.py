"""Has photos read in worker processes, one photo a process at a time.

The queue is the `jobs` table: what was waiting or cut off when the program ended is taken up at
the next start. Each thread owns one process, so that a photo that brings a process down costs
nobody else's photo; it is tried again and given up after `MAX_ATTEMPTS`.

Nothing that was acknowledged is forgotten: while the disk or the database gives errors a thread
waits and tries again, a thread that ended is begun anew, and jobs that nobody holds are looked for
now and then.
"""

import contextlib
import datetime as dt
import logging
import queue
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from inkwitness.check.values import Reading
from inkwitness.errors import InkwitnessError
from inkwitness.jobs import queue as jobs
from inkwitness.jobs import worker
from inkwitness.jobs.apart import Ended, Process
from inkwitness.jobs.queue import Failure, Job
from inkwitness.phrases import Sentence
from inkwitness.records import chain
from inkwitness.records.store import Store, new_id
from inkwitness.records.tables import photos as photos_table
from inkwitness.records.trouble import trouble

#: Keeps what was read: the job, the reading's id and value, the SHA-256 of each line's picture.
KeepReading = Callable[[Job, str, Reading, Mapping[int, str]], None]

MAX_ATTEMPTS = 3
#: A photo whose reading was begun this often and never ended takes the whole program down with it.
MOST_BEGUN = 8
#: A reader far over what the largest photo needs (measured: below 3 GB) is ended by the system.
READER_MEMORY = 8 * 2**30
#: How long to wait before trying again while the storage gives errors: first, and at most.
_FIRST_WAIT, _LONGEST_WAIT = 0.2, 10.0
#: How often jobs that nobody holds and threads that ended are looked for.
_LOOK_AROUND = 15.0
_INTERNAL = Failure("internal", Sentence("error.photo_fault", {}))
_READER_STOPPED = Failure("reader_stopped", Sentence("error.reader_stopped", {}))
T = TypeVar("T")
_log = logging.getLogger(__name__)


class _Stopping(Exception):
    """The runner is being stopped."""


@dataclass(frozen=True, slots=True)
class Health:
    """How the readers are; `trouble` is the last error of the storage, empty once it passed."""

    alive: int
    wanted: int
    restarts: int
    trouble: str


class Runner:
    """Takes jobs, gives them to worker processes and keeps what comes back.

    `reader` names the function that builds the reader (`module:function`); `keep` keeps what it
    read, in one transaction that also says that the job is done. `clock` is the only clock of this
    stage. `workers` is the number of processes; with 0 photos are read in a thread of this process,
    which blocks it more but is easier to look into.
    """

    def __init__(
        self,
        store: Store,
        folder: Path,
        *,
        reader: str,
        keep: KeepReading,
        clock: Callable[[], dt.datetime],
        workers: int = 1,
        seconds: float = 180.0,
        look_around: float = _LOOK_AROUND,
    ) -> None:
        self._store = store
        self._keep = keep
        self._clock = clock
        self._look_around = look_around
        self._queue: queue.PriorityQueue[tuple[int, int, str]] = queue.PriorityQueue()
        # the turn that is being taken, and the last one of each actor: reduced copies, full size
        self._turn = [0, 0]
        self._last: dict[tuple[int, str], int] = {}
        self._held: set[str] = set()
        self._lock = threading.Lock()
        self._stopping = threading.Event()
        self._restarts = 0
        self._trouble: dict[str, str] = {}
        set_up = (reader, str(folder))
        self._readers: list[_Here | _Apart] = [
            _Apart(set_up, seconds) if workers > 0 else _Here(set_up)
            for _ in range(max(1, workers))
        ]
        self._threads: list[threading.Thread] = []
        self._watch = threading.Thread(target=self._keep_watch, name="readers' watch")

    def start(self) -> None:
        """Take up what is unfinished and begin to work."""
        self._take_up()
        self._threads = [self._thread(number) for number in range(len(self._readers))]
        self._watch.start()

    def submit(self, job: Job) -> None:
        """Have a job done: reduced copies before the photos that people do not wait for.

        Those who send take turns: one photo of each, however many one of them has sent.
        """
        with self._store.database.reading() as conn:
            reduced = chain.get(conn, photos_table, job.photo_id).content["reduced"]
        with self._lock:
            if job.id in self._held:
                return
            self._held.add(job.id)
            lane = 0 if reduced else 1
            turn = max(self._turn[lane], self._last.get((lane, job.actor.id), 0)) + 1
            self._last[lane, job.actor.id] = turn
        # UUIDv7: jobs made earlier sort first
        self._queue.put((lane, turn, job.id))

    def health(self) -> Health:
        """Whether photos are being read."""
        with self._lock:
            told = next(iter(self._trouble.values()), "")
        alive = sum(thread.is_alive() for thread in self._threads)
        return Health(alive, len(self._readers), self._restarts, told)

    def stop(self) -> None:
        """End the worker processes; what they were reading is put back and read at next start."""
        self._stopping.set()
        for _ in self._readers:
            self._queue.put((-1, 0, ""))
        for reader in self._readers:
            reader.stop()
        for thread in (self._watch, *self._threads):
            if thread.ident is not None:
                thread.join()

    def _thread(self, number: int) -> threading.Thread:
        reader = self._readers[number]
        thread = threading.Thread(target=self._work, args=(reader,), name=f"reader-{number}")
        thread.start()
        return thread

    def _keep_watch(self) -> None:
        while not self._stopping.wait(self._look_around):
            for number, thread in enumerate(self._threads):
                if not thread.is_alive() and not self._stopping.is_set():
                    _log.error("%s had ended and is begun anew", thread.name)
                    self._restarts += 1
                    self._threads[number] = self._thread(number)
            try:
                self._take_up()
            except Exception as error:
                if trouble(error) is None:
                    _log.exception("looking for jobs that nobody holds failed")
                else:
                    _log.warning("looking for jobs that nobody holds failed: %s", error)

    def _take_up(self) -> None:
        """Submit every unfinished job that nobody holds, and make the jobs of photos without."""
        with self._store.database.reading() as conn:
            orphans = jobs.photos_without(conn)
        if orphans:
            with self._store.database.writing() as conn:
                for photo_id in orphans:
                    jobs.make(conn, photo_id, chain.get(conn, photos_table, photo_id).context)
        with self._store.database.reading() as conn:
            left = jobs.unfinished(conn, again=not self._threads)
        for job in left:
            if job.state == "failed":  # it lacked a reader, which may be there now
                with self._store.database.writing() as conn:
                    jobs.once_more(conn, job.id, self._clock())
            self.submit(job)

    def _work(self, reader: "_Here | _Apart") -> None:
        with contextlib.suppress(Ended):  # stopped before it began: the loop ends too
            reader.begin()
        while not self._stopping.is_set():
            lane, turn, job_id = self._queue.get()
            try:
                if self._stopping.is_set() or not job_id:
                    break
                with self._lock:
                    self._turn[lane] = max(self._turn[lane], turn)
                again = self._one(reader, job_id)
            except _Stopping:
                break
            finally:
                with self._lock:
                    self._held.discard(job_id)
            if again is not None:
                self.submit(again)

    def _one(self, reader: "_Here | _Apart", job_id: str) -> Job | None:
        """One job; answers it where it is to be done once more."""
        job, task = self._patiently(lambda: self._begin(job_id))
        if task is None:
            return None
        try:
            result = reader.read(task)
            reading_id = new_id()
            images = self._patiently(
                lambda: self._store.files.keep_strips(reading_id, result.images)
            )
            self._patiently(lambda: self._keep(job, reading_id, result.reading, images))
        except _Stopping:
            raise
        except Exception as error:
            return self._not_read(job, error)
        return None

    def _patiently(self, step: Callable[[], T]) -> T:
        """The step's answer, tried until the storage takes it. Raises _Stopping, or its own error.

        A step is one transaction: where it failed nothing of it was stored.
        """
        wait = _FIRST_WAIT
        name = threading.current_thread().name
        while True:
            try:
                answer = step()
            except Exception as error:
                kind = trouble(error)
                if kind is None:
                    raise
                with self._lock:
                    self._trouble[name] = kind
                _log.warning("%s waits for the storage (%s): %s", name, kind, error)
            else:
                with self._lock:
                    self._trouble.pop(name, None)
                return answer
            if self._stopping.wait(wait):
                raise _Stopping
            wait = min(wait * 2, _LONGEST_WAIT)

    def _begin(self, job_id: str) -> tuple[Job, worker.Task | None]:
        with self._store.database.writing() as conn:
            job = jobs.get(conn, job_id)
            if job.state in ("done", "failed"):
                return job, None
            if job.attempts >= MOST_BEGUN:
                return jobs.fail(conn, job, _READER_STOPPED, self._clock()), None
            photo = chain.get(conn, photos_table, job.photo_id)
            job = jobs.begin(conn, job, self._clock())
        return job, worker.Task(photo.content["sha256"], photo.content["name"])

    def _not_read(self, job: Job, error: Exception) -> Job | None:
        if self._stopping.is_set():
            self._put_back(job, counts=False)
            return None
        again = isinstance(error, Ended) and error.why in ("died", "late")
        again = again or trouble(error) is not None
        if again and job.attempts < MAX_ATTEMPTS:
            return self._patiently(lambda: self._put_back(job, counts=True))
        failure = _INTERNAL
        if isinstance(error, InkwitnessError):
            failure = Failure(error.code, error.sentence)
        elif isinstance(error, Ended | MemoryError):
            failure = _READER_STOPPED
        else:
            _log.error("job %s: reading failed", job.id, exc_info=error)
        self._patiently(lambda: self._fail(job, failure))
        return None

    def _put_back(self, job: Job, *, counts: bool) -> Job:
        with self._store.database.writing() as conn:
            return jobs.put_back(conn, job, self._clock(), counts=counts)

    def _fail(self, job: Job, failure: Failure) -> None:
        with self._store.database.writing() as conn:
            jobs.fail(conn, job, failure, self._clock())


class _Apart:
    """A reader in a process of its own, begun anew when it was brought down."""

    def __init__(self, set_up: tuple[str, str], seconds: float) -> None:
        self._process = Process(worker.start, set_up, memory=READER_MEMORY)
        self._seconds = seconds

    def begin(self) -> None:
        self._process.begin()

    def read(self, task: worker.Task) -> worker.Result:
        """Raises Ended, or what the reader raised."""
        return self._process.run(self._seconds, worker.run, task)

    def stop(self) -> None:
        self._process.stop()


class _Here:
    """A reader in this process."""

    def __init__(self, set_up: tuple[str, str]) -> None:
        self._set_up = set_up
        self._worker: worker.Worker | None = None

    def begin(self) -> None:
        self._worker = worker.made(*self._set_up)

    def read(self, task: worker.Task) -> worker.Result:
        assert self._worker is not None
        return self._worker.run(task)

    def stop(self) -> None:
        """Nothing to end: the thread ends after its photo."""
