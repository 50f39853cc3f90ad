"""The second, independent reader: Tesseract on the straightened lines, in one call for all.

A montage of the lines costs one process start (0.27 s for 8 lines) instead of one a line
(0.11 s each). Without the program a do-nothing reader takes its place, and the result says so.
"""

from collections.abc import Sequence
from typing import Protocol

import cv2
import numpy as np

from inkwitness.photo.values import Pixels
from inkwitness.reading import tesseract
from inkwitness.reading.values import ReaderId, SecondReading


class SecondReader(Protocol):
    """Reads straightened lines independently of the first reader."""

    id: ReaderId | None

    def read_lines(self, strips: Sequence[Pixels]) -> list[SecondReading | None]:
        """One answer a strip, None where nothing was made out. Raises tesseract.ReaderStopped."""
        ...


class NoSecondReader:
    """Stands where no second reader is installed."""

    id: ReaderId | None = None

    def read_lines(self, strips: Sequence[Pixels]) -> list[SecondReading | None]:
        """No answer for any strip."""
        return [None for _ in strips]


class TesseractReader:
    """Tesseract (LSTM, English) over a montage, one line of print a row."""

    _SIDE = 30
    _GAP = 36

    def __init__(self) -> None:
        self.id: ReaderId | None = ReaderId("tesseract", tesseract.version())

    def read_lines(self, strips: Sequence[Pixels]) -> list[SecondReading | None]:
        """See SecondReader."""
        if not strips:
            return []
        sheet, rows = self._montage(strips)
        words: dict[int, list[tuple[int, str, float]]] = {}
        for word in tesseract.words_on(sheet, "eng"):
            row = next((n for n, (a, b) in enumerate(rows) if a <= word.middle < b), None)
            if row is not None:
                words.setdefault(row, []).append((word.left, word.text, word.sure))
        return [self._answer(words.get(row, [])) for row in range(len(strips))]

    @staticmethod
    def _answer(words: list[tuple[int, str, float]]) -> SecondReading | None:
        if not words:
            return None
        words.sort()
        letters = sum(len(word) for _, word, _ in words)
        sure = sum(len(word) * confidence for _, word, confidence in words) / letters
        return SecondReading("tesseract", " ".join(word for _, word, _ in words), sure)

    def _montage(self, strips: Sequence[Pixels]) -> tuple[Pixels, list[tuple[int, int]]]:
        """Dark letters on white, one strip a row; the row range of each strip."""
        grey = [_dark_on_light(strip) for strip in strips]
        width = max(strip.shape[1] for strip in grey) + 2 * self._SIDE
        height = sum(strip.shape[0] + self._GAP for strip in grey) + self._GAP
        sheet = np.full((height, width), 255, np.uint8)
        rows: list[tuple[int, int]] = []
        top = self._GAP
        for strip in grey:
            tall, wide = strip.shape
            sheet[top : top + tall, self._SIDE : self._SIDE + wide] = strip
            rows.append((top - self._GAP // 2, top + tall + self._GAP // 2))
            top += tall + self._GAP
        return sheet, rows


def load_second_reader() -> SecondReader:
    """Tesseract where the program and its English data are installed, else the do-nothing one."""
    return TesseractReader() if tesseract.has_language("eng") else NoSecondReader()


def _dark_on_light(strip: Pixels) -> Pixels:
    """Grey, background flattened to white, stretched; letters dark."""
    grey = cv2.cvtColor(strip, cv2.COLOR_BGR2GRAY).astype(np.float32)
    back = cv2.GaussianBlur(grey, (0, 0), 14)
    flat = grey - back
    middle = flat[grey.shape[0] // 5 : -grey.shape[0] // 5]
    # Ink covers less than half of a line: the longer tail of the values is the ink.
    if np.percentile(middle, 97) > -np.percentile(middle, 3):
        flat = -flat
    low, high = np.percentile(flat, (1, 70))
    scaled = (flat - low) / max(float(high - low), 8.0) * 255
    return np.asarray(np.clip(scaled, 0, 255), np.uint8)
