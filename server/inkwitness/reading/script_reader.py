"""The readers themselves: one script each, named, used only where they are installed.

The bundled recogniser's list of 18,708 characters holds 15,702 Han and 180 kana but no Hangul, so
Hangul alone needs a reader of its own: Tesseract's Korean data (Debian: tesseract-ocr-kor).
"""

import os
import shutil
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, Protocol

import cv2
import numpy as np
import pytesseract

from inkwitness.photo.values import Pixels
from inkwitness.reading.values import ReaderId

Script = Literal["hangul"]


@dataclass(frozen=True, slots=True)
class Word:
    """One word as a named reader saw it: where on the strip (shares of its width), how sure."""

    text: str
    start: float
    end: float
    confidence: float


class ScriptReader(Protocol):
    """Reads one script that the bundled recogniser has not."""

    script: Script
    id: ReaderId

    def read_words(self, strips: Sequence[Pixels]) -> list[list[Word]]:
        """The words of each straightened line (dark or light letters, BGR), left to right."""
        ...


class TesseractScript:
    """Tesseract with the data of one language, on all lines in one call."""

    _GAP = 30

    def __init__(self, script: Script, language: str) -> None:
        # Its threads wait for each other more than they work: one is three times as fast.
        os.environ.setdefault("OMP_THREAD_LIMIT", "1")
        self.script = script
        self.id = ReaderId(f"tesseract-{language}", str(pytesseract.get_tesseract_version()))
        self._language = language

    def read_words(self, strips: Sequence[Pixels]) -> list[list[Word]]:
        """See ScriptReader."""
        answers: list[list[Word]] = [[] for _ in strips]
        if not strips:
            return answers
        sheet, rows = self._sheet(strips)
        data = pytesseract.image_to_data(
            sheet,
            lang=self._language,
            config="--psm 6 --oem 1",
            output_type=pytesseract.Output.DICT,
        )
        for i, text in enumerate(data["text"]):
            sure = float(data["conf"][i])
            middle = data["top"][i] + data["height"][i] / 2
            row = next((n for n, (low, high) in enumerate(rows) if low <= middle < high), None)
            if text.strip() and sure >= 0 and row is not None:
                wide = strips[row].shape[1]
                left = data["left"][i] - self._GAP
                word = Word(text.strip(), left / wide, (left + data["width"][i]) / wide, sure / 100)
                answers[row].append(word)
        return [sorted(words, key=lambda word: word.start) for words in answers]

    def _sheet(self, strips: Sequence[Pixels]) -> tuple[Pixels, list[tuple[int, int]]]:
        """The strips under each other on their own grounds; the rows that belong to each."""
        wide = max(strip.shape[1] for strip in strips) + 2 * self._GAP
        parts, rows, top = [], [], 0
        for strip in strips:
            grey = cv2.cvtColor(strip, cv2.COLOR_BGR2GRAY)
            ground = float(np.median(grey))
            # Ink covers less than half of a line, so the median is the ground.
            if ground < 128:
                grey, ground = 255 - grey, 255 - ground
            part = np.full((strip.shape[0] + self._GAP, wide), 255, np.uint8)
            lifted = np.clip(grey.astype(np.float32) + (255 - ground), 0, 255)
            high, across = grey.shape
            part[self._GAP // 2 : self._GAP // 2 + high, self._GAP : self._GAP + across] = lifted
            parts.append(part)
            rows.append((top, top + part.shape[0]))
            top += part.shape[0]
        return np.vstack(parts), rows


def load_script_readers() -> tuple[ScriptReader, ...]:
    """The named readers that are installed; none where Tesseract or its Korean data is missing."""
    if shutil.which("tesseract") is None or "kor" not in pytesseract.get_languages():
        return ()
    return (TesseractScript("hangul", "kor"),)
