"""Shapes of respirators and packs as height fields over a plane, in millimetres.

x runs right, y down, z towards the viewer. Outside the outline the height falls below zero, so
that the zero level of the field is the outline.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from tests.renderer.printed.content import Rng
from tests.renderer.things.noise import Array, fractal, mix, smooth

STEP = 0.7  # mm between grid points
MARGIN = 9.0  # mm of grid around the outline


@dataclass(frozen=True, slots=True)
class Site:
    """A place for print: centre (x, y) in mm, room (wide, high) in mm, turn in degrees."""

    x: float
    y: float
    wide: float
    high: float
    turn: float = 0.0


@dataclass(frozen=True, slots=True)
class Weld:
    """A line of welds or a seam: points in mm, dash and gap in mm (gap 0: unbroken), width."""

    points: Array
    dash: float
    gap: float
    width: float
    depth: float


@dataclass(frozen=True, slots=True)
class Surface:
    """A shape: its height field, print sites and drawn features."""

    shape: str
    height: Array
    half_x: float
    half_y: float
    sites: tuple[Site, ...]
    welds: tuple[Weld, ...]
    outline: Array  # (n, 2) mm
    anchors: tuple[tuple[float, float], ...]  # where straps are fixed, mm
    nose: Array | None  # polyline of the nose clip, mm
    valve: tuple[float, float, float] | None  # x, y, radius
    rim_mm: float

    @property
    def top(self) -> float:
        """Highest point, mm."""
        return float(self.height.max())


def _grid(half_x: float, half_y: float) -> tuple[Array, Array]:
    nx, ny = int(2 * half_x / STEP) + 1, int(2 * half_y / STEP) + 1
    x = np.linspace(-half_x, half_x, nx, dtype=np.float32)
    y = np.linspace(-half_y, half_y, ny, dtype=np.float32)
    return tuple(np.meshgrid(x, y))


def _inside(outline: Array, half_x: float, half_y: float, shape: tuple[int, int]) -> Array:
    """Signed distance in mm to a closed outline, positive inside."""
    scale = 4.0 / STEP
    mask = np.zeros((shape[0] * 2, shape[1] * 2), np.uint8)
    corner = np.array([half_x, half_y], np.float32)
    at = ((outline + corner) * (scale * 0.5 * 4)).astype(np.int32)
    cv2.fillPoly(mask, [at], 255, cv2.LINE_AA, 2)
    solid = (mask > 127).astype(np.uint8)
    inner = cv2.distanceTransform(solid, cv2.DIST_L2, 5)
    outer = cv2.distanceTransform(1 - solid, cv2.DIST_L2, 5)
    signed = cv2.resize(inner - outer, shape[::-1], interpolation=cv2.INTER_AREA)
    return (cv2.GaussianBlur(signed, (0, 0), 0.7) * (STEP / 2)).astype(np.float32)


def _closed(points: list[tuple[float, float]], soft: float) -> Array:
    """Smooth closed curve through a polygon with rounded corners, about 240 points."""
    base = np.array(points, np.float32)
    dense = []
    for a, b in zip(base, np.roll(base, -1, axis=0), strict=True):
        n = max(2, int(np.hypot(*(b - a)) / 1.0))
        dense.append(a + (b - a) * np.linspace(0, 1, n, endpoint=False, dtype=np.float32)[:, None])
    curve = np.concatenate(dense)
    width = max(1, int(soft)) | 1
    kernel = np.hanning(width + 2)[1:-1]
    kernel /= kernel.sum()
    padded = np.concatenate([curve[-width:], curve, curve[:width]])
    smoothed = np.stack([np.convolve(padded[:, i], kernel, "same") for i in (0, 1)], axis=1)
    return smoothed[width:-width].astype(np.float32)


def _finish(
    rng: Rng, shape: str, outline: Array, raw: Array, signed: Array, half: tuple[float, float],
    *, wrinkle: float, edge: float, sites: list[Site], welds: list[Weld],
    anchors: list[tuple[float, float]], nose: Array | None = None,
    valve: tuple[float, float, float] | None = None, rim: float = 5.0,
) -> Surface:  # fmt: skip
    height = raw.copy()
    if wrinkle > 0:
        high, wide = height.shape
        height += fractal(rng, high, wide, mix(rng, 3, 7), 3) * np.float32(wrinkle)
    if valve:
        x, y = _grid(*half)
        r = np.hypot(x - valve[0], y - valve[1])
        level = np.float32(np.median(height[r < valve[2]])) if np.any(r < valve[2]) else 0
        lift = np.clip((valve[2] - r) / 1.5, 0, 1)
        height = height * (1 - lift) + (level + np.float32(mix(rng, 3, 6))) * lift
    base = np.float32(edge)
    inside = np.clip(signed / 1.2, 0, 1)
    outside = np.minimum(signed, 0) * np.float32(1.3)
    height = np.where(signed > 0, np.maximum(height, 0) * inside + base * inside, outside)
    return Surface(shape, height.astype(np.float32), half[0], half[1], tuple(sites), tuple(welds),
                   outline, tuple(anchors), nose, valve, rim)  # fmt: skip


def _offset(outline: Array, inset: float) -> Array:
    """Outline moved inwards by `inset` mm, each point towards the inside normal."""
    ahead, behind = np.roll(outline, -2, axis=0), np.roll(outline, 2, axis=0)
    along = ahead - behind
    normal = np.stack([-along[:, 1], along[:, 0]], axis=1)
    normal /= np.linalg.norm(normal, axis=1, keepdims=True) + 1e-6
    centre = outline.mean(axis=0)
    if np.mean(np.sum(normal * (centre - outline), axis=1)) < 0:
        normal = -normal
    moved = outline + normal * inset
    return np.concatenate([moved, moved[:1]]).astype(np.float32)


def _rim_welds(rng: Rng, outline: Array, rows: int, inset: float) -> list[Weld]:
    dash, gap = mix(rng, 0.8, 2.4), mix(rng, 0.8, 1.8)
    return [Weld(_offset(outline, inset + 1.8 * k), dash, gap, mix(rng, 0.6, 1.0), 1.0)
            for k in range(rows)]  # fmt: skip


def dome(rng: Rng) -> Surface:
    """A moulded cup with a flat rim, seen from the front."""
    a, b = mix(rng, 56, 68), mix(rng, 46, 60)
    pear = mix(rng, -0.05, 0.22)
    power = mix(rng, 2.0, 2.6)
    t = np.linspace(0, 2 * np.pi, 260, endpoint=False)
    c, s = np.cos(t), np.sin(t)
    ox = a * np.sign(c) * np.abs(c) ** (2 / power) * (1 + pear * s)
    oy = b * np.sign(s) * np.abs(s) ** (2 / power)
    oy -= mix(rng, 3, 12) * np.exp(-((ox / 16.0) ** 2)) * (s < 0)
    outline = np.stack([ox, oy], axis=1).astype(np.float32)
    half = (float(np.abs(ox).max()) + MARGIN, float(np.abs(oy).max()) + MARGIN)
    x, y = _grid(*half)
    signed = _inside(outline, *half, x.shape)
    rim = mix(rng, 3.5, 7.5)
    deep = np.clip((signed - rim) / (signed.max() - rim), 0, 1)
    tall = mix(rng, 26, 44)
    round_ = mix(rng, 1.6, 2.4)
    raw = tall * (1 - (1 - deep) ** round_) ** mix(rng, 0.6, 0.95)
    raw += (y / half[1]) * deep * mix(rng, -2, 5)
    if rng.random() < 0.4:  # a ridge round the cup
        at = mix(rng, 0.2, 0.45)
        raw += mix(rng, 0.5, 1.5) * np.exp(-(((deep - at) / 0.05) ** 2))
    raw = cv2.GaussianBlur(raw, (0, 0), 2.0)
    valve = None
    if rng.random() < 0.4:
        valve = (mix(rng, -4, 4), mix(rng, -8, 6), mix(rng, 11, 16))
    way = 1 if rng.random() < 0.5 else -1
    if valve is None:
        sites = [Site(mix(rng, -4, 4), b * mix(rng, -0.15, 0.3), a * 1.15, b * 0.9)] * 2
        sites.append(Site(mix(rng, -3, 3), b * mix(rng, 0.30, 0.55), a * 1.05, b * 0.55))
        sites.append(Site(a * 0.42 * way, b * mix(rng, 0, 0.4), a * 0.75, b * 0.7,
                          mix(rng, -35, 35)))  # fmt: skip
    else:  # below the valve, or on a cheek beside it
        start, end = valve[1] + valve[2] + 1.5, b * 0.92
        sites = [Site(mix(rng, -3, 3), (start + end) / 2, a * 1.1, end - start)] * 2
        inner, outer = abs(valve[0]) + valve[2] + 1.5, a * 0.85
        sites.append(Site(way * (inner + outer) / 2, b * mix(rng, 0, 0.25), outer - inner, b * 0.7,
                          mix(rng, -8, 8)))  # fmt: skip
    nose_x = np.linspace(-26, 26, 15)
    nose_y = -b * mix(rng, 0.62, 0.78) + 0.010 * nose_x**2 * mix(rng, 0.4, 1.4)
    nose = np.stack([nose_x, nose_y], axis=1).astype(np.float32) if rng.random() < 0.6 else None
    anchors = [(-a * 0.93, -b * 0.28), (a * 0.93, -b * 0.28), (-a * 0.9, b * 0.34),
               (a * 0.9, b * 0.34)]  # fmt: skip
    welds = _rim_welds(rng, outline, int(rng.integers(1, 3)), rim * 0.35)
    return _finish(rng, "dome", outline, raw, signed, half, wrinkle=mix(rng, 0.0, 0.35), edge=0.8,
                   sites=sites, welds=welds, anchors=anchors, nose=nose, valve=valve,
                   rim=rim)  # fmt: skip


def fold_vertical(rng: Rng) -> Surface:
    """A flat-fold mask with a fold down the middle, opened a little or lying on its side."""
    w, h = mix(rng, 56, 66), mix(rng, 66, 76)
    half_only = rng.random() < 0.4
    if half_only:  # lying folded: one cheek is seen, the fold is its edge
        points = [(-w * 0.72, -h * 0.30), (-w * 0.05, -h * 0.74), (w * 0.16, -h * 0.76),
                  (w * 0.8, -h * 0.24), (w * 0.84, h * 0.02), (w * 0.36, h * 0.62),
                  (w * 0.18, h * 0.66), (-w * 0.72, h * 0.30)]  # fmt: skip
    else:
        points = [(-w, -h * 0.28), (-w * 0.32, -h * 0.66), (0, -h * 0.76), (w * 0.32, -h * 0.66),
                  (w, -h * 0.28), (w, h * 0.26), (w * 0.26, h * 0.66), (0, h * 0.72),
                  (-w * 0.26, h * 0.66), (-w, h * 0.26)]  # fmt: skip
    outline = _closed(points, mix(rng, 8, 18))
    half = (
        float(np.abs(outline[:, 0]).max()) + MARGIN,
        float(np.abs(outline[:, 1]).max()) + MARGIN,
    )
    x, y = _grid(*half)
    signed = _inside(outline, *half, x.shape)
    if half_only:
        raw = np.clip(signed, 0, 12) ** 0.5 * mix(rng, 1.0, 2.0)
        welds = [Weld(np.array([[-w * 0.35, -h * 0.30], [w * 0.35, -h * 0.33]], np.float32),
                      2.2, 1.6, 1.0, 1.0)]  # fmt: skip
        anchors = [(-w * 0.66, -h * 0.22), (-w * 0.66, h * 0.22)]
        sites = [Site(mix(rng, -8, 8), mix(rng, 0, 14), w * 1.0, h * 0.6)] * 3
        sites.append(Site(mix(rng, -4, 10), mix(rng, 4, 16), h * 0.6, w * 0.9, 90.0))
    else:
        tall = mix(rng, 14, 34)
        ridge = np.minimum(np.abs(x) / w, 1.0)
        raw = tall * (1 - ridge) ** mix(rng, 0.9, 1.25)
        raw *= 0.55 + 0.45 * np.clip(1 - np.abs(y + h * 0.05) / h, 0, 1) ** 0.5
        raw = cv2.GaussianBlur(raw, (0, 0), mix(rng, 0.8, 3.0))
        k = mix(rng, 0.28, 0.36)
        welds = [
            Weld(np.array([[-w * 0.8, -h * k], [-w * 0.15, -h * (k + 0.03)]], np.float32), 2.2, 1.6,
                 1.0, 1.0),
            Weld(np.array([[w * 0.15, -h * (k + 0.03)], [w * 0.8, -h * k]], np.float32), 2.2, 1.6,
                 1.0, 1.0),
            Weld(np.array([[0, -h * 0.72], [0, h * 0.7]], np.float32), 1.0, 0.0, 0.9, 1.2),
        ]  # fmt: skip
        if rng.random() < 0.7:
            low = h * mix(rng, 0.26, 0.36)
            welds.append(Weld(np.array([[-w * 0.8, low], [-w * 0.1, low + 4]], np.float32),
                              2.2, 1.6, 1.0, 1.0))  # fmt: skip
            welds.append(Weld(np.array([[w * 0.1, low + 4], [w * 0.8, low]], np.float32),
                              2.2, 1.6, 1.0, 1.0))  # fmt: skip
        side = 1 if rng.random() < 0.5 else -1
        anchors = [(-w * 0.95, -h * 0.2), (-w * 0.95, h * 0.2), (w * 0.95, -h * 0.2),
                   (w * 0.95, h * 0.2)]  # fmt: skip
        sites = [Site(side * w * 0.48, mix(rng, -8, 12), w * 0.78, h * 0.55, mix(rng, -6, 6))] * 3
        sites.append(Site(side * w * 0.45, mix(rng, -4, 8), h * 0.6, w * 0.7, 90.0))
    nose = None
    if rng.random() < 0.35:
        nose = np.array([[-24, -h * 0.52], [0, -h * 0.60], [24, -h * 0.52]], np.float32)
    valve = None
    if rng.random() < 0.2 and not half_only:
        valve = (-sites[0].x, mix(rng, -2, 8), mix(rng, 11, 14))
    welds += _rim_welds(rng, outline, int(rng.integers(1, 3)), mix(rng, 2, 3.5))
    return _finish(rng, "fold_vertical", outline, raw, signed, half, wrinkle=mix(rng, 0.1, 0.5),
                   edge=0.7, sites=sites, welds=welds, anchors=anchors, nose=nose,
                   valve=valve)  # fmt: skip


def fold_panels(rng: Rng) -> Surface:
    """A flat-fold mask of three panels with two horizontal folds."""
    w, h = mix(rng, 80, 96), mix(rng, 48, 62)
    points = [(-w, -4), (-w * 0.7, -h * 0.55), (-w * 0.2, -h * 0.9), (w * 0.2, -h * 0.9),
              (w * 0.7, -h * 0.55), (w, -4), (w, 6), (w * 0.62, h * 0.66), (w * 0.2, h * 0.92),
              (-w * 0.2, h * 0.92), (-w * 0.62, h * 0.66), (-w, 6)]  # fmt: skip
    outline = _closed(points, mix(rng, 12, 24))
    half = (
        float(np.abs(outline[:, 0]).max()) + MARGIN,
        float(np.abs(outline[:, 1]).max()) + MARGIN,
    )
    x, y = _grid(*half)
    signed = _inside(outline, *half, x.shape)
    up, low = -h * mix(rng, 0.30, 0.42), h * mix(rng, 0.32, 0.44)
    tall = mix(rng, 12, 28)
    raw = np.interp(y, [-h, up, low, h], [0, tall * 0.92, tall, 0]).astype(np.float32)
    raw *= np.clip(1 - (np.abs(x) / w) ** mix(rng, 1.6, 2.6), 0, 1)
    raw = cv2.GaussianBlur(raw, (0, 0), mix(rng, 0.8, 2.0))
    welds = [
        Weld(np.stack([np.linspace(-w * 0.82, w * 0.82, 30), np.full(30, level)], axis=1).astype(
            np.float32), 1.0, 0.0, 0.8, 1.0) for level in (up, low)
    ]  # fmt: skip
    welds += _rim_welds(rng, outline, int(rng.integers(1, 3)), mix(rng, 2, 3.5))
    middle = (up + low) / 2
    sites = [Site(mix(rng, -8, 8), middle, w * 1.1, (low - up) * 0.92)] * 2
    sites.append(Site(mix(rng, 10, 30), middle, w * 0.8, (low - up) * 0.9))
    sites.append(Site(mix(rng, -6, 6), up - h * 0.18, w * 0.8, h * 0.32))
    valve = None
    if rng.random() < 0.3:
        valve = (0.0, middle, 12.0)
        sites = [Site(s * w * 0.45, middle, w * 0.6, (low - up) * 0.9) for s in (-1, 1)]
    nose = np.stack([np.linspace(-30, 30, 9), np.full(9, -h * 0.78)], axis=1).astype(np.float32)
    anchors = [(-w * 0.92, -3), (w * 0.92, -3), (-w * 0.9, 6), (w * 0.9, 6)]
    return _finish(rng, "fold_panels", outline, raw, signed, half, wrinkle=mix(rng, 0.1, 0.5),
                   edge=0.7, sites=sites, welds=welds, anchors=anchors, nose=nose,
                   valve=valve)  # fmt: skip


def duckbill(rng: Rng) -> Surface:
    """A duckbill or boat: a trapezoid pouch of cloth, a little open."""
    w, h = mix(rng, 78, 92), mix(rng, 40, 50)
    points = [(-w, -h), (w, -h), (w * 0.66, h * 0.86), (w * 0.5, h), (-w * 0.5, h),
              (-w * 0.66, h * 0.86)]  # fmt: skip
    outline = _closed(points, mix(rng, 6, 14))
    half = (
        float(np.abs(outline[:, 0]).max()) + MARGIN,
        float(np.abs(outline[:, 1]).max()) + MARGIN,
    )
    x, y = _grid(*half)
    signed = _inside(outline, *half, x.shape)
    tall = mix(rng, 6, 20)
    raw = tall * np.clip(1 - (np.abs(x) / w) ** 2, 0, 1) * np.clip(1 - ((y - 4) / h) ** 2, 0, 1)
    welds = _rim_welds(rng, outline, int(rng.integers(1, 3)), mix(rng, 2, 4))
    sites = [Site(mix(rng, -8, 8), mix(rng, -8, 10), w * 1.0, h * 1.1)] * 3
    nose = np.stack([np.linspace(-34, 34, 9), np.full(9, -h * 0.82)], axis=1).astype(np.float32)
    anchors = [(-w * 0.92, -h * 0.85), (w * 0.92, -h * 0.85)]
    return _finish(rng, "duckbill", outline, raw, signed, half, wrinkle=mix(rng, 0.2, 0.7),
                   edge=0.7, sites=sites, welds=welds, anchors=anchors, nose=nose)  # fmt: skip


def pouch(rng: Rng) -> Surface:
    """A flat plastic pouch with crimped ends."""
    w, h = mix(rng, 58, 80), mix(rng, 74, 100)
    outline = _closed([(-w, -h), (w, -h), (w, h), (-w, h)], 3)
    half = (w + MARGIN, h + MARGIN)
    x, _y = _grid(*half)
    signed = _inside(outline, *half, x.shape)
    raw = mix(rng, 5, 13) * (1 - np.exp(-np.clip(signed - 6, 0, None) / mix(rng, 12, 25)))
    crease = np.abs(smooth(rng, *x.shape, mix(rng, 3, 7))) ** 0.6
    raw += crease * np.clip(signed / 20, 0, 1) * mix(rng, 0.8, 2.4)
    ends = [np.array([[-w, s * (h - d)], [w, s * (h - d)]], np.float32)
            for s in (-1, 1) for d in (3.0, 5.0, 7.0)]  # fmt: skip
    welds = [Weld(e, 0.9, 0.7, 1.1, 0.8) for e in ends]
    sites = [Site(mix(rng, -6, 6), mix(rng, -20, 25), w * 1.35, h * 0.9)] * 2
    return _finish(rng, "pouch", outline, raw, signed, half, wrinkle=mix(rng, 0.15, 0.5), edge=0.4,
                   sites=sites, welds=welds, anchors=[])  # fmt: skip


def carton(rng: Rng) -> Surface:
    """A carton lying on its back; the print is on the face that looks up."""
    w, h = mix(rng, 60, 95), mix(rng, 50, 75)
    outline = _closed([(-w, -h), (w, -h), (w, h), (-w, h)], 1)
    half = (w + MARGIN, h + MARGIN)
    x, _y = _grid(*half)
    signed = _inside(outline, *half, x.shape)
    tall = mix(rng, 40, 80)
    raw = np.full_like(x, tall) + fractal(rng, *x.shape, 3, 2) * np.float32(mix(rng, 0.1, 0.5))
    welds = [Weld(np.array([[-w, -h * 0.92], [w, -h * 0.92]], np.float32), 1.0, 0.0, 0.5, 0.5)]
    sites = [Site(mix(rng, -10, 10), mix(rng, -6, 12), w * 1.5, h * 1.3)]
    return _finish(rng, "carton", outline, raw, signed, half, wrinkle=0.0, edge=0.0, sites=sites,
                   welds=welds, anchors=[])  # fmt: skip


SHAPES = {
    "dome": dome, "fold_vertical": fold_vertical, "fold_panels": fold_panels,
    "duckbill": duckbill, "pouch": pouch, "carton": carton,
}  # fmt: skip
