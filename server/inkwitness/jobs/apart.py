"""Work in a process of its own: what may take too long, too much memory or a crash with it.

A process is kept and asked again. It is ended and begun anew where it took too long, and begun anew
where it died; either way only the work that it did is lost. It ends with its parent, so that a
parent killed alone leaves nothing behind.

A kept pool was tried: where a process dies right after it took a task, pebble 5.2 may see the death
first and the taking second, and then waits for the task's whole time.
"""

import contextlib
import multiprocessing
import os
import pickle
import resource
import signal
import threading
import traceback
from collections.abc import Callable
from multiprocessing.connection import Connection, wait
from multiprocessing.process import BaseProcess
from typing import Any, TypeVar

T = TypeVar("T")
_SetUp = tuple[Callable[..., None] | None, tuple[Any, ...], int | None]

#: For beginning the process: imports, models.
_BEGINNING = 120.0


class Ended(Exception):
    """The process did not bring the work to its end.

    `why` is `time`, `died`, `stopped`, or `late`: it was not begun in time, whatever the work is.
    """

    def __init__(self, why: str) -> None:
        super().__init__(why)
        self.why = why


class Process:
    """One process that does one thing after another. Safe to ask from several threads."""

    def __init__(
        self,
        set_up: Callable[..., None] | None = None,
        arguments: tuple[Any, ...] = (),
        *,
        memory: int | None = None,
    ) -> None:
        """`set_up(*arguments)` runs in the process first; `memory` is its limit in bytes."""
        self._set_up: _SetUp = (set_up, arguments, memory)
        self._child: tuple[BaseProcess, Connection] | None = None
        self._ready: BaseProcess | None = None
        self._lock = threading.Lock()
        self._turn = threading.Lock()
        self._stopped = False

    def begin(self) -> None:
        """Start the process now, so that the first task need not wait for it. Raises Ended."""
        self._begun()

    def run(self, seconds: float, function: Callable[..., T], *args: Any) -> T:
        """The function's answer, or the error that it raised. Raises Ended."""
        with self._turn:
            child, pipe = self._begun()
            try:
                if child is not self._ready:
                    self._wait(child, pipe, _BEGINNING, "late")
                    pipe.recv()
                    self._ready = child
                pipe.send((function, args))
                self._wait(child, pipe, seconds)
                worked, answer = pipe.recv()
            except (EOFError, OSError) as error:
                self._end(child)
                raise Ended("stopped" if self._stopped else "died") from error
            if isinstance(answer, MemoryError):
                self._end(child)  # what is left of its memory may be in pieces
        if not worked:
            raise answer
        done: T = answer
        return done

    def stop(self) -> None:
        """End the process at once, whatever it does; whoever waits for it gets Ended."""
        self._stopped = True
        with self._lock:
            child = self._child
        if child is not None:
            self._end(child[0])

    def _begun(self) -> tuple[BaseProcess, Connection]:
        with self._lock:
            if self._stopped:
                raise Ended("stopped")
            if self._child is not None and self._child[0].is_alive():
                return self._child
            spawn = multiprocessing.get_context("spawn")
            ours, theirs = spawn.Pipe()
            child = spawn.Process(target=_work, args=(theirs, self._set_up), daemon=True)
            child.start()
            theirs.close()
            self._child = (child, ours)
            return self._child

    def _wait(
        self, child: BaseProcess, pipe: Connection, seconds: float, why: str = "time"
    ) -> None:
        """Until there is an answer; raises Ended after this long, EOFError where none can come."""
        if not wait([pipe, child.sentinel], timeout=seconds):
            self._end(child)
            raise Ended(why)
        if not pipe.poll():
            raise EOFError

    def _end(self, child: BaseProcess) -> None:
        with self._lock:
            child.kill()
            child.join()
            if self._child is not None and self._child[0] is child:
                self._child[1].close()
                self._child = None


def end_with_parent() -> None:
    """End this process when its parent has ended, however that came about."""
    parent = multiprocessing.parent_process()
    if parent is None:
        return

    def _ends() -> None:
        parent.join()
        os._exit(0)

    threading.Thread(target=_ends, name="ends-with-parent", daemon=True).start()


def _work(pipe: Connection, set_up: _SetUp) -> None:
    end_with_parent()
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the parent, which ends this
    function, arguments, memory = set_up
    if memory is not None:
        resource.setrlimit(resource.RLIMIT_AS, (memory, memory))
    if function is not None:
        function(*arguments)
    pipe.send("ready")
    with contextlib.suppress(EOFError, BrokenPipeError):
        while True:
            task, args = pipe.recv()
            try:
                pipe.send((True, task(*args)))
            except MemoryError as error:
                pipe.send((False, MemoryError(str(error))))
            except Exception as error:
                pipe.send((False, _sendable(error)))


def _sendable(error: Exception) -> Exception:
    """The error with where it came from; another one in its place where it cannot be sent."""
    error.add_note("".join(traceback.format_exception(error)))
    try:
        pickle.loads(pickle.dumps(error))
    except Exception:
        return RuntimeError("".join(traceback.format_exception(error)))
    return error
