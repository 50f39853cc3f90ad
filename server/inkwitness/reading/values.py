"""Values of the reading stage: what the readers saw, with probabilities, before any grammar."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inkwitness.photo.values import Pixels, Polygon, QualityFact

#: Height of a straightened line (pixels) as the recogniser was trained to see it.
IMAGE_HEIGHT = 48
#: Signs that are read as a hyphen.
DASHES = frozenset("‐‑‒–—―−﹣－⁃")


@dataclass(frozen=True, slots=True, eq=False)
class CharSteps:
    """Per-step character probabilities of a recogniser (connectionist temporal classification).

    `log_probs` is steps x (1 + len(alphabet) + 1), natural logarithm: column 0 is the blank,
    columns 1.. are `alphabet` in order, the last column is every other character together.
    Each row sums to 1 in probability.
    """

    alphabet: str
    log_probs: NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class View:
    """One augmentation of one line as the first reader saw it, or one line image whatever it shows.

    `augmentation` names the preparation (`colour`, `local_contrast`, `inverted`, `blue_channel`,
    ...; the recogniser, who is handed a picture, leaves it empty);
    `text` is the best string and `spans` gives the step range (first, last + 1) of each character.
    """

    augmentation: str
    text: str
    spans: tuple[tuple[int, int], ...]
    confidence: float
    steps: CharSteps


@dataclass(frozen=True, slots=True)
class SecondReading:
    """What an independent reader made of the straightened line; confidence is 0-1."""

    reader: str
    text: str
    confidence: float


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """One line of print.

    `polygon` follows the line in photo pixels; `image` is the straightened colour picture of it
    (BGR, reading left to right); `views` are augmentations, the best first; `second` are the
    answers of independent readers (empty where none is installed). `x_height_px` is measured in
    the photo.
    `runs_on`: behind its end stands print that could not be read, or a letter by itself. `cut`:
    whether the photo ends at its start, and at its end; `cut_along`: it ends along the line.
    `crossed`: whether something stands across the line image's first columns, and its last.
    `before`: how strongly the ground before its first letter is marked, beside the print itself (0:
    plain; see borders.marked_before); `behind`: that behind its last (1: nobody looked).
    """

    index: int
    polygon: Polygon
    x_height_px: float
    image: Pixels
    views: tuple[View, ...]
    second: tuple[SecondReading, ...] = ()
    runs_on: bool = False
    cut: tuple[bool, bool] = (False, False)
    cut_along: bool = False
    crossed: tuple[bool, bool] = (False, False)
    before: float = 0.0
    behind: float = 1.0

    @property
    def text(self) -> str:
        return self.views[0].text if self.views else ""

    @property
    def confidence(self) -> float:
        return self.views[0].confidence if self.views else 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Area:
    """Print that belongs to one unit or box: an item of the check. Lines stand in reading order."""

    polygon: Polygon
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class ReaderId:
    """A reader that took part: name (`ppocr`, `tesseract`), version of engine and model."""

    name: str
    version: str


@dataclass(frozen=True, slots=True, eq=False)
class Recognition:
    """All that was read in one photo.

    `turn` is the clockwise rotation in degrees that brings the print upright (0-359, decided from
    all lines together); `mirrored` says that the photo reads only when flipped. `areas` are ordered
    by size, the largest first. `quality` are the measured facts of the photo. `unread` are places
    that look like print but that no reader could make out: nothing is then called absent.
    """

    photo_sha256: str
    turn: float
    mirrored: bool
    areas: tuple[Area, ...]
    readers: tuple[ReaderId, ...]
    quality: tuple[QualityFact, ...]
    unread: tuple[Polygon, ...] = ()
    notes: tuple[str, ...] = ()
