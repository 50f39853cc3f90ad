"""What stands at the two ends of a straightened strip: plain ground, or something across it."""

import cv2
import numpy as np

from inkwitness.photo.values import Pixels

#: Columns at an end, how far from the ground they are another thing (L + a + b), over how much.
_OUTERMOST = 2
_OTHER_GROUND = 30.0
_CROSSED = 0.25


def crossed_ends(strip: Pixels) -> tuple[bool, bool]:
    """Whether something stands across the first and the last columns of a strip (BGR).

    Print that is cut there, or a finger or an edge over it: the outermost columns differ from
    the ground over a good part of the line's height.
    """
    rows = strip.shape[0]
    middle = strip[rows // 6 : -rows // 6]
    lab = cv2.cvtColor(middle, cv2.COLOR_BGR2LAB).astype(np.float32)
    away = np.abs(lab - np.median(lab.reshape(-1, 3), axis=0)).sum(axis=2)
    other = away > max(_OTHER_GROUND, 4.0 * float(np.median(away)))
    first, last = other[:, :_OUTERMOST].mean(), other[:, -_OUTERMOST:].mean()
    return bool(first > _CROSSED), bool(last > _CROSSED)
