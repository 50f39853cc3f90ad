"""Frames: a class in a box of its own, which a detector of lines walks past.

An inner contour of the photo's ink that is nearly a rectangle, longer than high, is cut out
straight and read; what it holds counts only where the reader is sure.
"""

import cv2
import numpy as np

from inkwitness.photo.values import Pixels
from inkwitness.reading.find import FoundLine
from inkwitness.reading.regions import LETTERS_PER_CORE

#: Longer side (pixels) of the copy that frames are looked for on.
_SIDE = 1280
#: A small photo is enlarged so many times at most: beyond that only its blur grows.
_MOST_ENLARGED = 4.0
#: Reach of the local threshold, and how much darker (or lighter) than its surroundings ink is.
_REACH, _DARKER = 31, 7
#: Sides of a frame: longer over shorter, and the shorter one's least and largest (copy pixels).
_LEAST_RATIO, _MOST_RATIO = 1.25, 4.2
_LOWEST, _HIGHEST = 14.0, 320.0
#: The contour fills this much of the rectangle around it, and what it encloses is not empty.
_FILLED = 0.86
#: As many frames are read, the largest first: each costs time, and a pattern has many.
_MOST_FRAMES = 12
#: Of the outer and the inner side of a frame, both of which may be found, the inner one reads
#: better: they are two where their heights differ by more than this share.
_LIKE = 0.08
#: Height of capitals in a frame, of its inner height: the line image then covers the inside and no
#: more.
_CAPITALS = 1 / 1.9


def frames_of(pixels: Pixels) -> list[FoundLine]:
    """The middle lines of print in frames, the largest frames first, in photo pixels."""
    scale = min(_MOST_ENLARGED, _SIDE / max(pixels.shape[:2]))
    how = cv2.INTER_AREA if scale < 1 else cv2.INTER_CUBIC
    small = cv2.resize(pixels, None, fx=scale, fy=scale, interpolation=how)
    grey = cv2.cvtColor(small, cv2.COLOR_BGR2GRAY)
    found: list[FoundLine] = []
    for side in (grey, 255 - grey):
        ink = cv2.adaptiveThreshold(
            np.asarray(side, np.uint8),
            255,
            cv2.ADAPTIVE_THRESH_MEAN_C,
            cv2.THRESH_BINARY_INV,
            _REACH,
            _DARKER,
        )
        contours, tree = cv2.findContours(ink, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_SIMPLE)
        for number, contour in enumerate(contours):
            # A hole in the ink: what a frame encloses.
            if tree[0][number][3] >= 0:
                line = _framed(contour, scale)
                if line is not None:
                    found.append(line)
    found.sort(key=lambda line: -line.height)
    kept: list[FoundLine] = []
    for line in found:
        if not any(_same(line, other) for other in kept):
            kept.append(line)
    return kept[:_MOST_FRAMES]


def _framed(contour: cv2.typing.MatLike, scale: float) -> FoundLine | None:
    (x, y), (w, h), angle = cv2.minAreaRect(contour)
    long, short = max(w, h), min(w, h)
    if not (_LOWEST < short < _HIGHEST and _LEAST_RATIO < long / short < _MOST_RATIO):
        return None
    if cv2.contourArea(contour) < _FILLED * long * short:
        return None
    turn = np.radians(angle if w >= h else angle + 90.0)
    turn = (turn + np.pi / 2) % np.pi - np.pi / 2
    along = np.array([np.cos(turn), np.sin(turn)]) * long / 2
    centre = np.array([x, y])
    ends = np.linspace(-1.0, 1.0, 7)[:, None]
    middle = ((centre + ends * along) + 0.5) / scale - 0.5
    height = short * _CAPITALS / scale
    return FoundLine(middle, height, height / LETTERS_PER_CORE, 1.0)


def _same(line: FoundLine, other: FoundLine) -> bool:
    gap = np.hypot(*(line.middle[3] - other.middle[3]))
    like = abs(line.height - other.height) < _LIKE * max(line.height, other.height)
    return bool(like and gap < 0.5 * max(line.height, other.height))
