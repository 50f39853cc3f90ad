"""Lines that belong to one unit or box: the areas of a photo.

Lines near each other that run the same way stand on one thing. So do places further apart on the
same ground (a valve and the cloth around it): like colour, no strong edge between them.
"""

from collections.abc import Sequence
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from inkwitness.photo.values import Pixels, Polygon
from inkwitness.reading.values import Area, Line

Floats = NDArray[np.float64]

#: Lines nearer than this stand on one thing (x-heights: of the larger letters where they run the
#: same way, of the smaller ones where not); more would join two units side by side.
_NEAR = 3.0
#: Lines run the same way where their directions differ by less than this (radians).
_SAME_WAY = 0.6
#: Lines no further below each other than this (x-heights) are pieces of one row.
_ONE_ROW = 0.6


def areas_of(lines: Sequence[Line], pixels: Pixels) -> tuple[Area, ...]:
    """The areas, the largest first, their lines in reading order and numbered through."""
    rings = [np.array(line.polygon) for line in lines]
    label = list(range(len(lines)))
    for i in range(len(lines)):
        for j in range(i):
            if label[i] != label[j] and _together(lines[i], lines[j], rings[i], rings[j]):
                old, new = label[i], label[j]
                label = [new if one == old else one for one in label]
    groups = [[i for i, one in enumerate(label) if one == name] for name in dict.fromkeys(label)]
    areas = [([lines[i] for i in group], np.vstack([rings[i] for i in group])) for group in groups]
    areas.sort(key=lambda area: -_spread(area[1]))
    made: list[Area] = []
    number = 0
    for members, ring in areas:
        ordered = _in_order(members)
        numbered = tuple(replace(line, index=number + n) for n, line in enumerate(ordered))
        number += len(numbered)
        made.append(Area(_hull(ring), numbered))
    return tuple(made)


def _together(one: Line, other: Line, ring: Floats, other_ring: Floats) -> bool:
    height = max(one.x_height_px, other.x_height_px)
    smaller = min(one.x_height_px, other.x_height_px)
    turn = abs((_angle(ring) - _angle(other_ring) + np.pi) % (2 * np.pi) - np.pi)
    reach = _NEAR * (height if turn < _SAME_WAY else smaller)
    apart = ring[:, None, :] - other_ring[None, :, :]
    gap = float(np.hypot(apart[..., 0], apart[..., 1]).min())
    return gap < reach


def _angle(ring: Floats) -> float:
    along = ring[len(ring) // 2 - 1] - ring[0]
    return float(np.arctan2(along[1], along[0]))


def _in_order(lines: Sequence[Line]) -> list[Line]:
    """Top to bottom in the lines' own frame; pieces of one row left to right."""
    angles = np.array([_angle(np.array(line.polygon)) for line in lines])
    widths = np.array([line.image.shape[1] for line in lines])
    angle = float(np.angle((widths * np.exp(1j * angles)).sum()))
    c, s = np.cos(-angle), np.sin(-angle)
    placed = []
    for line in lines:
        x, y = np.array(line.polygon).mean(axis=0)
        placed.append((s * x + c * y, c * x - s * y, line))
    placed.sort(key=lambda item: item[0])
    rows: list[list[tuple[float, float, Line]]] = []
    for item in placed:
        same = rows and item[0] - rows[-1][-1][0] < _ONE_ROW * item[2].x_height_px
        if same:
            rows[-1].append(item)
        else:
            rows.append([item])
    return [line for row in rows for _, _, line in sorted(row, key=lambda item: item[1])]


def _spread(ring: Floats) -> float:
    return float(cv2.contourArea(cv2.convexHull(ring.astype(np.float32))))


def _hull(ring: Floats) -> Polygon:
    hull = cv2.convexHull(ring.astype(np.float32)).reshape(-1, 2)
    return tuple((float(x), float(y)) for x, y in hull)
