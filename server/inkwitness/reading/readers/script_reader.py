"""The readers themselves: one script each, named, used only where they are installed.

The bundled recogniser's list of 18,708 characters holds 15,702 Han and 180 kana but no Hangul, so
Hangul alone needs a reader of its own: Tesseract's Korean data (Debian: tesseract-ocr-kor).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, Protocol

import cv2
import numpy as np

from inkwitness.photo.values import Pixels
from inkwitness.reading.readers import tesseract
from inkwitness.reading.values import ReaderId

Script = Literal["hangul"]


@dataclass(frozen=True, slots=True)
class Word:
    """One word as a named reader saw it: where on the line image (shares of its width), how
    sure.
    """

    text: str
    start: float
    end: float
    confidence: float


class ScriptReader(Protocol):
    """Reads one script that the bundled recogniser has not."""

    script: Script
    id: ReaderId

    def read_words(self, images: Sequence[Pixels]) -> list[list[Word]]:
        """The words of each straightened line (dark or light letters, BGR), left to right."""
        ...


class TesseractScript:
    """Tesseract with the data of one language, on all lines in one call."""

    _GAP = 30

    def __init__(self, script: Script, language: str) -> None:
        self.script = script
        self.id = ReaderId(f"tesseract-{language}", tesseract.version())
        self._language = language

    def read_words(self, images: Sequence[Pixels]) -> list[list[Word]]:
        """See ScriptReader."""
        answers: list[list[Word]] = [[] for _ in images]
        if not images:
            return answers
        sheet, rows = self._sheet(images)
        try:
            words = tesseract.words_on(sheet, self._language)
        except tesseract.ReaderStopped:
            return answers  # nobody read these lines, which the reading says of each
        for seen in words:
            row = next((n for n, (low, high) in enumerate(rows) if low <= seen.middle < high), None)
            if row is not None:
                wide = images[row].shape[1]
                left = seen.left - self._GAP
                word = Word(seen.text, left / wide, (left + seen.width) / wide, seen.sure)
                answers[row].append(word)
        return [sorted(words, key=lambda word: word.start) for words in answers]

    def _sheet(self, images: Sequence[Pixels]) -> tuple[Pixels, list[tuple[int, int]]]:
        """The line images under each other on their own grounds; the rows that belong to each."""
        wide = max(image.shape[1] for image in images) + 2 * self._GAP
        parts, rows, top = [], [], 0
        for image in images:
            grey = cv2.cvtColor(image, cv2.COLOR_BGR2GRAY)
            ground = float(np.median(grey))
            # Ink covers less than half of a line, so the median is the ground.
            if ground < 128:
                grey, ground = 255 - grey, 255 - ground
            part = np.full((image.shape[0] + self._GAP, wide), 255, np.uint8)
            lifted = np.clip(grey.astype(np.float32) + (255 - ground), 0, 255)
            high, across = grey.shape
            part[self._GAP // 2 : self._GAP // 2 + high, self._GAP : self._GAP + across] = lifted
            parts.append(part)
            rows.append((top, top + part.shape[0]))
            top += part.shape[0]
        return np.vstack(parts), rows


def load_script_readers() -> tuple[ScriptReader, ...]:
    """The named readers that are installed; none where Tesseract or its Korean data is missing."""
    return (TesseractScript("hangul", "kor"),) if tesseract.has_language("kor") else ()
