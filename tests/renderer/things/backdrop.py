"""What a unit lies on or stands before."""

from __future__ import annotations

import cv2
import numpy as np

from tests.renderer.printed.content import Rng
from tests.renderer.things.noise import Array, fractal, grain, mix, smooth

KINDS = ("studio", "studio", "studio", "grey sweep", "colour", "table", "wood", "cloth",
         "cardboard", "stone", "paper", "warehouse", "room", "dark")  # fmt: skip
FLAT = ("studio", "grey sweep", "colour", "warehouse", "room", "dark")


def _tint(field: Array, dark: tuple[float, ...], light: tuple[float, ...]) -> Array:
    t = np.clip(field, 0, 1)[..., None]
    return (np.array(dark, np.float32) * (1 - t) + np.array(light, np.float32) * t).astype(
        np.float32
    )


def _wood(rng: Rng, side: int) -> Array:
    y, x = np.mgrid[0:side, 0:side].astype(np.float32) / side
    planks = int(rng.integers(3, 8))
    plank = np.floor(y * planks)
    shift = rng.uniform(0, 10, planks + 1).astype(np.float32)[plank.astype(int)]
    warp = fractal(rng, side, side, 3, 3) * np.float32(0.02)
    rings = np.sin((y * planks + warp * 8 + shift) * mix(rng, 18, 40) + 3 * np.sin(x * 5 + shift))
    streak = cv2.resize(rng.standard_normal((side, 24), np.float32), (side, side))
    tone = 0.5 + 0.16 * rings + 0.11 * streak + 0.08 * (shift / 5 - 1)
    seam = np.abs((y * planks) % 1 - 0.5) > 0.492
    tone = np.where(seam, 0.05, tone)
    light = {0: (0.30, 0.48, 0.66), 1: (0.15, 0.24, 0.36), 2: (0.45, 0.58, 0.70),
             3: (0.42, 0.44, 0.47)}[int(rng.integers(4))]  # fmt: skip
    return _tint(tone, tuple(c * 0.45 for c in light), light)


def _weave(rng: Rng, side: int) -> Array:
    y, x = np.mgrid[0:side, 0:side].astype(np.float32)
    pitch = mix(rng, 4, 9)
    threads = 0.5 + 0.25 * np.sin(x * 2 * np.pi / pitch) * np.sin(y * 2 * np.pi / pitch)
    streak = cv2.resize(rng.standard_normal((side, 8), np.float32), (side, side))
    tone = threads + 0.07 * streak + 0.07 * fractal(rng, side, side, 4, 3)
    colour = rng.uniform(0.06, 0.75, 3)
    colour = 0.5 * colour + 0.5 * colour.mean()
    return _tint(tone, tuple(colour * 0.5), tuple(colour))


def _ground(rng: Rng, kind: str, side: int) -> Array:
    if kind == "wood":
        return _wood(rng, side)
    if kind == "cloth":
        return _weave(rng, side)
    if kind == "cardboard":
        y = np.mgrid[0:side, 0:side].astype(np.float32)[0]
        tone = 0.6 + 0.05 * np.sin(y * mix(rng, 0.3, 0.7)) + 0.10 * fractal(rng, side, side, 5, 4)
        return _tint(tone + 0.05 * grain(rng, side, side), (0.22, 0.33, 0.43), (0.42, 0.57, 0.69))
    if kind == "stone":
        tone = 0.5 + 0.12 * fractal(rng, side, side, 6, 5) + 0.10 * grain(rng, side, side)
        base = mix(rng, 0.25, 0.7)
        return _tint(tone, (base * 0.55,) * 3, (base * 1.05, base, base * 0.97))
    if kind == "paper":
        tone = 0.7 + 0.05 * fractal(rng, side, side, 4, 3) + 0.03 * grain(rng, side, side)
        picture = _tint(tone, (0.6, 0.63, 0.64), (0.88, 0.90, 0.91))
        if rng.random() < 0.5:  # ruled or printed with grey bars of "text"
            for _ in range(int(rng.integers(20, 60))):
                a = rng.integers(0, side, 2)
                cv2.rectangle(picture, (int(a[0]), int(a[1])),
                              (int(a[0] + rng.integers(20, 120)), int(a[1] + 3)),
                              (0.45, 0.45, 0.45), -1)  # fmt: skip
        return picture
    base = rng.uniform(0.12, 0.85)  # a plain table top
    colour = np.clip(base + rng.normal(0, 0.06, 3), 0.05, 0.92)
    tone = 0.6 + 0.09 * fractal(rng, side, side, 4, 4) + 0.05 * grain(rng, side, side)
    return _tint(tone, tuple(colour * 0.72), tuple(colour))


def ground(rng: Rng, kind: str, world_x: Array, world_y: Array, size: tuple[int, int]) -> Array:
    """A surface seen in perspective: coarse maps of ground coordinates in mm to (h, w, 3)."""
    side = 900
    texture = _ground(rng, kind, side)
    span = mix(rng, 320, 620)
    turn = mix(rng, 0, 2 * np.pi)
    c, s = np.cos(turn), np.sin(turn)
    u = ((world_x * c - world_y * s) / span * side + side / 2).astype(np.float32)
    v = ((world_x * s + world_y * c) / span * side + side / 2).astype(np.float32)
    u = cv2.resize(u, size, interpolation=cv2.INTER_LINEAR)
    v = cv2.resize(v, size, interpolation=cv2.INTER_LINEAR)
    return cv2.remap(texture, u, v, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REFLECT_101)


def _boxes(rng: Rng, high: int, wide: int) -> Array:
    """Shelves of cartons far behind, out of focus."""
    picture = np.empty((high, wide, 3), np.float32)
    picture[...] = rng.uniform(0.12, 0.4, 3).astype(np.float32)
    rows = int(rng.integers(3, 6))
    for row in range(rows):
        top = int(row * high / rows)
        bottom = int((row + 1) * high / rows)
        x = int(-rng.uniform(0, wide / 6))
        while x < wide:
            w = int(rng.uniform(0.06, 0.22) * wide)
            y = top + int((bottom - top) * rng.uniform(0.05, 0.4))
            colour = np.array([0.40, 0.54, 0.66]) * rng.uniform(0.5, 1.1)
            if rng.random() < 0.3:
                colour = rng.uniform(0.1, 0.85) * rng.uniform(0.6, 1.0, 3)
            cv2.rectangle(picture, (x, y), (x + w, bottom - 6), tuple(map(float, colour)), -1)
            if rng.random() < 0.6:
                cv2.rectangle(
                    picture,
                    (x + w // 5, y + (bottom - y) // 4),
                    (x + w // 2, y + (bottom - y) // 2),
                    (0.85, 0.86, 0.86),
                    -1,
                )
            cv2.rectangle(picture, (x, y), (x + w, bottom - 6), tuple(map(float, colour * 0.6)), 2)
            x += w + int(rng.uniform(0, 0.02) * wide)
        cv2.rectangle(picture, (0, bottom - 8), (wide, bottom), (0.30, 0.24, 0.5), -1)
    blur = max(high, wide) * mix(rng, 0.003, 0.016)
    return cv2.GaussianBlur(picture, (0, 0), blur)


def flat(rng: Rng, kind: str, high: int, wide: int) -> Array:
    """A backdrop that does not follow the ground, (high, wide, 3)."""
    if kind == "studio":
        level = float(rng.choice([1.3, 1.3, 1.2, 0.93, 0.86]))
        picture = np.full((high, wide, 3), level, np.float32)
        if level < 1:
            picture += (fractal(rng, high, wide, 1.5, 1) * np.float32(0.02))[..., None]
        return picture
    if kind == "dark":
        base = mix(rng, 0.005, 0.06)
        field = np.clip(base + fractal(rng, high, wide, 2, 2) * base * 0.4, 0, 1)
        return np.repeat(field[..., None], 3, axis=2).astype(np.float32)
    if kind in ("grey sweep", "colour"):
        top, bottom = mix(rng, 0.25, 0.95), mix(rng, 0.35, 0.98)
        ramp = np.linspace(top, bottom, high, dtype=np.float32)[:, None]
        tint = np.array([1.0, 1.0, 1.0]) if kind == "grey sweep" else rng.uniform(0.15, 1.1, 3)
        picture = ramp[..., None] * np.ones((1, wide, 1), np.float32) * tint.astype(np.float32)
        return (picture + (smooth(rng, high, wide, 2) * 0.015)[..., None]).astype(np.float32)
    small_h, small_w = max(high // 3, 8), max(wide // 3, 8)
    if kind == "warehouse":
        small = _boxes(rng, small_h, small_w)
    else:  # a room, far out of focus
        small = np.empty((small_h, small_w, 3), np.float32)
        small[...] = rng.uniform(0.1, 0.7, 3).astype(np.float32)
        for _ in range(int(rng.integers(8, 22))):
            a = rng.uniform(0, [small_w, small_h])
            size = rng.uniform(0.05, 0.5, 2) * [small_w, small_h]
            colour = rng.uniform(0.03, 0.95) * rng.uniform(0.6, 1.0, 3)
            b = a + size
            cv2.rectangle(small, (int(a[0]), int(a[1])), (int(b[0]), int(b[1])),
                          tuple(map(float, colour)), -1)  # fmt: skip
        small = cv2.GaussianBlur(small, (0, 0), max(small_h, small_w) * mix(rng, 0.012, 0.05))
    return cv2.resize(small, (wide, high), interpolation=cv2.INTER_LINEAR)
