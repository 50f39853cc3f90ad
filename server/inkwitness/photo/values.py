"""Values of the photo stage."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Pixels = NDArray[np.uint8]
Point = tuple[float, float]
Polygon = tuple[Point, ...]

#: What may spoil the reading of a photo. A phone names the same faults before it sends.
PhotoFact = Literal["blur", "glare", "too_dark", "too_bright", "small_letters", "cut_off"]
#: Within its limit, beyond it, or nothing to measure it on.
QualityState = Literal["good", "poor", "not_measured"]


@dataclass(frozen=True, slots=True, eq=False)
class Photo:
    """A decoded photograph.

    `pixels` is height x width x 3, BGR, 8 bit, turned as its EXIF orientation asks: every polygon
    of later stages is in these pixels. `sha256` names the original bytes.
    """

    name: str
    sha256: str
    media_type: str
    pixels: Pixels

    @property
    def width(self) -> int:
        return int(self.pixels.shape[1])

    @property
    def height(self) -> int:
        return int(self.pixels.shape[0])


@dataclass(frozen=True, slots=True)
class QualityFact:
    """One measured property of a photo, whether it is likely to spoil the reading, and the remedy.

    `advice` is a message key, empty where `state` is `good`.
    """

    fact: PhotoFact
    value: float
    unit: str
    limit: float
    state: QualityState
    advice: str = ""
