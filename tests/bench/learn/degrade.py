"""Make a strip of print as small and as poor as a photo from further away shows it.

Small print in photos loses its colour first (chroma is saved at half size), then its strokes (lens,
sharpening, JPEG), and stands on cloth whose weave is as coarse as the strokes; the straightener
then cuts it a little aslant, too high or too low. All of it is done at the small size, before the
strip is enlarged again as the straightener does.
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from .pack import Picture

Floats = NDArray[np.float32]

STRIP_HEIGHT = 48
#: x-heights learned from (pixels in the poor photo): most of them small, some that are easy.
SMALLEST, LARGEST = 3.2, 9.0
_WIDEST = 1280


def poor(
    strip: Picture, x: float, rng: np.random.Generator, x_height: float
) -> tuple[Picture, Picture]:
    """The strip (64 rows, its small letters `x` high) with small letters `x_height` pixels high.

    Returns it STRIP_HEIGHT high, as the recogniser takes it, and the same cut of the same bend of
    the strip at its full size: what a step of the network sees in one, it sees in the other.
    """
    picture = _bent(strip, rng)
    scale = x_height / x
    size = (max(8, round(picture.shape[1] * scale)), max(6, round(picture.shape[0] * scale)))
    # What the letters were already too large for is averaged; the lens of a phone softens more.
    small = cv2.resize(picture, size, interpolation=cv2.INTER_AREA).astype(np.float32)
    small = _soft(small, rng)
    if rng.random() < 0.35:
        small = _woven(small, rng)
    if rng.random() < 0.6:
        small = _toned(small, rng)
    small += rng.normal(0, rng.gamma(1.3, 1.5), small.shape).astype(np.float32)
    if rng.random() < 0.4:
        blur = cv2.GaussianBlur(small, (0, 0), 1.0)
        small += (small - blur) * np.float32(rng.uniform(0.2, 1.0))
    worse = _saved(np.clip(small, 0, 255).astype(np.uint8), rng)
    return _cut_out(worse, picture, rng)


def clean(strip: Picture) -> Picture:
    """The strip as it was read at full size: its middle rows."""
    top = (strip.shape[0] - STRIP_HEIGHT) // 2
    return np.ascontiguousarray(strip[top : top + STRIP_HEIGHT])


def drawn_x_height(rng: np.random.Generator) -> float:
    """An x-height to learn from, most often near the limit of reading."""
    spread = float(rng.beta(1.3, 1.9))
    return float(SMALLEST * (LARGEST / SMALLEST) ** spread)


def _bent(strip: Picture, rng: np.random.Generator) -> Picture:
    """A little curve, slope and stretch, as the straightener leaves it."""
    high, wide = strip.shape[:2]
    across = np.linspace(-1, 1, wide, dtype=np.float32)
    curve = across**2 * rng.normal(0, 1.3) + across * rng.normal(0, 1.0)
    curve += np.sin(across * rng.uniform(1, 6) + rng.uniform(0, 6)) * rng.normal(0, 0.5)
    grow = 1 + rng.normal(0, 0.03)
    y = np.arange(high, dtype=np.float32)[:, None]
    lean = np.float32(rng.normal(0, 0.05))
    map_y = (y - high / 2) * np.float32(grow) + high / 2 + curve[None, :].astype(np.float32)
    stretch = np.float32(np.clip(rng.normal(1, 0.06), 0.85, 1.2))
    new_wide = max(8, round(wide / float(stretch)))
    x = np.arange(new_wide, dtype=np.float32)[None, :] * stretch
    index = np.minimum(np.arange(new_wide) * wide // new_wide, wide - 1)
    map_y = map_y[:, index]
    map_x = np.broadcast_to(x, map_y.shape) + lean * (y - high / 2)
    bent = cv2.remap(
        strip, map_x.astype(np.float32), map_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    )
    return np.asarray(bent, np.uint8)


def _soft(small: Floats, rng: np.random.Generator) -> Floats:
    """A lens a little out of focus, now and then a hand that moved."""
    sigma = float(min(rng.gamma(2.0, 0.22), 0.85))
    if sigma > 0.15:
        small = cv2.GaussianBlur(small, (0, 0), sigma).astype(np.float32)
    if rng.random() < 0.08:
        kernel = np.ones((1, 2), np.float32) / 2
        way = kernel if rng.random() < 0.5 else kernel.T
        small = cv2.filter2D(small, -1, way).astype(np.float32)
    return small


def _woven(small: Floats, rng: np.random.Generator) -> Floats:
    """Weave of a cloth, or fibres, some pixels coarse, light and dark."""
    high, wide = small.shape[:2]
    if rng.random() < 0.5:
        period, turn = rng.uniform(1.6, 5.0), rng.uniform(0, np.pi)
        y, x = np.mgrid[0:high, 0:wide].astype(np.float32)
        along = x * np.cos(turn) + y * np.sin(turn)
        aside = -x * np.sin(turn) + y * np.cos(turn)
        weave = np.sin(along * 2 * np.pi / period) * np.sin(aside * 2 * np.pi / period)
    else:
        weave = cv2.GaussianBlur(
            rng.normal(0, 1, (high, wide)).astype(np.float32), (0, 0), float(rng.uniform(0.6, 2.0))
        )
        weave = weave / max(float(weave.std()), 1e-6)
    strength = rng.uniform(2, 12)
    woven: Floats = small + weave[:, :, None].astype(np.float32) * np.float32(strength)
    return woven


def _toned(small: Floats, rng: np.random.Generator) -> Floats:
    """Other light: less contrast, a colour cast, a slope of brightness; now and then white ink."""
    if rng.random() < 0.12:
        small = 255 - small
    contrast = np.float32(rng.uniform(0.45, 1.0))
    level = small.mean(axis=(0, 1))
    small = (small - level) * contrast + level
    small = small * (1 + rng.normal(0, 0.06, 3)).astype(np.float32)
    if rng.random() < 0.4:
        tint = rng.uniform(0.55, 1.0, 3).astype(np.float32)
        small = small * tint
    slope = np.linspace(-1, 1, small.shape[1], dtype=np.float32)[None, :, None]
    return (small + slope * np.float32(rng.normal(0, 10))).astype(np.float32)


def _saved(small: Picture, rng: np.random.Generator) -> Picture:
    """Saved as a camera or a messenger saves it: JPEG, chroma mostly at half size."""
    if rng.random() < 0.12:
        return small
    # The blocks of the photo start anywhere: some pixels of margin put them elsewhere.
    left, top = int(rng.integers(0, 8)), int(rng.integers(0, 8))
    room = cv2.copyMakeBorder(small, top, 8, left, 8, cv2.BORDER_REPLICATE)
    half = cv2.IMWRITE_JPEG_SAMPLING_FACTOR_420
    whole = cv2.IMWRITE_JPEG_SAMPLING_FACTOR_444
    options = [
        cv2.IMWRITE_JPEG_QUALITY, int(rng.integers(55, 97)),
        cv2.IMWRITE_JPEG_SAMPLING_FACTOR, half if rng.random() < 0.85 else whole,
    ]  # fmt: skip
    _, coded = cv2.imencode(".jpg", room, options)
    saved = np.asarray(cv2.imdecode(coded, cv2.IMREAD_COLOR), np.uint8)
    return np.asarray(saved[top : top + small.shape[0], left : left + small.shape[1]], np.uint8)


def _cut_out(small: Picture, large: Picture, rng: np.random.Generator) -> tuple[Picture, Picture]:
    """Both enlarged and cut alike: a little too high or low, too close or too wide."""
    high, wide = small.shape[:2]
    rows = high * STRIP_HEIGHT / 64 * float(np.clip(rng.normal(1, 0.09), 0.85, 1.25))
    scale = STRIP_HEIGHT / rows
    ends = rng.normal(0, 0.12, 2) * high if rng.random() < 0.5 else np.zeros(2)
    # Print is not cut off at the ends, or the label would be wrong; only its margin changes.
    ends = np.minimum(ends, 0.05 * high)
    new_wide = int(np.clip(round((wide - ends.sum()) * scale), 16, _WIDEST))
    middle = high / 2 + float(rng.normal(0, 0.035)) * high
    y = (np.arange(STRIP_HEIGHT, dtype=np.float32) + 0.5) / scale - rows / 2 + middle
    x = (np.arange(new_wide, dtype=np.float32) + 0.5) / scale + ends[0]
    how = cv2.INTER_CUBIC if rng.random() < 0.8 else cv2.INTER_LINEAR
    cuts = []
    for picture in (small, large):
        across, down = picture.shape[1] / wide, picture.shape[0] / high
        map_x, map_y = np.meshgrid(
            (x * across - 0.5).astype(np.float32), (y * down - 0.5).astype(np.float32)
        )
        cut = cv2.remap(picture, map_x, map_y, how, borderMode=cv2.BORDER_REPLICATE)
        cuts.append(np.asarray(cut, np.uint8))
    return cuts[0], cuts[1]
