"""Measured facts of a photo that decide whether its print can be read, one advice each.

They are measured on the lines that were found, in x-heights and in the photo's own pixels. What a
phone says before it sends (`web/src/photo/first-look.ts`) has the same names of facts and states
(`photo.values`), but knows no lines: it looks at a reduced copy, and its limits hold for that.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from inkwitness.photo.values import Photo, PhotoFact, Pixels, Polygon, QualityFact

# Limits fitted by `python -m tests.bench quality` on 330 made photos of two generators and 617
# spoilt copies of every ninth of them: where fewer than 70 % of the legible marks come out exact.
# In brackets: the share exact of the unspoilt photos beyond the limit, against those within it.
# They advise: 91 of the 330 are named for something (78 % exact, against 94 %). Scraps of a letter
# or two counted then as lines; the reading and the fit leave them out since.

#: Edge width, 10 % to 90 %, in x-heights. Fitted 0.27 with blurred copies (80 % against 92 %).
#: One blurred copy in eight is missed: the few lines found there are far too large.
BLUR: Final = 0.28
#: Share of the print area burnt out. Fitted 0.17 with copies burnt out on the print. Unspoilt
#: photos are hardly told apart (81 % against 92 %): a patch beside the letters counts as well.
#: Of the copies burnt out over more than half of the print, two in three are named too bright.
GLARE: Final = 0.17
#: Luminance, out of 255, that 95 % of the print area stays under. Fitted 31 (legible marks) and 64
#: (all marks) on darkened copies, this lies between; no unspoilt photo was so dark.
TOO_DARK: Final = 45.0
#: Luminance, out of 255, of the ink: washed out above. Fitted 170 with brightened copies, 175 (all
#: marks) and 197 without; faint ink looks the same and reads as badly (70 % against 92 %).
TOO_BRIGHT: Final = 175.0
#: x-height in pixels: the floor of the reader. Of lines of print made smaller and nothing else
#: 95 % were read exactly at 7, 82 % at 6, 78 % at 5, 50 % at 4. (On made photos 9.9 parts the badly
#: read from the rest: print photographed small is blurred as well, and that is named as blur.)
SMALL_LETTERS: Final = 7.0
#: Any line that ends at the border; nothing to fit (57 % against 92 %). Of 6 made photos whose
#: print the border cuts 4 are found, and of 234 others 10 are named.
CUT_OFF: Final = 0.5

#: Luminance from which a patch of the reduced copy is burnt out, out of 255.
_BURNT = 250
#: Longer side (pixels) of the copy on which patches are looked at.
_REDUCED = 400
#: Lines are looked at with letters about this high (pixels): an edge is measured in shares of it.
_LETTERS = 12.0
#: As many lines as are looked at closely, from the smallest to the largest.
_MOST_LINES = 8
#: Width between 10 % and 90 % of a Gaussian edge, in standard deviations (normal quantiles).
_EDGE = 2.563
#: Sum of the positive weights of a Scharr kernel times its reach: one grey value a pixel gives 1.
_SCHARR = 32.0
#: Variance (square pixels) that the slope's two-pixel reach adds to an edge, and that halving adds.
_OF_SLOPE, _OF_HALVING = 1 / 3, 1 / 12
#: Flatter than this (grey values a pixel) is ground, and has no direction.
_FLAT = 1.0
#: How far from an edge pixel (x-heights) the two sides of its step are looked for: further
#: would take in the next stroke, nearer would cut a blurred step short.
_STEP_REACH = 0.3
#: Fewer edge pixels of one direction are corners, not strokes.
_FEW = 30

Floats = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class _Look:
    """A line looked at closely: edge width in x-heights (None: no edges), luminance of its ink."""

    edge: float | None
    ink: float


def photo_facts(photo: Photo, lines: Sequence[tuple[Polygon, float]]) -> tuple[QualityFact, ...]:
    """Facts of a photo from its lines (polygon in pixels, x-height in pixels).

    Without a line only the light of the whole photo is measured; the others are `not_measured`.
    """
    grey = np.asarray(cv2.cvtColor(photo.pixels, cv2.COLOR_BGR2GRAY), np.uint8)
    looks = [look for line in _spread(lines) if (look := _look(grey, *line)) is not None]
    scale = min(1.0, _REDUCED / max(grey.shape))
    small = np.asarray(
        cv2.resize(grey, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA), np.uint8
    )
    area = small[_around(lines, small, scale)] if lines else small.ravel()
    edges = [look.edge for look in looks if look.edge is not None]
    ink = np.median([look.ink for look in looks]) if looks else np.percentile(area, 5)
    return (
        _fact("blur", float(np.median(edges)) if edges else None, "x-heights", BLUR),
        _fact("glare", _glare(area) if lines else None, "of the print", GLARE),
        _fact("too_dark", float(np.percentile(area, 95)), "of 255", TOO_DARK, below=True),
        _fact("too_bright", float(ink), "of 255", TOO_BRIGHT),
        _fact("small_letters", _smallest(lines), "px", SMALL_LETTERS, below=True),
        _fact("cut_off", _cut(lines, photo) if lines else None, "lines", CUT_OFF),
    )


def _fact(
    fact: PhotoFact, value: float | None, unit: str, limit: float, *, below: bool = False
) -> QualityFact:
    """Poor beyond the limit (`below`: under it)."""
    if value is None:
        return QualityFact(fact, 0.0, unit, limit, "not_measured")
    if value < limit if below else value > limit:
        return QualityFact(fact, round(value, 3), unit, limit, "poor", f"advice_{fact}")
    return QualityFact(fact, round(value, 3), unit, limit, "good")


def _spread(lines: Sequence[tuple[Polygon, float]]) -> list[tuple[Polygon, float]]:
    """Not more lines than are looked at closely, evenly from the smallest to the largest."""
    ordered = sorted(lines, key=lambda line: line[1])
    if len(ordered) <= _MOST_LINES:
        return ordered
    return [ordered[i] for i in np.linspace(0, len(ordered) - 1, _MOST_LINES).round().astype(int)]


def _look(grey: Pixels, polygon: Polygon, x_height: float) -> _Look | None:
    """A line looked at closely; None where too little of it is in the photo."""
    ring = np.asarray(polygon, np.float32)
    low = np.maximum(np.floor(ring.min(axis=0)).astype(int) - 2, 0)
    end = np.ceil(ring.max(axis=0)).astype(int) + 3
    part = grey[low[1] : max(end[1], 0), low[0] : max(end[0], 0)]
    ring = np.asarray(ring - low, np.float32)
    shrink = max(1, int(x_height / _LETTERS))
    size = (part.shape[1] // shrink, part.shape[0] // shrink)
    if min(size) < 4:
        return None
    if shrink > 1:
        part = np.asarray(cv2.resize(part, size, interpolation=cv2.INTER_AREA), np.uint8)
        ring = np.asarray((ring + 0.5) / shrink - 0.5, np.float32)
    inside = _filled(part.shape, [ring])
    if inside.sum() < _FEW:
        return None
    edge = _edge(part.astype(np.float32), inside, x_height / shrink, halved=shrink > 1)
    ink = float(np.percentile(part[inside], 5))
    return _Look(None if edge is None else edge * shrink / x_height, ink)


def _edge(
    light: Floats, inside: NDArray[np.bool_], x_height: float, *, halved: bool
) -> float | None:
    """Width (pixels, 10 % to 90 %) of the steepest edges of the direction where they are widest.

    A step blurred by a Gaussian of deviation s has the slope `step / (s * sqrt(2 pi))` in its
    middle. Direction by direction: a hand that moved blurs only the strokes across its way.
    """
    across = cv2.Scharr(light, cv2.CV_32F, 1, 0) / _SCHARR
    down = cv2.Scharr(light, cv2.CV_32F, 0, 1) / _SCHARR
    reach = max(2, round(_STEP_REACH * x_height))
    near = np.ones((2 * reach + 1, 2 * reach + 1), np.uint8)
    step = (cv2.dilate(light, near) - cv2.erode(light, near))[inside]
    across, down = across[inside], down[inside]
    slope = np.hypot(across, down)
    direction = np.floor(np.arctan2(down, across) * 4 / np.pi + 0.5).astype(int) % 4
    widest = 0.0
    for own in ((direction == k) & (slope >= _FLAT) for k in range(4)):
        if own.sum() < _FEW:
            continue
        steep = own & (slope >= np.percentile(slope[own], 90))
        widest = max(widest, float(np.median(step[steep] / slope[steep])))
    if widest == 0.0:
        return None
    added = _OF_SLOPE + (_OF_HALVING if halved else 0.0)
    return _EDGE * float(np.sqrt(max(widest**2 / (2 * np.pi) - added, 0.0)))


def _around(
    lines: Sequence[tuple[Polygon, float]], small: Pixels, scale: float
) -> NDArray[np.bool_]:
    """Where the print is in the reduced copy: what all lines span, an x-height more around."""
    corners = np.concatenate([np.asarray(polygon, np.float32) for polygon, _ in lines]) * scale
    span = _filled(small.shape, [np.asarray(cv2.convexHull(corners)[:, 0], np.float32)])
    more = max(1, round(float(np.median([x_height for _, x_height in lines])) * scale))
    around = cv2.dilate(span.astype(np.uint8), np.ones((2 * more + 1, 2 * more + 1), np.uint8)) > 0
    return around if around.any() else np.ones(small.shape, np.bool_)


def _filled(shape: tuple[int, ...], rings: Sequence[NDArray[np.float32]]) -> NDArray[np.bool_]:
    mask = np.zeros(shape, np.uint8)
    cv2.fillPoly(mask, [np.round(ring).astype(np.int32) for ring in rings], 1)
    return mask > 0


def _glare(area: NDArray[np.uint8]) -> float | None:
    """Share of the print area that is burnt out; None where its ground is too."""
    if np.median(area) >= _BURNT:
        return None
    return float(np.mean(area >= _BURNT))


def _smallest(lines: Sequence[tuple[Polygon, float]]) -> float | None:
    """The x-height (pixels) of the smallest letters, a tenth of the lines left out."""
    heights = sorted(x_height for _, x_height in lines)
    return heights[len(heights) // 10] if heights else None


def _cut(lines: Sequence[tuple[Polygon, float]], photo: Photo) -> float:
    """How many lines end at the photo's border: within half an x-height of it."""
    return float(sum(_ends_at_border(polygon, x_height, photo) for polygon, x_height in lines))


def _ends_at_border(polygon: Polygon, x_height: float, photo: Photo) -> bool:
    ring = np.asarray(polygon)
    half = len(ring) // 2
    ends = np.array([ring[0] + ring[-1], ring[half - 1] + ring[half]]) / 2
    far = np.array([photo.width - 1, photo.height - 1]) - ends
    return bool(min(ends.min(), far.min()) < 0.5 * x_height)
