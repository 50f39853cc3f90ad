"""What runs inside a reading process: one reader, loaded once.

The process asks no database and judges nothing: it reads the file of a photo and answers what
stands in it.
"""

import contextlib
import importlib
import io
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import cast

from PIL import Image

from inkwitness.check.protocols import Reader
from inkwitness.check.values import Reading
from inkwitness.errors import InkwitnessError
from inkwitness.photo.files import PHOTOS, PhotoFiles
from inkwitness.yaml_text import BadRules


@dataclass(frozen=True, slots=True)
class Task:
    """One photo to read: the SHA-256 of its bytes, and its name."""

    sha256: str
    name: str


@dataclass(frozen=True, slots=True)
class Result:
    """What came of it: the reading, and each line's straightened picture as PNG."""

    reading: Reading
    images: dict[int, bytes]


class Worker:
    """Reads photos of one data folder with one reader."""

    def __init__(self, reader: Reader, folder: Path) -> None:
        self.reader = reader
        self._files = PhotoFiles(folder / PHOTOS)

    def run(self, task: Task) -> Result:
        """Read one photo. Raises NotFound, NotAPhoto, TooLarge or ReaderMissing."""
        read = self.reader.read(self._files.sent(task.sha256), task.name)
        images = {}
        for line, pixels in read.images.items():
            out = io.BytesIO()
            Image.fromarray(pixels[:, :, ::-1]).save(out, "PNG")
            images[line] = out.getvalue()
        return Result(read.reading, images)


def reader_named(path: str) -> Reader:
    """The reader that the function named `module:function` builds."""
    module, _, name = path.partition(":")
    return cast(Callable[[], Reader], getattr(importlib.import_module(module), name))()


def made(reader: str, folder: str) -> Worker:
    """A worker for a data folder, with the reader that `module:function` builds."""
    return Worker(reader_named(reader), Path(folder))


_here: dict[str, Worker] = {}


def start(reader: str, folder: str) -> None:
    """Set this process up, before its first task, and load the models."""
    _here["worker"] = made(reader, folder)
    # what is missing is told with the first photo, by the same error
    with contextlib.suppress(InkwitnessError, BadRules):
        _here["worker"].reader.load()


def run(task: Task) -> Result:
    """Read one photo in this process."""
    return _here["worker"].run(task)
