"""Helper processes for what strangers' files and large questions may cost, each with its limits.

The server itself decodes no picture, unpacks no workbook and writes out no list of units: whatever
such work does to its process (memory, time, a crash) ends there and is told as what it is.
"""

import queue
import threading
from collections.abc import Callable
from typing import Any, TypeVar

from inkwitness.errors import StorageTrouble, TooLarge
from inkwitness.jobs.apart import Ended, Process

T = TypeVar("T")
MIB = 2**20
#: The largest photo that is taken needs 0.9 GB (measured, RGBA of 60 megapixels made smaller).
MEMORY = 1536 * MIB
_LONGEST_WAIT = 30.0
#: So many may wait for one kind of work: each waits in one of the 40 threads that answer everybody
#: (AnyIO's default), and there are three kinds.
MOST_WAITING = 10


class Helpers:
    """A few processes that do one kind of work; with `count` 0 it is done where it is asked for."""

    def __init__(self, count: int, *, seconds: float, memory: int = MEMORY) -> None:
        self._seconds = seconds
        self._processes = [Process(memory=memory) for _ in range(count)]
        self._free: queue.Queue[Process] = queue.Queue()
        for process in self._processes:
            self._free.put(process)
        self._places = threading.BoundedSemaphore(MOST_WAITING)

    def run(self, function: Callable[..., T], *args: Any) -> T:
        """The function's answer or its own error.

        Raises TooLarge where it took more time or memory than there is for it, StorageTrouble
        (busy) where others wait already, no helper was free, or none could be begun, for too long.
        """
        if not self._processes:
            return function(*args)
        if not self._places.acquire(blocking=False):
            raise StorageTrouble("helpers_busy", "busy")
        try:
            process = self._free.get(timeout=_LONGEST_WAIT)
        except queue.Empty as error:
            raise StorageTrouble("helpers_busy", "busy") from error
        finally:
            self._places.release()
        try:
            return self._once_more(process, function, *args)
        except Ended as error:
            if error.why == "late":
                raise StorageTrouble("helpers_busy", "busy") from error
            if error.why == "time":
                raise TooLarge("too_much_time", seconds=round(self._seconds)) from error
            if error.why == "stopped":
                raise StorageTrouble("server_stopping", "busy") from error
            raise TooLarge("too_much_work") from error
        except MemoryError as error:
            raise TooLarge("too_much_memory") from error
        finally:
            self._free.put(process)

    def _once_more(self, process: Process, function: Callable[..., T], *args: Any) -> T:
        """Where the process died it is asked again: it may have been killed for another's sake."""
        try:
            return process.run(self._seconds, function, *args)
        except Ended as error:
            if error.why != "died":
                raise
        return process.run(self._seconds, function, *args)

    def stop(self) -> None:
        """End the processes at once."""
        for process in self._processes:
            process.stop()
