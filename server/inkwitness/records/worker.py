"""What runs inside a worker process: one checker, built once, and the list in force.

The process never writes to the database. It looks up the edition of the list that is in force for
each photo and keeps the last one it loaded.
"""

import contextlib
import importlib
import io
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import cast

from PIL import Image

from inkwitness.check.contract import CheckOut
from inkwitness.errors import InkwitnessError
from inkwitness.findings.values import Circumstances
from inkwitness.records.checker import PhotoChecker
from inkwitness.records.current_list import CurrentList
from inkwitness.records.database import connect_database
from inkwitness.records.photo_files import PhotoFiles
from inkwitness.records.store import DATABASE, PHOTOS


@dataclass(frozen=True, slots=True)
class Task:
    """One photo to read."""

    sha256: str
    name: str
    circumstances: Circumstances


@dataclass(frozen=True, slots=True)
class Result:
    """What came of it: the check, and each line's straightened picture as PNG."""

    out: CheckOut
    strips: dict[int, bytes]


class Worker:
    """Reads photos of one data folder with one checker."""

    def __init__(self, build: Callable[[], PhotoChecker], folder: Path) -> None:
        self._build = build
        self._checker: PhotoChecker | None = None
        self._files = PhotoFiles(folder / PHOTOS)
        self._list = CurrentList(connect_database(folder / DATABASE))

    @property
    def checker(self) -> PhotoChecker:
        """The checker; built on first use, so that what it lacks is told as an error of the job."""
        if self._checker is None:
            self._checker = self._build()
        return self._checker

    def run(self, task: Task) -> Result:
        """Read one photo. Raises NotFound, NotAPhoto, TooLarge or ReaderMissing."""
        checked = self.checker.check(
            self._files.sent(task.sha256), task.name, task.circumstances, self._list.now()
        )
        strips = {}
        for line, pixels in checked.strips.items():
            out = io.BytesIO()
            Image.fromarray(pixels[:, :, ::-1]).save(out, "PNG")
            strips[line] = out.getvalue()
        return Result(checked.out, strips)


def factory(path: str, max_age_days: int) -> Callable[[], PhotoChecker]:
    """The function named `module:function`, given the limit on the list's age."""
    module, _, name = path.partition(":")
    build = cast(Callable[[int], PhotoChecker], getattr(importlib.import_module(module), name))
    return partial(build, max_age_days)


_here: dict[str, Worker] = {}


def made(factory_path: str, max_age_days: int, folder: str) -> Worker:
    """A worker for a data folder, with the checker that `factory_path` names."""
    return Worker(factory(factory_path, max_age_days), Path(folder))


def start(factory_path: str, max_age_days: int, folder: str) -> None:
    """Set this process up, before its first task, and load the models."""
    _here["worker"] = made(factory_path, max_age_days, folder)
    # what is missing is told with the first photo, by the same error
    with contextlib.suppress(InkwitnessError):
        _here["worker"].checker  # noqa: B018  built by being asked for


def run(task: Task) -> Result:
    """Read one photo in this process."""
    return _here["worker"].run(task)
