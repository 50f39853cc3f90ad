"""The second, independent reader: Tesseract on the straightened lines, in one call for all.

A montage of the lines costs one process start (0.27 s for 8 lines) instead of one a line
(0.11 s each). Without the program a do-nothing reader takes its place, and the result says so.
"""

from collections.abc import Sequence
from typing import Protocol

import cv2
import numpy as np

from inkwitness.photo.values import Pixels
from inkwitness.reading.readers import tesseract
from inkwitness.reading.values import ReaderId, SecondReading

#: Deviation (pixels) of the blur that is taken for the ground: wider than a stroke.
_GROUND = 14
#: Share of a line image's rows, as a divisor, that is left out above and below to tell ink from
#: ground; and the percentiles of the lightest and the darkest pixels there.
_OUTER, _LIGHTEST, _DARKEST = 5, 97, 3
#: Percentiles that become black and white (more than half of a line is ground), and their least
#: distance (grey values): below it noise would be stretched to look like ink.
_BLACK_WHITE, _LEAST_RANGE = (1, 70), 8.0


class SecondReader(Protocol):
    """Reads straightened lines independently of the first reader."""

    id: ReaderId | None

    def read_lines(self, images: Sequence[Pixels]) -> list[SecondReading | None]:
        """One answer a line image, None where nothing was made out. Raises
        tesseract.ReaderStopped.
        """
        ...


class NoSecondReader:
    """Stands where no second reader is installed."""

    id: ReaderId | None = None

    def read_lines(self, images: Sequence[Pixels]) -> list[SecondReading | None]:
        """No answer for any line image."""
        return [None for _ in images]


class TesseractReader:
    """Tesseract (LSTM, English) over a montage, one line of print a row."""

    #: White (pixels) beside the lines of the montage, and between two of them: with less, a line
    #: might be taken together with the next; more makes the sheet larger.
    _SIDE = 30
    _GAP = 36

    def __init__(self) -> None:
        self.id: ReaderId | None = ReaderId("tesseract", tesseract.version())

    def read_lines(self, images: Sequence[Pixels]) -> list[SecondReading | None]:
        """See SecondReader."""
        if not images:
            return []
        sheet, rows = self._montage(images)
        words: dict[int, list[tuple[int, str, float]]] = {}
        for word in tesseract.words_on(sheet, "eng"):
            row = next((n for n, (a, b) in enumerate(rows) if a <= word.middle < b), None)
            if row is not None:
                words.setdefault(row, []).append((word.left, word.text, word.sure))
        return [self._answer(words.get(row, [])) for row in range(len(images))]

    @staticmethod
    def _answer(words: list[tuple[int, str, float]]) -> SecondReading | None:
        if not words:
            return None
        words.sort()
        letters = sum(len(word) for _, word, _ in words)
        sure = sum(len(word) * confidence for _, word, confidence in words) / letters
        return SecondReading("tesseract", " ".join(word for _, word, _ in words), sure)

    def _montage(self, images: Sequence[Pixels]) -> tuple[Pixels, list[tuple[int, int]]]:
        """Dark letters on white, one line image a row; the row range of each line image."""
        grey = [_dark_on_light(image) for image in images]
        width = max(image.shape[1] for image in grey) + 2 * self._SIDE
        height = sum(image.shape[0] + self._GAP for image in grey) + self._GAP
        sheet = np.full((height, width), 255, np.uint8)
        rows: list[tuple[int, int]] = []
        top = self._GAP
        for image in grey:
            tall, wide = image.shape
            sheet[top : top + tall, self._SIDE : self._SIDE + wide] = image
            rows.append((top - self._GAP // 2, top + tall + self._GAP // 2))
            top += tall + self._GAP
        return sheet, rows


def load_second_reader() -> SecondReader:
    """Tesseract where the program and its English data are installed, else the do-nothing one."""
    return TesseractReader() if tesseract.has_language("eng") else NoSecondReader()


def _dark_on_light(image: Pixels) -> Pixels:
    """Grey, background flattened to white, stretched; letters dark."""
    grey = cv2.cvtColor(image, cv2.COLOR_BGR2GRAY).astype(np.float32)
    back = cv2.GaussianBlur(grey, (0, 0), _GROUND)
    flat = grey - back
    middle = flat[grey.shape[0] // _OUTER : -grey.shape[0] // _OUTER]
    # Ink covers less than half of a line: the longer tail of the values is the ink.
    if np.percentile(middle, _LIGHTEST) > -np.percentile(middle, _DARKEST):
        flat = -flat
    low, high = np.percentile(flat, _BLACK_WHITE)
    scaled = (flat - low) / max(float(high - low), _LEAST_RANGE) * 255
    return np.asarray(np.clip(scaled, 0, 255), np.uint8)
