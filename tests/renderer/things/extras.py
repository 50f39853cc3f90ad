"""Things around a unit: its shadow, straps, fingers, a head form."""

from __future__ import annotations

import cv2
import numpy as np

from tests.renderer.lens.camera import Camera
from tests.renderer.printed.content import Rng
from tests.renderer.things.noise import Array, mix, smooth
from tests.renderer.things.unit import Unit

SKIN = ((0.38, 0.50, 0.72), (0.30, 0.42, 0.62), (0.22, 0.33, 0.52), (0.13, 0.20, 0.34),
        (0.07, 0.11, 0.20), (0.45, 0.57, 0.78))  # fmt: skip
GLOVE = ((0.62, 0.36, 0.14), (0.80, 0.76, 0.72), (0.07, 0.07, 0.07), (0.42, 0.36, 0.62))


def cast_shadow(
    picture: Array, cover: Array, box: tuple[int, int, int, int], shift: tuple[float, float],
    soft: float, strength: float,
) -> None:  # fmt: skip
    """Darken `picture` where a unit's cover, moved by `shift` pixels and blurred, falls."""
    high, wide = picture.shape[:2]
    small = 4
    mask = np.zeros((high // small + 1, wide // small + 1), np.float32)
    left, top, right, bottom = (v // small for v in box)
    part = cv2.resize(cover, (max(1, right - left), max(1, bottom - top)),
                      interpolation=cv2.INTER_AREA)  # fmt: skip
    mask[top : top + part.shape[0], left : left + part.shape[1]] = part
    move = np.array([[1, 0, shift[0] / small], [0, 1, shift[1] / small]], np.float32)
    far = cv2.GaussianBlur(cv2.warpAffine(mask, move, mask.shape[::-1]), (0, 0), soft / small + 0.3)
    near = cv2.GaussianBlur(mask, (0, 0), 0.35 * soft / small + 0.3)
    dark = 1 - strength * np.clip(0.75 * far + 0.45 * near, 0, 1)
    picture *= cv2.resize(dark, (wide, high), interpolation=cv2.INTER_LINEAR)[..., None]


def _curve(points: list[tuple[float, float, float]], count: int = 60) -> Array:
    """Smooth curve through control points (Catmull-Rom)."""
    p = np.array([points[0], *points, points[-1]], np.float32)
    out = []
    each = max(4, count // (len(points) - 1))
    for i in range(1, len(p) - 2):
        t = np.linspace(0, 1, each, endpoint=False, dtype=np.float32)[:, None]
        a, b, c, d = p[i - 1], p[i], p[i + 1], p[i + 2]
        out.append(0.5 * ((2 * b) + (-a + c) * t + (2 * a - 5 * b + 4 * c - d) * t**2
                          + (-a + 3 * b - 3 * c + d) * t**3))  # fmt: skip
    out.append(p[-2:-1])
    return np.concatenate(out)


def _ribbon(
    picture: Array, pixels: Array, width: float, colour: tuple[float, float, float], shade: float,
) -> None:  # fmt: skip
    low = np.floor(pixels.min(axis=0)).astype(int) - int(width * 3) - 4
    top_left = np.maximum(low, 0)
    end = np.minimum(np.ceil(pixels.max(axis=0)).astype(int) + int(width * 3) + 4,
                     picture.shape[1::-1])  # fmt: skip
    if np.any(end - top_left < 3):
        return
    area = picture[top_left[1] : end[1], top_left[0] : end[0]]
    path = ((pixels - top_left) * 16).astype(np.int32)

    def layer(w: float) -> Array:
        mask = np.zeros(area.shape[:2], np.uint8)
        cv2.polylines(mask, [path], False, 255, max(1, round(w)), cv2.LINE_AA, 4)
        return mask.astype(np.float32) / 255.0

    small = cv2.resize(np.roll(layer(width), round(width * 0.5), (0, 1)), None, fx=0.25, fy=0.25,
                       interpolation=cv2.INTER_AREA)  # fmt: skip
    shadow = cv2.GaussianBlur(small, (0, 0), max(0.5, width * 0.125))
    area *= (1 - 0.4 * cv2.resize(shadow, area.shape[1::-1]))[..., None]
    tone = np.array(colour, np.float32) * shade
    for w, k in ((width, 0.62), (width * 0.75, 0.85), (width * 0.4, 1.0)):
        part = layer(w)[..., None]
        area += (tone * k - area) * part


def straps(rng: Rng, picture: Array, camera: Camera, unit: Unit, ppmm: float, shade: float) -> None:
    """Ear loops or headbands from a unit's anchors, lying on the ground around it."""
    surface = unit.surface
    if not surface.anchors or rng.random() < 0.12:
        return
    colour = unit.finish.trim
    width = mix(rng, 1.8, 4.2) * ppmm
    loops: list[list[tuple[float, float, float]]] = []
    anchors = surface.anchors
    loop_style = rng.random() < (0.65 if surface.shape.startswith("fold") else 0.25)
    if loop_style and len(anchors) >= 2:
        for side in (-1, 1):
            own = sorted([a for a in anchors if a[0] * side > 0], key=lambda a: a[1])
            if len(own) < 2:
                continue
            (x1, y1), (x2, y2) = own[0], own[-1]
            reach = side * mix(rng, 20, 50)
            lean = mix(rng, -14, 20)
            loops.append([(x1, y1, 1), (x1 + reach * 0.7, y1 - 10 + lean * 0.3, 1),
                          (x1 + reach, (y1 + y2) / 2 + lean, 1),
                          (x2 + reach * 0.7, y2 + 10 + lean * 0.5, 1), (x2, y2, 1)])  # fmt: skip
    elif len(anchors) >= 2:
        for a, b, way in ((0, 1, -1), (2, 3, 1)):
            if b >= len(anchors):
                break
            (x1, y1), (x2, y2) = anchors[a], anchors[b]
            reach = surface.half_y * mix(rng, 0.7, 1.3) * way
            side = mix(rng, -25, 25)
            loops.append([(x1, y1, 1), (x1 - 12, y1 + reach * 0.6, 1), (side, y1 + reach, 1),
                          (x2 + 12, y2 + reach * 0.6, 1), (x2, y2, 1)])  # fmt: skip
    for loop in loops:
        jitter = [(x + rng.normal(0, 3), y + rng.normal(0, 3), z) for x, y, z in loop[1:-1]]
        line = _curve([loop[0], *jitter, loop[-1]])
        world = unit.pose.to_world(line.astype(np.float32))
        _ribbon(picture, camera.project(world), width, colour, shade)


def fingers(
    rng: Rng, shape: tuple[int, int], tip: tuple[float, float], thick: float, away: float,
    count: int,
) -> tuple[Array, Array]:  # fmt: skip
    """Fingers that reach `tip` from the direction `away` (radians): colour (h, w, 3), cover."""
    high, wide = shape
    shrink = max(1, int(np.ceil(max(high, wide) / 520)))
    h, w = high // shrink + 1, wide // shrink + 1
    gloved = rng.random() < 0.3
    tone = np.array((GLOVE if gloved else SKIN)[int(rng.integers(4 if gloved else len(SKIN)))],
                    np.float32)  # fmt: skip
    colour = np.zeros((h, w, 3), np.float32)
    cover = np.zeros((h, w), np.float32)
    r0 = thick / shrink / 2
    base = np.array(tip, np.float32) / shrink
    along = np.array([np.cos(away), np.sin(away)], np.float32)
    across = np.array([-along[1], along[0]], np.float32)
    for index in range(count):
        r = r0 * (1.0 if index else mix(rng, 1.0, 1.15))
        start = base + across * (index * r0 * 1.95) + along * (abs(index - 1) * r0 * 0.6)
        bend = mix(rng, -0.35, 0.35)
        t = np.linspace(0, 1, 46, dtype=np.float32)[:, None]
        reach = r0 * mix(rng, 9, 14)
        path = start + along * t * reach + across * bend * reach * t**2 * 0.6
        radius = r * (0.80 + 0.16 * t[:, 0] + 0.06 * np.sin(t[:, 0] * 9))
        mask = np.zeros((h, w), np.uint8)
        for p, q in zip(path, radius, strict=True):
            cv2.circle(mask, (round(float(p[0] * 8)), round(float(p[1] * 8))), round(float(q * 8)),
                       255, -1, cv2.LINE_AA, 3)  # fmt: skip
        inner = cv2.distanceTransform((mask > 127).astype(np.uint8), cv2.DIST_L2, 5)
        k = np.clip(inner / (r * 0.95), 0, 1)
        round_ = np.sqrt(np.clip(1 - (1 - k) ** 2, 0, 1))
        skin = tone * (0.40 + 0.62 * round_)[..., None]
        skin = skin * (1 + 0.05 * smooth(rng, h, w, 40))[..., None]
        skin[..., 2] *= 1 + 0.10 * (1 - round_)
        lines = np.zeros((h, w), np.uint8)
        for at in (0.30, 0.33, 0.62):
            p = path[int(at * 45)]
            a, b = p - across * r * 0.6, p + across * r * 0.6
            cv2.line(lines, (int(a[0]), int(a[1])), (int(b[0]), int(b[1])), 255,
                     max(1, int(r * 0.08)), cv2.LINE_AA)  # fmt: skip
        skin *= (1 - 0.16 * cv2.GaussianBlur(lines.astype(np.float32) / 255, (0, 0),
                                             max(0.6, r * 0.06)))[..., None]  # fmt: skip
        if not gloved and rng.random() < 0.6:
            nail = np.zeros((h, w), np.uint8)
            p = path[0] + along * r * 0.15
            cv2.ellipse(
                nail,
                (int(p[0]), int(p[1])),
                (max(1, int(r * 0.62)), max(1, int(r * 0.46))),
                float(np.degrees(away)),
                0,
                360,
                255,
                -1,
                cv2.LINE_AA,
            )
            part = (nail.astype(np.float32) / 255 * 0.7)[..., None]
            skin = skin * (1 - part) + (tone * 1.15 + [0.05, 0.04, 0.06]) * part
        alpha = mask.astype(np.float32) / 255
        shadow = cv2.GaussianBlur(alpha, (0, 0), max(1.0, r * 0.2))
        colour = colour * (1 - 0.4 * shadow[..., None])
        colour = colour * (1 - alpha[..., None]) + skin * alpha[..., None]
        cover = np.maximum(cover, alpha)
    size = (w * shrink, h * shrink)
    return (cv2.resize(colour, size, interpolation=cv2.INTER_LINEAR)[:high, :wide],
            cv2.resize(cover, size, interpolation=cv2.INTER_LINEAR)[:high, :wide])  # fmt: skip


def head_form(
    rng: Rng, picture: Array, centre: tuple[float, float], scale: float, roll: float
) -> None:
    """A mannequin's head behind a worn mask; scale in pixels a millimetre, roll in degrees."""
    high, wide = picture.shape[:2]
    tone = np.array([(0.10, 0.10, 0.10), (0.35, 0.36, 0.38), (0.55, 0.64, 0.78), (0.75, 0.76, 0.78),
                     (0.5, 0.42, 0.38)][int(rng.integers(5))], np.float32)  # fmt: skip
    shrink = 3
    y, x = np.mgrid[0 : high // shrink + 1, 0 : wide // shrink + 1].astype(np.float32) * shrink
    a = np.radians(roll)
    dx, dy = (x - centre[0]) / scale, (y - centre[1]) / scale
    u, v = dx * np.cos(a) + dy * np.sin(a), -dx * np.sin(a) + dy * np.cos(a)
    lean = mix(rng, -20, 20)

    def ball(cx: float, cy: float, rx: float, ry: float) -> tuple[Array, Array]:
        d = ((u - cx) / rx) ** 2 + ((v - cy) / ry) ** 2
        cover = np.clip((1 - d) * min(rx, ry) * scale / 4 / shrink + 0.5, 0, 1)
        depth = np.sqrt(np.clip(1 - d, 0, 1))
        lit = 0.35 + 0.6 * np.clip(depth * 0.8 - 0.35 * (u - cx) / rx - 0.3 * (v - cy) / ry, 0, 1.3)
        return cover, lit

    for cx, cy, rx, ry in ((lean * 0.4, 150, 62, 110), (lean * 0.3, 290, 210, 110),
                           (lean, -45, 80, 122)):  # fmt: skip
        cover, lit = ball(cx, cy, rx, ry)
        c = cv2.resize(cover, (cover.shape[1] * shrink, cover.shape[0] * shrink))[:high, :wide]
        s = cv2.resize(lit, (lit.shape[1] * shrink, lit.shape[0] * shrink))[:high, :wide]
        picture += (tone * s[..., None] - picture) * c[..., None]
