"""Other ways to look at one line image: where one hides the ink, another may show it.

A Line keeps a line image that is TALL high: its middle STRIP_HEIGHT rows are what the recogniser
sees first; the rest leaves room to shift and to zoom.
"""

import cv2
import numpy as np

from inkwitness.photo.values import Pixels
from inkwitness.reading.values import IMAGE_HEIGHT

#: Rows of the line image that a Line keeps.
TALL = 64
#: How many heights of capitals the middle STRIP_HEIGHT rows cover: best of 1.3 to 2.3, made lines.
MARGIN = 1.9

#: Columns that are left out at both ends of a view of the inside.
_SIDE = 10
#: Rows of the line image that a view shows, made IMAGE_HEIGHT high: fewer make the letters larger.
_CLOSER, _INSIDE, _WIDER = 42, 28, 57
#: How far down (rows) a shifted view looks.
_SHIFT = 3
#: Local contrast: width of a tile (columns), tiles one above the other, and how many times the
#: mean count a histogram bin may have (OpenCV's clip limit; more lifts noise as well as ink).
_TILE, _TILES_HIGH, _CLIP = 48, 2, 3.0
#: Deviation (pixels) of the blur that is taken for the ground: wider than a stroke.
_GROUND = 16
#: Percentile of the differences from the ground that is drawn full, and the least difference (grey
#: values) that is: below it noise would be stretched to look like ink.
_FULL, _LEAST_REACH = 98, 6.0
#: Grey value of the ground in a flattened view, and of a full difference from it: dark ink keeps
#: its shades, a full light one is white.
_GROUND_GREY, _FULL_GREY = 160, 95
#: Percentiles of a channel that become black and white, and their least distance (grey values):
#: below it a channel that shows nothing would be stretched to noise.
_BLACK_WHITE, _LEAST_RANGE = (1, 99), 12.0


def augmented(image: Pixels, augmentation: str) -> Pixels:
    """The line image (TALL high, BGR) as `augmentation` shows it, STRIP_HEIGHT high, BGR."""
    if augmentation == "closer":
        return _cut(image, _CLOSER, 0)
    if augmentation == "inside":
        # Print in a frame is found as high as the frame, and its sides look like letters.
        return np.ascontiguousarray(_cut(image, _INSIDE, 0)[:, _SIDE:-_SIDE])
    if augmentation == "wider":
        return _cut(image, _WIDER, 0)
    if augmentation == "shifted":
        return _cut(image, IMAGE_HEIGHT, _SHIFT)
    middle = _cut(image, IMAGE_HEIGHT, 0)
    if augmentation == "colour":
        return middle
    if augmentation == "local_contrast":
        lab = cv2.cvtColor(middle, cv2.COLOR_BGR2LAB)
        tiles = (max(1, middle.shape[1] // _TILE), _TILES_HIGH)
        lab[:, :, 0] = cv2.createCLAHE(clipLimit=_CLIP, tileGridSize=tiles).apply(lab[:, :, 0])
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
    flat = grey - cv2.GaussianBlur(grey, (0, 0), _GROUND)
    reach = max(float(np.percentile(np.abs(flat), _FULL)), _LEAST_REACH)
    return np.asarray(np.clip(_GROUND_GREY + flat / reach * _FULL_GREY, 0, 255), np.uint8)


def _stretched(grey: Pixels) -> Pixels:
    low, high = np.percentile(grey, _BLACK_WHITE)
    scaled = (grey.astype(np.float32) - low) / max(float(high - low), _LEAST_RANGE) * 255
    return np.asarray(np.clip(scaled, 0, 255), np.uint8)


def _three(grey: Pixels) -> Pixels:
    return np.ascontiguousarray(np.repeat(grey[:, :, None], 3, axis=2))
