"""Small random fields that several parts draw from."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

Array = npt.NDArray[Any]  # float32 unless said otherwise; OpenCV's stubs know no element type


def smooth(rng: np.random.Generator, high: int, wide: int, cells: float) -> Array:
    """Smooth noise, about N(0, 1), `cells` bumps along the longer side, shape (high, wide)."""
    longer = max(high, wide)
    rows = max(2, int(np.ceil(cells * high / longer)) + 2)
    columns = max(2, int(np.ceil(cells * wide / longer)) + 2)
    small = rng.standard_normal((rows, columns)).astype(np.float32)
    return cv2.resize(small, (wide, high), interpolation=cv2.INTER_CUBIC)


def fractal(
    rng: np.random.Generator, high: int, wide: int, cells: float, octaves: int = 4
) -> Array:
    """Sum of `octaves` smooth fields, each twice as fine and half as strong."""
    total = np.zeros((high, wide), np.float32)
    for index in range(octaves):
        total += smooth(rng, high, wide, cells * 2**index) * np.float32(0.5**index)
    return total


def grain(rng: np.random.Generator, high: int, wide: int) -> Array:
    """White noise N(0, 1); a tile of 512 px is repeated at random offsets on larger areas."""
    if high * wide <= 512 * 512:
        return rng.standard_normal((high, wide), np.float32)
    tile = rng.standard_normal((512, 512), np.float32)
    out = np.empty((high, wide), np.float32)
    for top in range(0, high, 256):
        for left in range(0, wide, 256):
            y, x = rng.integers(0, 256, 2)
            part = out[top : top + 256, left : left + 256]
            part[...] = tile[y : y + part.shape[0], x : x + part.shape[1]]
    return out


def mix(rng: np.random.Generator, low: float, high: float) -> float:
    """A float evenly between low and high."""
    return float(rng.uniform(low, high))
