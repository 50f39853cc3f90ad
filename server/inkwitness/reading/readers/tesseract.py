"""Asks the Tesseract program: which version it is, and which words stand on a sheet.

`tesseract --version` is never run: with it the program also names the libraries that it could
fetch pictures with, and one of these looks the machine's own name up, which asks the network's name
server where the machine does not know its name. pytesseract runs it in `get_tesseract_version` and
at each first `image_to_data`; so the version is taken from a page that it writes.
"""

import csv
import functools
import io
import logging
import os
import re
import shutil
import subprocess
from dataclasses import dataclass

import numpy as np
import pytesseract
from numpy.typing import NDArray

from inkwitness.errors import ReaderMissing


@dataclass(frozen=True, slots=True)
class SheetWord:
    """A word on a sheet: its box in pixels of the sheet, and how sure Tesseract is (0 to 1)."""

    text: str
    left: int
    top: int
    width: int
    height: int
    sure: float

    @property
    def middle(self) -> float:
        """Half way down its box (pixels)."""
        return self.top + self.height / 2


#: Many times what all lines of a photo take; after it the program is ended.
LONGEST_SECONDS = 30
_log = logging.getLogger(__name__)


class ReaderStopped(Exception):
    """The program died or did not answer in time: its answers are lost, the reading goes on."""


def has_language(language: str) -> bool:
    """Whether the program and its data for a language ("eng", "kor") are there, and it works."""
    if shutil.which("tesseract") is None:
        return False
    try:
        told = subprocess.run(
            ["tesseract", "--list-langs"], timeout=LONGEST_SECONDS, check=True, capture_output=True
        )
        if language not in told.stdout.decode(errors="replace").split():
            return False
        version()
    except (OSError, subprocess.SubprocessError, ReaderStopped) as error:
        _log.warning("Tesseract is installed and does not work, so it does not read: %s", error)
        return False
    return True


@functools.cache
def version() -> str:
    """The program's version as it writes it into a page of hOCR (its `ocr-system` field).

    Raises ReaderMissing where it does not say so, ReaderStopped where it does not answer.
    """
    _use_one_thread()
    blank = np.full((32, 32), 255, np.uint8)
    page = _asked(blank, "hocr", "eng", "--psm 10 -c tessedit_create_hocr=1")
    found = re.search(r"tesseract (\d[\d.]*)", page)
    if found is None:
        raise ReaderMissing("tesseract_silent")
    return found[1]


def words_on(sheet: NDArray[np.uint8], language: str) -> list[SheetWord]:
    """The words of a grey sheet (height, width), dark on light, in Tesseract's order.

    Raises ReaderStopped.
    """
    _use_one_thread()
    table = _asked(sheet, "tsv", language, "--psm 6 --oem 1 -c tessedit_create_tsv=1")
    rows = csv.DictReader(io.StringIO(table), delimiter="\t", quoting=csv.QUOTE_NONE)
    return [
        SheetWord(
            text=row["text"].strip(),
            left=int(row["left"]),
            top=int(row["top"]),
            width=int(row["width"]),
            height=int(row["height"]),
            sure=float(row["conf"]) / 100,
        )
        for row in rows
        if (row["text"] or "").strip() and float(row["conf"]) >= 0
    ]


def _asked(sheet: NDArray[np.uint8], kind: str, language: str, options: str) -> str:
    try:
        answer: str = pytesseract.run_and_get_output(
            sheet, kind, language, options, timeout=LONGEST_SECONDS
        )
    except (pytesseract.TesseractError, RuntimeError, OSError) as error:
        _log.warning("Tesseract (%s) stopped, its answers are missing: %s", language, error)
        raise ReaderStopped(str(error)) from error
    return answer


def _use_one_thread() -> None:
    # Its threads wait for each other more than they work: one is three times as fast.
    os.environ.setdefault("OMP_THREAD_LIMIT", "1")
