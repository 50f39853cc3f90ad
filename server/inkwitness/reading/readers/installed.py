"""Which readers are installed, told without loading a network."""

import importlib.metadata

from inkwitness.errors import ReaderMissing
from inkwitness.reading.readers.second import load_second_reader
from inkwitness.reading.values import ReaderId


def first_reader() -> ReaderId:
    """The bundled recogniser. Raises ReaderMissing where the wheel with the models is missing."""
    try:
        version = importlib.metadata.version("rapidocr")
    except importlib.metadata.PackageNotFoundError as error:
        raise ReaderMissing("rapidocr_missing") from error
    return ReaderId("ppocr", f"PP-OCRv6 small, rapidocr {version}")


def installed() -> tuple[ReaderId, ...]:
    """The readers that take part in every reading on this machine. Raises ReaderMissing."""
    second = load_second_reader().id
    return (first_reader(),) if second is None else (first_reader(), second)
