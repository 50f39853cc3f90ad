"""Cut a curved line out of the photo as a line image."""

from threading import Lock

import cv2
import numpy as np
from numpy.typing import NDArray

from inkwitness.photo.values import Pixels, Polygon

Floats = NDArray[np.float64]

#: Height of a line's outline, in heights of capitals: a larger one takes in the lines beside it.
OUTLINE = 1.25


class Pyramid:
    """The photo at full, half, quarter ... size, made when asked for (halving averages pixels).

    Several threads may ask at once.
    """

    def __init__(self, pixels: Pixels) -> None:
        self._levels: list[Pixels] = [pixels]
        self._growing = Lock()

    def level(self, shrink: float) -> tuple[Pixels, float]:
        """The smallest level that still has the detail for a picture `shrink` times smaller.

        Returns its pixels and its scale against the photo (1, 0.5, 0.25, ...).
        """
        wanted = 0
        with self._growing:
            while shrink >= 2.0 ** (wanted + 1) and min(self._levels[-1].shape[:2]) > 64:
                wanted += 1
                if len(self._levels) <= wanted:
                    last = self._levels[-1]
                    size = ((last.shape[1] + 1) // 2, (last.shape[0] + 1) // 2)
                    half = cv2.resize(last, size, interpolation=cv2.INTER_AREA)
                    self._levels.append(np.asarray(half, np.uint8))
        return self._levels[min(wanted, len(self._levels) - 1)], 0.5**wanted


def line_image_of(
    pyramid: Pyramid, middle: Floats, height: float, *, image_height: int, margin: float
) -> Pixels:
    """The line image along a middle line.

    `middle` is n x 2 in photo pixels, left to right; `height` the height of capitals there. The
    line image is `image_height` pixels high and covers `margin` x `height` of the photo across the
    line.
    """
    across = height * margin
    scale = image_height / across
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(middle, axis=0).T))])
    width = max(8, round(along[-1] * scale))
    where = (np.arange(width) + 0.5) / scale
    x = np.interp(where, along, middle[:, 0])
    y = np.interp(where, along, middle[:, 1])
    normal = _normals(x, y)
    offset = (np.arange(image_height) + 0.5) / scale - across / 2
    pixels, size = pyramid.level(1 / scale)
    map_x = ((x[None, :] + normal[:, 0] * offset[:, None] + 0.5) * size - 0.5).astype(np.float32)
    map_y = ((y[None, :] + normal[:, 1] * offset[:, None] + 0.5) * size - 0.5).astype(np.float32)
    cut = cv2.remap(pixels, map_x, map_y, cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE)
    return np.ascontiguousarray(cut)


def outline(middle: Floats, height: float, margin: float) -> Polygon:
    """The polygon around a line: along its top, back along its bottom (photo pixels)."""
    normal = _normals(middle[:, 0], middle[:, 1]) * (height * margin / 2)
    ring = np.vstack([middle - normal, (middle + normal)[::-1]])
    return tuple((float(x), float(y)) for x, y in ring)


def _normals(x: Floats, y: Floats) -> Floats:
    """Unit vectors across the line, pointing down for a line that runs to the right."""
    if len(x) < 2:
        return np.tile(np.array([0.0, 1.0]), (len(x), 1))
    dx, dy = np.gradient(x), np.gradient(y)
    reach = np.maximum(np.hypot(dx, dy), 1e-9)
    return np.column_stack([-dy / reach, dx / reach])
