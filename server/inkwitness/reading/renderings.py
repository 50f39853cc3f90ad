"""Other ways to look at one strip: where one hides the ink, another may show it.

A Line keeps a strip that is TALL high: its middle STRIP_HEIGHT rows are what the recogniser sees
first; the rest leaves room to shift and to zoom.
"""

import cv2
import numpy as np

from inkwitness.photo.values import Pixels
from inkwitness.reading.values import STRIP_HEIGHT

TALL = 64
#: How many heights of capitals the middle STRIP_HEIGHT rows cover: best of 1.3 to 2.3, made lines.
MARGIN = 1.9

#: Columns that are left out at both ends of a view of the inside.
_SIDE = 10


def rendered(strip: Pixels, rendering: str) -> Pixels:
    """The strip (TALL high, BGR) as `rendering` shows it, STRIP_HEIGHT high, BGR."""
    if rendering == "closer":
        return _cut(strip, 42, 0)
    if rendering == "inside":
        # Print in a frame is found as high as the frame, and its sides look like letters.
        return np.ascontiguousarray(_cut(strip, 28, 0)[:, _SIDE:-_SIDE])
    if rendering == "wider":
        return _cut(strip, 57, 0)
    if rendering == "shifted":
        return _cut(strip, STRIP_HEIGHT, 3)
    middle = _cut(strip, STRIP_HEIGHT, 0)
    if rendering == "colour":
        return middle
    if rendering == "local_contrast":
        lab = cv2.cvtColor(middle, cv2.COLOR_BGR2LAB)
        tiles = (max(1, middle.shape[1] // 48), 2)
        lab[:, :, 0] = cv2.createCLAHE(clipLimit=3.0, tileGridSize=tiles).apply(lab[:, :, 0])
        return np.asarray(cv2.cvtColor(lab, cv2.COLOR_LAB2BGR))
    if rendering == "inverted":
        return np.ascontiguousarray(255 - middle)
    if rendering == "flattened":
        return _three(_flattened(middle))
    channel = {
        "blue_channel": middle[:, :, 0],
        "red_channel": middle[:, :, 2],
        "darkest_channel": middle.min(axis=2),
    }[rendering]
    return _three(_stretched(channel))


def _cut(strip: Pixels, rows: int, shift: int) -> Pixels:
    top = (strip.shape[0] - rows) // 2 + shift
    part = strip[top : top + rows]
    if rows == STRIP_HEIGHT:
        return np.ascontiguousarray(part)
    width = max(8, round(strip.shape[1] * STRIP_HEIGHT / rows))
    return np.asarray(cv2.resize(part, (width, STRIP_HEIGHT), interpolation=cv2.INTER_CUBIC))


def _flattened(middle: Pixels) -> Pixels:
    """Grey with the slow changes of light and fabric taken out."""
    grey = cv2.cvtColor(middle, cv2.COLOR_BGR2GRAY).astype(np.float32)
    flat = grey - cv2.GaussianBlur(grey, (0, 0), 16)
    reach = max(float(np.percentile(np.abs(flat), 98)), 6.0)
    return np.asarray(np.clip(160 + flat / reach * 95, 0, 255), np.uint8)


def _stretched(grey: Pixels) -> Pixels:
    low, high = np.percentile(grey, (1, 99))
    scaled = (grey.astype(np.float32) - low) / max(float(high - low), 12.0) * 255
    return np.asarray(np.clip(scaled, 0, 255), np.uint8)


def _three(grey: Pixels) -> Pixels:
    return np.ascontiguousarray(np.repeat(grey[:, :, None], 3, axis=2))
