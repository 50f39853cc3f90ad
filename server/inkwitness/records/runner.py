"""Has photos read in worker processes, one photo a process at a time.

The queue is the `jobs` table: what was waiting or cut off when the program ended is taken up at
the next start. Each worker thread owns a pool of one process, so that a photo that brings a
process down costs nobody else's photo; it is tried again and given up after `MAX_ATTEMPTS`.
"""

import datetime as dt
import logging
import multiprocessing
import queue
import threading
from collections.abc import Callable
from concurrent.futures import (
    CancelledError,
    Executor,
    Future,
    ProcessPoolExecutor,
    ThreadPoolExecutor,
)
from concurrent.futures.process import BrokenProcessPool
from multiprocessing.process import BaseProcess
from pathlib import Path

from inkwitness.errors import InkwitnessError
from inkwitness.records import (
    chain,
    checks,
    confirmations,
    jobs,
    judging,
    photos,
    unit_checks,
    worker,
)
from inkwitness.records.chain import Hand
from inkwitness.records.checker import Rechecker
from inkwitness.records.current_list import CurrentList
from inkwitness.records.jobs import Job
from inkwitness.records.store import Store
from inkwitness.records.tables import photos as photos_table

MAX_ATTEMPTS = 3
_log = logging.getLogger(__name__)
_spawning = threading.Lock()


class Runner:
    """Takes jobs, gives them to worker processes and keeps what comes back.

    `clock` is the only clock of this stage, `today` the date that checks are made for. `rechecker`
    uses confirmations that came before the reading did (for a reduced copy, say). `workers` is the
    number of processes; with 0 photos are read in a thread of this process, which blocks it more
    but is easier to look into.
    """

    def __init__(
        self,
        store: Store,
        folder: Path,
        *,
        factory: str,
        max_age_days: int,
        rechecker: Callable[[], Rechecker],
        current_list: CurrentList,
        clock: Callable[[], dt.datetime],
        today: Callable[[], dt.date],
        workers: int = 1,
        seconds: float = 180.0,
    ) -> None:
        self._store = store
        self._rechecker = rechecker
        self._list = current_list
        self._clock = clock
        self._today = today
        self._seconds = seconds
        self._queue: queue.PriorityQueue[tuple[int, str]] = queue.PriorityQueue()
        self._stopping = threading.Event()
        self._hands = [
            _Process((factory, max_age_days, str(folder)), apart=workers > 0)
            for _ in range(max(1, workers))
        ]
        self._threads = [
            threading.Thread(target=self._work, args=(hand,), name=f"reader-{number}")
            for number, hand in enumerate(self._hands)
        ]

    def start(self) -> None:
        """Take up what is unfinished and begin to work."""
        with self._store.database.reading() as conn:
            left = jobs.unfinished(conn)
        for job in left:
            self.submit(job)
        for thread in self._threads:
            thread.start()

    def submit(self, job: Job) -> None:
        """Have a job done: reduced copies before the photos that people do not wait for."""
        with self._store.database.reading() as conn:
            reduced = chain.get(conn, photos_table, job.photo_id).content["reduced"]
        # UUIDv7: jobs made earlier sort first
        self._queue.put((0 if reduced else 1, job.id))

    def stop(self) -> None:
        """End the worker processes; what they were reading is put back and read at next start."""
        self._stopping.set()
        for _ in self._threads:
            self._queue.put((-1, ""))
        for hand in self._hands:
            hand.kill()
        for thread in self._threads:
            if thread.ident is not None:
                thread.join()

    def _work(self, hand: "_Process") -> None:
        hand.begin()
        while not self._stopping.is_set():
            _, job_id = self._queue.get()
            if self._stopping.is_set() or not job_id:
                break
            self._one(hand, job_id)
        hand.kill()

    def _one(self, hand: "_Process", job_id: str) -> None:
        with self._store.database.writing() as conn:
            job = jobs.get(conn, job_id)
            if job.state == "done":
                return
            job = jobs.begin(conn, job, self._clock())
            photo = chain.get(conn, photos_table, job.photo_id)
        task = worker.Task(
            photo.content["sha256"],
            photo.content["name"],
            photos.circumstances(photo.content, self._today()),
        )
        error: BaseException | None
        try:
            future = hand.submit(task)
            error = future.exception(timeout=self._seconds)
        except (TimeoutError, CancelledError, RuntimeError) as stopped:
            error = stopped
        if error is None:
            self._keep(job, future.result())
            return
        self._not_read(hand, job, error)

    def _keep(self, job: Job, result: worker.Result) -> None:
        hand = Hand(job.actor, self._clock())
        with self._store.database.writing() as conn:
            reading, check = checks.keep_reading(conn, job.photo_id, result.out, hand)
            for line, png in result.strips.items():
                self._store.files.keep_strip(reading.id, line, png)
            photo = chain.get(conn, photos_table, job.photo_id)
            said = confirmations.standing(judging.words_on(conn, photo, check))
            if said.in_force or said.differing:
                judged = judging.rejudge(
                    conn,
                    job.photo_id,
                    self._rechecker(),
                    self._list.now(),
                    hand,
                    today=self._today(),
                    why="carried",
                )
                check = judged or check
            unit_checks.judge_together(
                conn,
                photo.content["unit_id"],
                self._rechecker,
                self._list.now(),
                hand,
                why="read",
            )
            jobs.done(conn, job, check.id, self._clock())

    def _not_read(self, hand: "_Process", job: Job, error: BaseException) -> None:
        if self._stopping.is_set():
            with self._store.database.writing() as conn:
                jobs.put_back(conn, job, self._clock(), counts=False)
            return
        code, message = (
            "internal",
            (
                "The photo could not be read because of a fault in this program. "
                "Take the photo again; if that does not help, report it with this photo's id."
            ),
        )
        if isinstance(error, InkwitnessError):
            code, message = error.code, error.message
        elif isinstance(error, TimeoutError | BrokenProcessPool):
            hand.kill()
            hand.begin()
            if isinstance(error, BrokenProcessPool) and job.attempts < MAX_ATTEMPTS:
                with self._store.database.writing() as conn:
                    jobs.put_back(conn, job, self._clock(), counts=True)
                self._queue.put((1, job.id))
                return
            code, message = (
                "reader_stopped",
                (
                    "The reader stopped at this photo. Take it again with less around the print, "
                    "or send it in a lower resolution."
                ),
            )
        else:
            _log.error("job %s: reading failed", job.id, exc_info=error)
        with self._store.database.writing() as conn:
            jobs.fail(conn, job, code, message, self._clock())


class _Process:
    """A pool of one process (or thread), begun anew when it was brought down."""

    def __init__(self, set_up: tuple[str, int, str], *, apart: bool) -> None:
        self._set_up = set_up
        self._apart = apart
        self._children: list[BaseProcess] = []
        self._pool: Executor | None = None
        self._lock = threading.Lock()

    def begin(self) -> None:
        """Start the process and have it load its models."""
        with self._lock:
            if not self._apart:
                self._pool = ThreadPoolExecutor(1, initializer=worker.start, initargs=self._set_up)
                return
            self._pool = ProcessPoolExecutor(
                1,
                mp_context=multiprocessing.get_context("spawn"),
                initializer=worker.start,
                initargs=self._set_up,
            )
            # with `spawn` the process is begun by the first task
            with _spawning:
                before = multiprocessing.active_children()
                self._pool.submit(worker.warm)
                now = multiprocessing.active_children()
            self._children = [child for child in now if child not in before]

    def submit(self, task: worker.Task) -> Future[worker.Result]:
        """Have a photo read. Raises RuntimeError where the process is gone."""
        with self._lock:
            if self._pool is None:
                raise RuntimeError("the reading process is gone")
            return self._pool.submit(worker.run, task)

    def kill(self) -> None:
        """End the process at once, whatever it does; a thread ends after its photo."""
        with self._lock:
            if self._pool is None:
                return
            self._pool.shutdown(wait=False, cancel_futures=True)
            for child in self._children:
                child.kill()
            self._children = []
            self._pool = None
