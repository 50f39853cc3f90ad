"""What was really augmented: letter height, contrast and hiding of each line, from the pixels."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from tests.renderer.things.noise import Array


@dataclass(frozen=True, slots=True)
class Seen:
    """One line as it came out; contrasts are shares of full scale."""

    contrast: float  # difference in luma between the letters' cores and the ground
    channel_contrast: float  # the largest difference in one colour channel
    grain: float  # standard deviation of the ground's luma, as a share of full scale
    hidden: float
    ink_left: float  # share of the set ink that is there in the barest character


def _barest(ink: Array, shown: Array, polygon: Array, characters: int) -> float:
    """Least share of ink left over windows of one character, along the line."""
    n = len(polygon) // 2
    top, bottom = polygon[:n], polygon[n:][::-1]
    cells = max(1, characters)
    at = np.linspace(0, n - 1, cells + 1)
    knots = np.arange(n)
    up = np.stack([np.interp(at, knots, top[:, i]) for i in (0, 1)], axis=1)
    low = np.stack([np.interp(at, knots, bottom[:, i]) for i in (0, 1)], axis=1)
    label = np.zeros(ink.shape, np.uint8)
    for k in range(min(cells, 250)):
        quad = np.stack([up[k], up[k + 1], low[k + 1], low[k]])
        cv2.fillConvexPoly(label, (quad * 8).astype(np.int32), k + 1, cv2.LINE_8, 3)
    size = cells + 1
    whole = np.bincount(label.ravel(), ink.ravel(), size)[1:size]
    left = np.bincount(label.ravel(), shown.ravel(), size)[1:size]
    full = whole > 0.35 * np.median(whole[whole > 0]) if (whole > 0).any() else whole > 0
    return float((left[full] / whole[full]).min()) if full.any() else 0.0


def line_seen(
    image: npt.NDArray[np.uint8], ink: Array, shown: Array, hidden: Array | None, polygon: Array,
    x_height: float, characters: int, embossed: bool,
) -> Seen:  # fmt: skip
    """Measure a line in the finished picture; polygon in pixels.

    ink and shown are coverage per pixel, as set and as wear and cloth left it.
    """
    high, wide = image.shape[:2]
    pad = int(np.ceil(x_height)) + 3
    low = np.maximum(np.floor(polygon.min(axis=0)).astype(int) - pad, 0)
    end = np.minimum(np.ceil(polygon.max(axis=0)).astype(int) + pad, [wide, high])
    if np.any(end - low < 3):
        return Seen(0.0, 0.0, 0.0, 1.0, 0.0)
    area = np.s_[low[1] : end[1], low[0] : end[0]]
    part = image[area].astype(np.float32)
    mask = np.zeros(part.shape[:2], np.uint8)
    cv2.fillPoly(mask, [((polygon - low) * 8).astype(np.int32)], 255, cv2.LINE_AA, 3)
    inside = mask > 127
    around = cv2.dilate(mask, np.ones((2 * (pad // 2) + 1,) * 2, np.uint8)) > 127
    cover = ink[area]
    near = cv2.blur(cover, (3, 3))
    peak = float(cover[inside].max()) if inside.any() else 0.0
    core = inside & (cover > max(0.75 * peak, 0.2))
    ground = around & (near < 0.04)
    barest = _barest(cover, shown[area], polygon - low, characters)
    covered = 0.0
    if hidden is not None and core.any():
        blocked = hidden[area]
        covered = float((blocked[core] > 0.5).mean())
        free = blocked < 0.1
        core, ground = core & free, ground & free
    if core.sum() < 6 or ground.sum() < 6:
        return Seen(0.0, 0.0, 0.0, covered, barest)
    luma = part @ np.array([0.114, 0.587, 0.299], np.float32)
    spread = float(luma[ground].std()) / 255.0
    if embossed:
        text = inside & (near > 0.02)
        extra = max(0.0, float(luma[text].var()) - float(luma[ground].var()))
        value = 2.5 * np.sqrt(extra) / 255.0
        return Seen(float(value), float(value), spread, covered, barest)
    # The clearer half of the letters' pixels: their cores, not the edges that blur has softened.
    away = np.abs(luma[core] - luma[ground].mean())
    strong = part[core][away >= np.median(away)]
    contrast = float(away[away >= np.median(away)].mean()) / 255.0
    channels = np.abs(strong.mean(axis=0) - part[ground].mean(axis=0)) / 255.0
    return Seen(contrast, float(channels.max()), spread, covered, barest)


def readable(
    x_height: float, blur: float, channel: float, grain: float, ink_left: float, embossed: bool
) -> bool:
    """Whether a person could read a line from its picture alone; limits set by looking at strips.

    x_height and blur in pixels, channel and grain as shares of full scale.
    """
    return bool(
        x_height >= 5.0
        and x_height / max(blur, 0.6) >= 4.6
        and channel >= (0.075 if embossed else 0.06 if channel < 2.2 * grain else 0.045)
        and channel / max(grain, 0.004) >= 1.6
        and ink_left >= 0.3
    )
