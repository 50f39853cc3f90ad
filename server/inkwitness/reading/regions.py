"""From a map of print to regions: each a piece of a line with its middle line and thickness.

The detector marks the core of a line, thinner than its letters; the middle of that core, taken
column by column and smoothed, follows the line round a dome where a box would cut it.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

#: The core that the detector marks against the height of the letters (capitals): counted on
#: made photos whose line polygons are known.
LETTERS_PER_CORE = 1.35
#: The middle line is fitted to about so many marked pixels: more cost time and move it little.
_MOST_POINTS = 6000
#: A piece of fewer marked pixels is a speck: its direction and thickness would be chance.
_FEWEST_PIXELS = 12
#: Spread along over spread across from which a region that runs down the map is a line that does,
#: and from which any region has a direction of its own: below, a blot is taken to lie flat.
_RUNS_DOWN, _HAS_DIRECTION = 1.5, 2.2
#: A region turned by more than this (radians; a quarter turn is 1.57) runs down an upright map.
_QUARTER_TURN = 1.2
#: Widest gap between two pieces of one line, in heights of capitals.
_GAP = 2.4
#: Marked pixels this likely are the lines themselves; what is less likely may link two of them.
_SURE_CORE = 0.6
#: Lines one above the other have, together, this many times the extent of the piece they made.
_STACKED = 1.5
#: A piece of a line is at least this long, in its own thickness.
_LEAST_ASPECT = 2.0
#: Columns with less than this share of the usual count of marked pixels do not bend the middle
#: line, and a region shorter than this (in its thickness) has a level one: its slope is chance.
_THIN_COLUMN, _LEVEL_BELOW = 0.35, 1.6
#: Two pieces of one line: the thickness of the second over that of the first is between these.
_LEAST_THICKNESS, _MOST_THICKNESS = 0.55, 1.8
#: And (heights of capitals) the second begins at most so far before the first ends, and their
#: middle lines, run on, miss each other by less than this; more would join lines side by side.
_OVERLAP, _MISS = 0.4, 0.35


@dataclass(frozen=True, slots=True, eq=False)
class TextRegion:
    """One piece of a line of print, in the pixels of the map it was found in.

    `points` (n x 2) are the marked pixels; `origin` and `angle` (radians, along the line) make the
    frame in which `curve` (polynomial coefficients, highest power first) gives the middle line
    v(u) for `start` <= u <= `end`. `core` is the thickness of the core, `score` its mean
    probability.
    """

    points: Floats
    origin: Floats
    angle: float
    curve: Floats
    start: float
    end: float
    core: float
    score: float

    @property
    def length(self) -> float:
        """Extent along the line."""
        return self.end - self.start

    @property
    def runs_down(self) -> bool:
        """A line at a quarter turn to an upright map."""
        return abs(self.angle) > _QUARTER_TURN

    @property
    def height(self) -> float:
        """Estimated height of capital letters."""
        return self.core * LETTERS_PER_CORE

    def at(self, u: Floats) -> Floats:
        """Points of the middle line, n x 2."""
        v = np.polyval(self.curve, u)
        return self.origin + _turned(np.column_stack([u, v]), self.angle)

    def middle(self, count: int = 9) -> Floats:
        """Evenly spaced points of the middle line, end to end."""
        return self.at(np.linspace(self.start, self.end, count))


def text_regions_of(
    probability_map: NDArray[np.float32], *, threshold: float, least_score: float, upright: bool
) -> list[TextRegion]:
    """All regions of a map. `upright`: lines run roughly along x, short regions included."""
    marked = (probability_map > threshold).astype(np.uint8)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(marked, connectivity=8)
    found: list[TextRegion] = []
    for label in range(1, count):
        left, top, width, height, area = stats[label]
        if area < _FEWEST_PIXELS:
            continue
        window = labels[top : top + height, left : left + width] == label
        score = float(probability_map[top : top + height, left : left + width][window].mean())
        if score < least_score:
            continue
        inside = probability_map[top : top + height, left : left + width]
        # From afar a block of lines is one place; only where lines are looked at are they parted.
        for piece in _unlinked(window, inside) if upright else [window]:
            ys, xs = np.nonzero(piece)
            points = np.column_stack([xs + left, ys + top]).astype(np.float64)
            found.append(fit(points, float(inside[piece].mean()), upright=upright))
    return found


def _unlinked(
    window: NDArray[np.bool_], probability_map: NDArray[np.float32]
) -> list[NDArray[np.bool_]]:
    """The lines that faint marks between them have made one piece, each with the marks nearest to
    it; the piece itself where it is one line (its sure parts stand one behind the other).
    """
    sure = (window & (probability_map > _SURE_CORE)).astype(np.uint8)
    count, cores, stats, _ = cv2.connectedComponentsWithStats(sure, connectivity=8)
    kept = [n for n in range(1, count) if stats[n, cv2.CC_STAT_AREA] >= _FEWEST_PIXELS]
    if len(kept) < 2:
        return [window]
    whole = _shape(window)
    shapes = [_shape(cores == n) for n in kept]
    long = [shape for shape in shapes if shape.length > _LEAST_ASPECT * shape.core]
    if len(long) < 2 or sum(shape.length for shape in long) < _STACKED * whole.length:
        return [window]
    seeds = np.isin(cores, kept)
    _, nearest = cv2.distanceTransformWithLabels(
        (~seeds).astype(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_5, labelType=cv2.DIST_LABEL_CCOMP
    )
    return [window & (nearest == label) for label in np.unique(nearest[seeds])]


def _shape(window: NDArray[np.bool_]) -> TextRegion:
    ys, xs = np.nonzero(window)
    return fit(np.column_stack([xs, ys]).astype(np.float64), 1.0, upright=True)


def fit(points: Floats, score: float, *, upright: bool) -> TextRegion:
    """The middle line of a set of marked pixels."""
    every = max(1, len(points) // _MOST_POINTS)
    some = points[::every]
    origin = some.mean(axis=0)
    angle = _axis(some - origin, upright=upright)
    frame = _turned(some - origin, -angle)
    u, v = frame[:, 0], frame[:, 1]
    start, end = float(u.min()), float(u.max()) + 1.0
    area = float(len(points))
    core = max(1.0, area / max(1.0, end - start))
    bins = max(3, min(60, int((end - start) / max(1.0, core / 2))))
    place = np.minimum((bins * (u - start) / (end - start)).astype(int), bins - 1)
    filled = np.bincount(place, minlength=bins)
    centre = np.bincount(place, weights=v, minlength=bins) / np.maximum(filled, 1)
    where = start + (np.arange(bins) + 0.5) * (end - start) / bins
    keep = filled > _THIN_COLUMN * np.median(filled[filled > 0])
    ratio = (end - start) / core
    degree = 1 if ratio < 5 else 2 if ratio < 9 else 3
    degree = min(degree, max(0, int(keep.sum()) - 1))
    curve = np.polyfit(where[keep], centre[keep], degree, w=np.sqrt(filled[keep]))
    if upright and ratio < _LEVEL_BELOW:
        curve = np.array([float(v.mean())])
    # Round a bend a column is longer than the line is thick.
    along = np.linspace(start, end, 2 * bins)
    slopes = np.polyval(np.polyder(curve), along)
    core = max(1.0, core / float(np.hypot(1.0, slopes).mean()))
    return TextRegion(points, origin, angle, curve, start, end, core, score)


def joined(regions: list[TextRegion]) -> list[TextRegion]:
    """Join pieces that stand on one line: small gap, like height, one running into the other.

    Only for regions of an upright map.
    """
    left = sorted(regions, key=lambda s: float(s.points[:, 0].min()))
    changed = True
    while changed:
        changed = False
        for i, one in enumerate(left):
            follower = next((other for other in left[i + 1 :] if _follows(one, other)), None)
            if follower is not None:
                points = np.vstack([one.points, follower.points])
                weight = len(one.points) / len(points)
                score = one.score * weight + follower.score * (1 - weight)
                left.remove(follower)
                left[i] = fit(points, score, upright=True)
                changed = True
                break
    return left


def _follows(one: TextRegion, other: TextRegion) -> bool:
    if one.runs_down or other.runs_down:
        return False
    # A number has no small letters, so its core is thicker than that of the word before it.
    if not _LEAST_THICKNESS < other.core / one.core < _MOST_THICKNESS:
        return False
    height = (one.height + other.height) / 2
    end = one.at(np.array([one.end]))[0]
    begin = other.at(np.array([other.start]))[0]
    gap = float(begin[0] - end[0])
    if not -_OVERLAP * height < gap < _GAP * height:
        return False
    turn = abs(_slope(one, one.end) - _slope(other, other.start))
    reach = np.array([end[0] + gap / 2])
    meet = abs(_height_at(one, reach) - _height_at(other, reach))
    return bool(meet < _MISS * height and turn < 0.5)


def _slope(region: TextRegion, u: float) -> float:
    return region.angle + float(np.arctan(np.polyval(np.polyder(region.curve), u)))


def _height_at(region: TextRegion, x: Floats) -> float:
    """The y of the middle line, run on straight from its nearer end, at the place x."""
    u = region.start if x[0] < region.at(np.array([region.start]))[0][0] else region.end
    foot = region.at(np.array([u]))[0]
    return float(foot[1] + np.tan(_slope(region, u)) * (x[0] - foot[0]))


def _axis(centred: Floats, *, upright: bool) -> float:
    """Direction of the line in (-pi/2, pi/2]; 0 for a short region of an upright map."""
    spread = np.cov(centred.T) if len(centred) > 2 else np.eye(2)
    values, vectors = np.linalg.eigh(spread)
    angle = float(np.arctan2(vectors[1, 1], vectors[0, 1]))
    angle = (angle + np.pi / 2) % np.pi - np.pi / 2
    long = float(np.sqrt(values[1] / max(values[0], 1e-6)))
    if upright and abs(angle) > np.pi / 4:
        # A line that runs down the page, a class in a frame turned by a quarter, say.
        return -np.pi / 2 if long > _RUNS_DOWN else 0.0
    return 0.0 if upright and long < _HAS_DIRECTION else angle


def _turned(points: Floats, angle: float) -> Floats:
    c, s = np.cos(angle), np.sin(angle)
    turned: Floats = points @ np.array([[c, s], [-s, c]])
    return turned
