"""What was really rendered: letter height, contrast and hiding of each line, from the pixels."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from .noise import Array


@dataclass(frozen=True, slots=True)
class Seen:
    """One line as it came out; contrasts are shares of full scale."""

    contrast: float  # difference in luma between ink and ground
    channel_contrast: float  # the largest difference in one colour channel
    grain: float  # standard deviation of the ground's luma, as a share of full scale
    hidden: float
    ink_left: float


def line_seen(
    image: npt.NDArray[np.uint8], ink: Array, hidden: Array | None, polygon: Array, x_height: float,
    embossed: bool,
) -> Seen:  # fmt: skip
    """Measure a line in the finished picture; polygon in pixels, ink is coverage per pixel."""
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
    covered = 0.0
    if hidden is not None and core.any():
        blocked = hidden[area]
        covered = float((blocked[core] > 0.5).mean())
        free = blocked < 0.1
        core, ground = core & free, ground & free
    if core.sum() < 6 or ground.sum() < 6:
        return Seen(0.0, 0.0, 0.0, max(covered, 0.0 if core.any() else covered), peak)
    luma = part @ np.array([0.114, 0.587, 0.299], np.float32)
    spread = float(luma[ground].std()) / 255.0
    if embossed:
        text = inside & (near > 0.02)
        extra = max(0.0, float(luma[text].var()) - float(luma[ground].var()))
        value = 2.5 * np.sqrt(extra) / 255.0
        return Seen(float(value), float(value), spread, covered, peak)
    contrast = abs(float(luma[core].mean() - luma[ground].mean())) / 255.0
    channels = np.abs(part[core].mean(axis=0) - part[ground].mean(axis=0)) / 255.0
    return Seen(contrast, float(channels.max()), spread, covered, peak)
