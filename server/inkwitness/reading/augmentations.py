"""Other ways to look at one line image: where one hides the ink, another may show it.

A Line keeps a line image that is TALL high: its middle STRIP_HEIGHT rows are what the recogniser
sees first; the rest leaves room to shift and to zoom.
"""

import cv2
import numpy as np

from inkwitness.photo.values import Pixels
from inkwitness.reading.values import IMAGE_HEIGHT

TALL = 64
#: How many heights of capitals the middle STRIP_HEIGHT rows cover: best of 1.3 to 2.3, made lines.
MARGIN = 1.9

#: Columns that are left out at both ends of a view of the inside.
_SIDE = 10


def augmented(image: Pixels, augmentation: str) -> Pixels:
    """The line image (TALL high, BGR) as `augmentation` shows it, STRIP_HEIGHT high, BGR."""
    if augmentation == "closer":
        return _cut(image, 42, 0)
    if augmentation == "inside":
        # Print in a frame is found as high as the frame, and its sides look like letters.
        return np.ascontiguousarray(_cut(image, 28, 0)[:, _SIDE:-_SIDE])
    if augmentation == "wider":
        return _cut(image, 57, 0)
    if augmentation == "shifted":
        return _cut(image, IMAGE_HEIGHT, 3)
    middle = _cut(image, IMAGE_HEIGHT, 0)
    if augmentation == "colour":
        return middle
    if augmentation == "local_contrast":
        lab = cv2.cvtColor(middle, cv2.COLOR_BGR2LAB)
        tiles = (max(1, middle.shape[1] // 48), 2)
        lab[:, :, 0] = cv2.createCLAHE(clipLimit=3.0, tileGridSize=tiles).apply(lab[:, :, 0])
        return np.asarray(cv2.cvtColor(lab, cv2.COLOR_LAB2BGR))
    if augmentation == "inverted":
        return np.ascontiguousarray(255 - middle)
    if augmentation == "flattened":
        return _three(_flattened(middle))
    channel = {
        "blue_channel": middle[:, :, 0],
        "red_channel": middle[:, :, 2],
        "darkest_channel": middle.min(axis=2),
    }[augmentation]
    return _three(_stretched(channel))


def _cut(image: Pixels, rows: int, shift: int) -> Pixels:
    top = (image.shape[0] - rows) // 2 + shift
    part = image[top : top + rows]
    if rows == IMAGE_HEIGHT:
        return np.ascontiguousarray(part)
    width = max(8, round(image.shape[1] * IMAGE_HEIGHT / rows))
    return np.asarray(cv2.resize(part, (width, IMAGE_HEIGHT), interpolation=cv2.INTER_CUBIC))


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
