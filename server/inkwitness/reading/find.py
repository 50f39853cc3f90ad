"""Where print is: a cheap look at the whole photo, then a closer one at each place.

First pass: the photo reduced to FIRST_SIDE gives places of print, their direction (up to half a
turn) and the height of the letters. Second pass: each place is cut from the full photo, turned
upright and scaled until its letters have the height that the detector likes.
"""

import math
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from inkwitness.reading.readers.engines import Detector
from inkwitness.reading.regions import TextRegion, joined, text_regions_of
from inkwitness.reading.straighten import Pyramid

Floats = NDArray[np.float64]

#: Longer side (pixels) of the first pass: a larger one finds smaller print and costs more time.
FIRST_SIDE = 640
#: Thickness (crop pixels) of a line's core that the second pass aims at, and below which it looks
#: again; that look counts where it is larger by more than this.
_CORE, _SMALLEST_CORE, _LARGER = 14.0, 8.5, 1.3
#: Most pixels of a crop (they cost time), and how much larger than the photo it is at most.
_MOST_CROP_PIXELS, _MOST_ENLARGED = 900_000, 6.0
#: Least probability of print: of a pixel; as a mean over a region in the first pass, and after it.
_THRESHOLD, _FIRST_SCORE, _LEAST_SCORE = 0.2, 0.25, 0.32
#: A first-pass region of at least this score is a line by itself where no closer look shows it.
_STANDS_ALONE = 0.5
#: A crop's reach beyond its marks (cores): wider where lines just outside may have been missed.
PAD, WIDE_PAD = 2.2, 4.0
#: A first-pass region thicker than this (pixels) and this short for it may be a block of lines,
#: and is looked at so much closer.
_THICK, _SHORT, _CLOSER = 11.0, 3.5, 2.5
#: What a region says of its place's direction: length over core less this, but at least this. The
#: place's core is the one that this share of its length stays under: blots and blocks are thicker.
_SQUARE, _LEAST_SAY, _THINNEST = 1.2, 0.05, 0.3
#: A place no longer than this many times its width has no direction to turn it by, and one no
#: longer than this share of the photo is looked at again as it stands, this much closer.
_COMPACT, _SMALL_SHARE, _BLOCK_SCALES = 2.5, 0.3, (2.0, 3.5)
#: Two lines over the same ink: of one size within this ratio, as sure from this share on.
_LIKE, _ABOUT_AS_SURE = 1.6, 0.75
#: A line is covered where more than this share is this near to another (heights of capitals).
_MOSTLY, _SAME_INK = 0.6, 0.6
#: What stands this near behind the end of a line (heights of capitals), and this near to where the
#: line would run on, may belong to it.
_BESIDE, _ASIDE = 2.2, 0.6
#: In heights of capitals: a line this near to the photo's border may go on behind it; a letter
#: before the first stands so far ahead; lines are drawn out so far; their surroundings are so wide.
_AT_BORDER, _LETTER_AHEAD, _DRAWN_OUT, _AROUND = 0.4, 0.9, 0.45, 1.3
#: A region so near to a crop's border (crop pixels) is cut: grown by so many cores, so many times.
_TOUCHES, _GROWS, _MOST_GROWN = 2.5, 6.0, 2
#: A middle line cut aslant ends this share of its core short; what a cut line is worth of a whole.
_ROUND, _CUT_WORTH = 0.25, 0.8


@dataclass(frozen=True, slots=True, eq=False)
class Place:
    """A cluster of print from the first pass, in photo pixels.

    `direction` (radians, -pi/2 to pi/2) is that of its lines, up to half a turn; `weight` is the
    summed length of its regions; `lines` are the regions that look like lines by themselves.
    """

    points: Floats
    direction: float
    core: float
    weight: float
    score: float
    least_scale: float
    lines: tuple["FoundLine", ...]


@dataclass(frozen=True, slots=True, eq=False)
class FoundLine:
    """A line of print: its middle line (photo pixels, in reading direction up to half a turn),
    the height of its capitals, the height of its small letters, and the detector's certainty.
    `across`: it runs at a quarter turn to the lines of its place. `cut`: whether the crop in which
    it was found ended at its start, and at its end, so that it may go on there.
    """

    middle: Floats
    height: float
    x_height: float
    score: float
    across: bool = False
    cut: tuple[bool, bool] = (False, False)

    @property
    def backward(self) -> "FoundLine":
        """The same line the other way round."""
        return replace(self, middle=self.middle[::-1], cut=self.cut[::-1])


@dataclass(frozen=True, slots=True, eq=False)
class _Look:
    """The regions of a crop (its pixels), two corners of it in the turned frame, and its scale."""

    regions: list[TextRegion]
    low: Floats
    high: Floats
    scale: float

    @property
    def size(self) -> Floats:
        """Width and height (crop pixels)."""
        return (self.high - self.low) * self.scale


def places_of(pyramid: Pyramid, detector: Detector, side: int) -> list[Place]:
    """First pass: the clusters of print in the photo, the heaviest first.

    `side` is the longer side (pixels) of the copy that is looked at.
    """
    pixels = pyramid.level(1.0)[0]
    scale = side / max(pixels.shape[:2])
    shrunk, size = pyramid.level(1 / scale)
    wide = max(32, round(pixels.shape[1] * scale))
    high = max(32, round(pixels.shape[0] * scale))
    smaller = cv2.INTER_AREA if scale < size else cv2.INTER_CUBIC
    small = cv2.resize(shrunk, (wide, high), interpolation=smaller)
    probability_map = detector.probability_map(np.asarray(small, np.uint8))
    regions = text_regions_of(
        probability_map, threshold=_THRESHOLD, least_score=_FIRST_SCORE, upright=False
    )
    groups = _groups(regions, probability_map.shape)
    places = [_place(group, scale) for group in groups]
    return sorted(places, key=lambda place: -place.weight)


def lines_at(
    place: Place, pyramid: Pyramid, detector: Detector, pad: float = PAD
) -> list[FoundLine]:
    """Second pass: the lines of one place, from top to bottom of the turned crop.

    `pad`: how far around its marks is looked, in cores of its letters.
    """
    c, s = math.cos(place.direction), math.sin(place.direction)
    turn = np.array([[c, s], [-s, c]])
    turned = place.points @ turn.T
    scale = max(_CORE / place.core, place.least_scale)
    look = _looked_at(
        *_around(turned, place.core, scale, turn, pyramid, pad), turn, scale, pyramid, detector
    )
    for _ in range(_MOST_GROWN):
        # The first pass saw a part of the print: it goes on where the crop ends.
        grown = _grown(look)
        if grown is None:
            break
        look = _looked_at(*grown, turn, look.scale, pyramid, detector)
    cores = [region.core for region in look.regions]
    if cores and np.median(cores) < _SMALLEST_CORE:
        # The first pass saw a block where lines stand: now their height is known, look again.
        core = float(np.median(cores)) / look.scale
        scale = _CORE / core
        around = _around(turned, core, scale, turn, pyramid, pad)
        closer = _looked_at(*around, turn, scale, pyramid, detector)
        if closer.scale > _LARGER * look.scale and closer.regions:
            look = closer
    lines = [
        _line(region, look.low, turn, look.scale, across=region.runs_down, cut=_cut(region, look))
        for region in joined(look.regions)
    ]
    return sorted(lines, key=lambda line: float((line.middle @ turn.T)[:, 1].mean()))


def lines_of_block(
    place: Place, first_scale: float, pyramid: Pyramid, detector: Detector
) -> list[FoundLine]:
    """The lines of a small compact place, looked at upright and closer than in the first pass.

    A block of short lines is one blot from afar, and the direction of a blot says nothing.
    `first_scale` is that of the copy in which the place was seen.
    """
    turn = np.eye(2)
    lines = []
    for closer in _BLOCK_SCALES:
        scale = closer * first_scale
        around = _around(place.points, place.core, scale, turn, pyramid, WIDE_PAD)
        look = _looked_at(*around, turn, scale, pyramid, detector)
        lines += [
            _line(s, look.low, turn, look.scale, across=s.runs_down, cut=_cut(s, look))
            for s in joined(look.regions)
        ]
    return apart(lines)


def is_block(place: Place, side: int) -> bool:
    """Whether a place is small and compact in a photo with this longer side (pixels)."""
    extent = place.points.max(axis=0) - place.points.min(axis=0) + 1.0
    long, short = float(extent.max()), float(extent.min())
    return long < _COMPACT * short and long < _SMALL_SHARE * side


def _around(
    turned: Floats, core: float, scale: float, turn: Floats, pyramid: Pyramid, pad: float = PAD
) -> tuple[Floats, Floats]:
    """Two corners of the crop around these points, in the turned frame.

    A wider one ends where the photo does, and is not taken where it would be so large that it must
    be looked at smaller.
    """
    low, high = turned.min(axis=0), turned.max(axis=0)
    if pad > PAD:
        height, width = pyramid.level(1.0)[0].shape[:2]
        photo = np.array([[0, 0], [width, 0], [width, height], [0, height]], float) @ turn.T
        first = np.maximum(low - pad * core, np.minimum(photo.min(axis=0), low))
        last = np.minimum(high + pad * core, np.maximum(photo.max(axis=0), high))
        if float(np.prod(last - first)) * scale**2 <= _MOST_CROP_PIXELS:
            return first, last
    return low - PAD * core, high + PAD * core


def _grown(look: _Look) -> tuple[Floats, Floats] | None:
    """The corners moved out on the sides that cut a region; None if none does."""
    before, behind = np.zeros(2), np.zeros(2)
    for region in look.regions:
        reach = _GROWS * region.core / look.scale
        first = region.points.min(axis=0) < _TOUCHES
        last = region.points.max(axis=0) > look.size - _TOUCHES
        before = np.maximum(before, np.where(first, reach, 0.0))
        behind = np.maximum(behind, np.where(last, reach, 0.0))
    return (look.low - before, look.high + behind) if before.any() or behind.any() else None


def _cut(region: TextRegion, look: _Look) -> tuple[bool, bool]:
    """Whether the region starts, and ends, where the crop does."""
    near = _TOUCHES + _ROUND * region.core
    first, last = (np.minimum(end, look.size - end).min() < near for end in region.middle(2))
    return bool(first), bool(last)


def _looked_at(
    low: Floats, high: Floats, turn: Floats, scale: float, pyramid: Pyramid, detector: Detector
) -> _Look:
    """The regions between two corners (turned frame), looked at as large as this or smaller."""
    extent = high - low
    affordable = math.sqrt(_MOST_CROP_PIXELS / float(extent[0] * extent[1]))
    scale = min(scale, affordable, _MOST_ENLARGED)
    width, height = (max(32, round(float(e) * scale)) for e in extent)
    pixels, size = pyramid.level(1 / scale)
    to_crop = np.column_stack([turn * (scale / size), -low * scale])
    crop = cv2.warpAffine(
        pixels, to_crop, (width, height), flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE
    )
    probability_map = detector.probability_map(np.asarray(crop, np.uint8))
    regions = text_regions_of(
        probability_map, threshold=_THRESHOLD, least_score=_LEAST_SCORE, upright=True
    )
    return _Look(regions, low, high, scale)


def apart(lines: list[FoundLine]) -> list[FoundLine]:
    """The lines without those that another, better one covers (crops of places overlap).

    Of two as good, the one that its crop does not cut.
    """
    kept: list[FoundLine] = []
    for line in sorted(lines, key=_worth, reverse=True):
        if not any(covered(line, other) for other in kept):
            kept.append(line)
    return kept


def _worth(line: FoundLine) -> float:
    """How much a line is worth keeping: certain, long and whole."""
    return float(line.score * len(line.middle) ** 0.5 * (_CUT_WORTH if any(line.cut) else 1.0))


def only_first(place: Place, lines: list[FoundLine]) -> list[FoundLine]:
    """What looked like a line in the first pass and is not among these lines of closer looks.

    Print as large as the crop, or in a frame of its own, may be plain from afar and lost nearby.
    """
    return [first for first in place.lines if not any(_shown(first, line) for line in lines)]


def _shown(line: FoundLine, other: FoundLine) -> bool:
    """Whether the other line, of about its size or about as sure, shows this one's print."""
    like = 1 / _LIKE < other.height / line.height < _LIKE
    return (like or other.score > _ABOUT_AS_SURE * line.score) and covered(line, other)


def covered(line: FoundLine, other: FoundLine) -> bool:
    """Whether most of a line runs along the other."""
    some = line.middle[:: max(1, len(line.middle) // 8)]
    gaps = some[:, None, :] - other.middle[None, :, :]
    near = np.hypot(gaps[..., 0], gaps[..., 1]).min(axis=1)
    return bool((near < _SAME_INK * max(line.height, other.height)).mean() > _MOSTLY)


def runs_into(line: FoundLine, other: FoundLine) -> bool:
    """Whether the other piece of print, of about its size, stands right behind the line's end."""
    if not 0.5 < other.height / line.height < 2.0:
        return False
    ahead = line.middle[-1] - line.middle[-2]
    ahead = ahead / max(float(np.hypot(*ahead)), 1e-6)
    # The ends of both were drawn out beyond the ink.
    gaps = other.middle[[0, len(other.middle) // 2, -1]] - line.middle[-1]
    along = gaps @ ahead
    aside = np.abs(gaps @ np.array([-ahead[1], ahead[0]]))
    near = int(np.argmin(np.hypot(gaps[:, 0], gaps[:, 1])))
    behind = -line.height < along[near] < _BESIDE * line.height and along.max() > 0
    return bool(behind and aside[near] < _ASIDE * line.height)


def ahead_of(line: FoundLine) -> FoundLine:
    """The ground right before a line's first letter, where another letter would stand."""
    back = line.middle[0] - line.middle[1]
    back = back / max(float(np.hypot(*back)), 1e-6) * line.height
    places = np.linspace(_LETTER_AHEAD, 0.0, 5)[:, None]
    return replace(line, middle=line.middle[0] + places * back)


def cut_off(line: FoundLine, width: int, height: int) -> tuple[bool, bool, bool]:
    """Whether the line's start and its end stand at the border of a photo of this size (or of the
    crop that showed it), and whether the photo's border runs along the line.
    """
    away = np.minimum(line.middle, np.array([width, height]) - line.middle).min(axis=1)
    at_border = away < _AT_BORDER * line.height
    first, last = bool(at_border[0]) or line.cut[0], bool(at_border[-1]) or line.cut[1]
    return first, last, bool(at_border.mean() > 0.5)


def _line(
    region: TextRegion,
    low: Floats,
    turn: Floats,
    scale: float,
    *,
    across: bool,
    cut: tuple[bool, bool] = (False, False),
) -> FoundLine:
    reach = _DRAWN_OUT * region.height
    u = np.linspace(region.start - reach, region.end + reach, max(5, int(region.length / 6)))
    middle = _straight_ends(region, u) / scale + low
    height = region.height / scale
    return FoundLine(middle @ turn, height, region.core / scale, region.score, across, cut)


def _straight_ends(region: TextRegion, u: Floats) -> Floats:
    """The middle line at u; beyond its ends it runs on straight, not along the polynomial."""
    inside = np.clip(u, region.start, region.end)
    slope = np.polyval(np.polyder(region.curve), inside)
    v = np.polyval(region.curve, inside) + slope * (u - inside)
    c, s = math.cos(region.angle), math.sin(region.angle)
    return region.origin + np.column_stack([c * u - s * v, s * u + c * v])


def _groups(regions: list[TextRegion], shape: tuple[int, ...]) -> list[list[TextRegion]]:
    """Regions whose surroundings, a letter or two wide, touch."""
    if not regions:
        return []
    canvas = np.zeros(shape[:2], np.uint8)
    for region in regions:
        reach = max(3, round(2 * _AROUND * region.height))
        line = np.round(region.middle()).astype(np.int32)
        cv2.polylines(canvas, [line.reshape(-1, 1, 2)], isClosed=False, color=1, thickness=reach)
    _, labels = cv2.connectedComponents(canvas)
    groups: dict[int, list[TextRegion]] = {}
    for region in regions:
        x, y = np.clip(np.round(region.middle(3)[1]), 0, (shape[1] - 1, shape[0] - 1)).astype(int)
        groups.setdefault(int(labels[y, x]), []).append(region)
    return list(groups.values())


def _place(group: list[TextRegion], scale: float) -> Place:
    doubled = sum(
        max(one.length / one.core - _SQUARE, _LEAST_SAY) * one.length * np.exp(2j * one.angle)
        for one in group
    )
    lengths = np.array([region.length for region in group])
    cores = np.array([region.core for region in group])
    order = np.argsort(cores)
    share = np.cumsum(lengths[order]) / lengths.sum()
    core = float(cores[order][np.searchsorted(share, _THINNEST)])
    largest = max(group, key=lambda region: region.core * region.length)
    block = largest.core > _THICK and largest.length < _SHORT * largest.core
    direction = float(np.angle(doubled)) / 2
    return Place(
        points=np.vstack([region.points for region in group]) / scale,
        direction=direction,
        core=core / scale,
        weight=float(lengths.sum()) / scale,
        score=max(region.score for region in group),
        least_scale=_CLOSER * scale if block else 0.0,
        lines=tuple(
            _line(region, np.zeros(2), np.eye(2), scale, across=_across(region.angle, direction))
            for region in group
            if region.score >= _STANDS_ALONE
        ),
    )


def _across(angle: float, direction: float) -> bool:
    """Whether a line at this angle runs at about a quarter turn to this direction."""
    return abs(math.sin(angle - direction)) > math.sin(math.pi / 4)
