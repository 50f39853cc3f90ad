"""What stands at the two ends of a line image: plain ground, or something across it."""

import cv2
import numpy as np
from numpy.typing import NDArray

from inkwitness.photo.values import Pixels
from inkwitness.reading.augmentations import MARGIN
from inkwitness.reading.values import IMAGE_HEIGHT

#: Columns at an end, how far from the ground they are another thing (L + a + b), over how much.
_OUTERMOST = 2
_OTHER_GROUND = 30.0
_CROSSED = 0.25
#: On uneven ground another thing is this many times further away than the line's own pixels are
#: (median): a smaller factor would take weave for a finger.
_UNEVEN = 4.0
#: Columns that differ from the ground over less of their height than this are plain.
_PLAIN = 0.05
#: Sensor noise and weave are smoothed by this deviation (line image pixels) before edges are
#: measured.
_NOISE = 1.5
#: Sum of the positive weights of a Scharr kernel times its reach: one grey value a pixel gives 1.
_SCHARR = 32.0
#: Print flatter than this (grey values a pixel) is no measure for its ground.
_FLAT = 1.0
#: How far into a line image its ground is plain, and half of a broad letter (heights of capitals).
_LETTER_IN, _HALF_LETTER = 0.25, 0.7
#: How far the rest of a letter may stand before a line image that begins in it (heights of
#: capitals).
_REST_OF_A_LETTER = 0.5
#: Ground that is lighter or darker than that of the line counts for so much.
_LEVEL = 2.6
#: And letters that are as light as they are dark for so much: such print loses letters whole.
_RELIEF = 1.4
#: Grey values this near to each other are one when the ground of a line is looked for.
_ALIKE = 6


def crossed_ends(image: Pixels) -> tuple[bool, bool]:
    """Whether something stands across the first and the last columns of a line image (BGR).

    Print that is cut there, or a finger or an edge over it: the outermost columns differ from
    the ground over a good part of the line's height.
    """
    other = _other(image, image)
    return bool(other[:_OUTERMOST].mean() > _CROSSED), bool(other[-_OUTERMOST:].mean() > _CROSSED)


def ground_ahead(ahead: Pixels, image: Pixels) -> Pixels | None:
    """The plain ground before a line image whose first letter was cut too near: that letter's rest
    ends in `ahead` (the picture before the line image, BGR, of its height), and nothing else stands
    there.

    None where it does not end, as under a finger or an edge, or where more follows.
    """
    plain = _other(ahead, image) < _PLAIN
    rest = int(np.argmax(plain[::-1])) if plain.any() else len(plain)
    longest = round(_REST_OF_A_LETTER * IMAGE_HEIGHT / MARGIN)
    if rest > longest or not plain[: len(plain) - rest].all():
        return None
    return ahead[:, : len(plain) - rest]


def _other(picture: Pixels, image: Pixels) -> NDArray[np.float32]:
    """Over how much of its height each column of a picture is another thing than the ground of
    the line image (shares, 0-1).
    """
    own = _away(image, image)
    away = own if picture is image else _away(picture, image)
    limit = max(_OTHER_GROUND, _UNEVEN * float(np.median(own)))
    return np.asarray((away > limit).mean(axis=0), np.float32)


def _away(picture: Pixels, image: Pixels) -> NDArray[np.float32]:
    ground = np.median(_lab(image).reshape(-1, 3), axis=0)
    return np.asarray(np.abs(_lab(picture) - ground).sum(axis=2), np.float32)


def _lab(picture: Pixels) -> NDArray[np.float32]:
    rows = picture.shape[0]
    middle = picture[rows // 6 : -rows // 6]
    return np.asarray(cv2.cvtColor(middle, cv2.COLOR_BGR2LAB), np.float32)


def marked_before(before: Pixels, image: Pixels, first: float) -> float:
    """How strongly the ground before a line's first letter is marked, beside the print itself.

    `before` is the ground before the line image and `image` the line (BGR, of one height and
    scale);
    `first` is the middle of its first letter (line image pixels). Near 0 on plain ground; from
    about a half on something may stand there that was not read: a letter pressed into the ground,
    an edge, a fold, a stroke, glare. Print that is hardly stronger than its ground, as embossed
    letters are, never has a plain ground.
    """
    letter = IMAGE_HEIGHT / MARGIN
    unread = image[:, : max(round(_LETTER_IN * letter), round(first - _HALF_LETTER * letter))]
    before = np.hstack([before, unread])
    steep = float(_columns(before).max()) / max(float(np.percentile(_columns(image), 75)), _FLAT)
    rows = image.shape[0]
    line = cv2.cvtColor(image, cv2.COLOR_BGR2GRAY)[rows // 5 : -rows // 5]
    grey = cv2.cvtColor(before, cv2.COLOR_BGR2GRAY)[rows // 5 : -rows // 5]
    low, high = np.percentile(line, (5, 95))
    ground = float(np.median(line))
    other = abs(float(np.median(grey)) - ground) / max(float(high - low), _FLAT)
    return round(max(steep, _LEVEL * other, _RELIEF * _relief(line)), 3)


def _relief(grey: cv2.typing.MatLike) -> float:
    """How much print is lighter as well as darker than its ground: near 0 for ink, 1 for letters
    pressed into it, whose sides throw light and shadow.
    """
    smooth = cv2.GaussianBlur(grey, (0, 0), _NOISE)
    counts = np.bincount(smooth.ravel() // _ALIKE)
    ground = (float(np.argmax(counts)) + 0.5) * _ALIKE
    low, high = np.percentile(smooth, (3, 97))
    sides = sorted((ground - float(low), float(high) - ground))
    return max(sides[0], 0.0) / max(sides[1], _FLAT)


def _columns(image: Pixels) -> NDArray[np.float32]:
    """How steep the light is in each column of a line image: nine tenths of its rows are
    flatter.
    """
    grey = cv2.cvtColor(image, cv2.COLOR_BGR2GRAY).astype(np.float32)
    smooth = cv2.GaussianBlur(grey, (0, 0), _NOISE)
    steep = np.abs(cv2.Scharr(smooth, cv2.CV_32F, 1, 0)) / _SCHARR
    rows = image.shape[0]
    tall = np.percentile(steep[rows // 5 : -rows // 5], 80, axis=0)
    return np.asarray(cv2.blur(tall[None].astype(np.float32), (3, 1))[0], np.float32)
