"""Measured facts of a photo that decide whether its print can be read, one advice each."""

from collections.abc import Sequence

import cv2
import numpy as np

from inkwitness.photo.values import Photo, Pixels, Polygon, QualityFact

#: Letters below this x-height (pixels) read badly. Fitted: see tests/bench.
SMALL_LETTERS = 7.0
_DARK, _BRIGHT, _GLARE, _BLUR = 45.0, 250.0, 0.12, 0.2


def photo_facts(photo: Photo, lines: Sequence[tuple[Polygon, float]]) -> tuple[QualityFact, ...]:
    """Facts of a photo from its lines (polygon in pixels, x-height in pixels)."""
    if not lines:
        return ()
    heights = sorted(x_height for _, x_height in lines)
    smallest = heights[len(heights) // 10]
    return (_below("small_letters", smallest, "px", SMALL_LETTERS),)


def _below(fact: str, value: float, unit: str, limit: float) -> QualityFact:
    poor = value < limit
    return QualityFact(
        fact,
        round(value, 3),
        unit,
        limit,
        "poor" if poor else "good",
        f"advice_{fact}" if poor else "",
    )


def _above(fact: str, value: float, unit: str, limit: float) -> QualityFact:
    poor = value > limit
    return QualityFact(
        fact,
        round(value, 3),
        unit,
        limit,
        "poor" if poor else "good",
        f"advice_{fact}" if poor else "",
    )


def _grey(pixels: Pixels) -> Pixels:
    return np.asarray(cv2.cvtColor(pixels, cv2.COLOR_BGR2GRAY))
