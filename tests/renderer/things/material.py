"""Nonwoven cloth, film and board: small tiles that repeat, and colours."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from tests.renderer.printed.content import Rng
from tests.renderer.things.noise import Array, mix

SIDE = 384


@dataclass(frozen=True, slots=True)
class Cloth:
    """A repeating tile of three fields, each about 0 +- 1: relief shading, tone, ink take-up.

    tile_mm is the side of the tile in mm.
    """

    tile: Array  # (SIDE, SIDE, 3)
    tile_mm: float


def _frequencies() -> tuple[Array, Array]:
    f = np.fft.fftfreq(SIDE).astype(np.float32)
    return tuple(np.meshgrid(f, f))


_FX, _FY = _frequencies()


def _fibres(rng: Rng, length: float, width: float) -> Array:
    """Crossing fibres as filtered noise; lengths in tile pixels."""
    total = np.zeros((SIDE, SIDE), np.float32)
    noise = np.fft.fft2(rng.standard_normal((SIDE, SIDE), np.float32))
    start = rng.uniform(0, np.pi)
    for k in range(4):
        angle = start + np.pi * k / 4
        along = _FX * np.cos(angle) + _FY * np.sin(angle)
        across = -_FX * np.sin(angle) + _FY * np.cos(angle)
        shape = np.exp(-2 * np.pi**2 * ((along * length) ** 2 + (across * width) ** 2))
        part = np.fft.ifft2(noise * shape).real
        total += (part / (part.std() + 1e-6)).astype(np.float32) ** 2 * (1 if k % 2 else -1)
        noise = np.roll(noise, 17, axis=0) * np.exp(2j * np.pi * _FX * 31)
    return total / (total.std() + 1e-6)


def _lattice(rng: Rng, pitch: float, kind: str) -> Array:
    """Embossed points, 1 in the pit; the pitch in tile pixels is rounded so that it repeats."""
    across = max(2, round(SIDE / pitch))
    step = SIDE / across
    y, x = np.mgrid[0:SIDE, 0:SIDE].astype(np.float32)
    row = np.floor(y / step)
    shifted = x + (row % 2) * step / 2 if across % 2 == 0 else x
    u = (shifted % step) / step - 0.5
    v = (y % step) / step - 0.5
    size = mix(rng, 0.2, 0.34)
    if kind == "dots":
        d = np.hypot(u, v) - size
    elif kind == "diamonds":
        d = (np.abs(u) + np.abs(v)) - size * 1.2
    elif kind == "bars":
        d = np.maximum(np.abs(u) - size * 1.3, np.abs(v) - size * 0.45)
    else:  # twill
        d = np.abs(((x + y) % step) / step - 0.5) - 0.22
    return np.clip(0.5 - d * step / 1.6, 0, 1).astype(np.float32)


def cloth(rng: Rng, ppmm: float, kind: str, light: tuple[float, float]) -> Cloth:
    """A tile at about the picture's own resolution; kind is nonwoven, film or board."""
    scale = float(np.clip(ppmm * 1.15, 1.2, 14.0))
    tile_mm = SIDE / scale
    fine = rng.standard_normal((SIDE, SIDE), np.float32)
    lx, ly = light
    if kind == "nonwoven":
        fibre = _fibres(rng, mix(rng, 1.0, 2.4) * scale, max(0.5, 0.08 * scale))
        cloud = _fibres(rng, mix(rng, 1.5, 3.0) * scale, mix(rng, 1.0, 2.0) * scale)
        pitch_mm = mix(rng, 0.8, 2.0)
        pit = np.zeros((SIDE, SIDE), np.float32)
        strength = mix(rng, 0.3, 1.3)
        if rng.random() < 0.75 and pitch_mm * scale > 2.6:
            pit = _lattice(rng, pitch_mm * scale, str(rng.choice(
                ["dots", "dots", "diamonds", "bars", "twill"])))  # fmt: skip
        relief = 0.5 * fibre - strength * 2.4 * pit
        shade = (relief - np.roll(relief, 1, 1)) * lx + (relief - np.roll(relief, 1, 0)) * ly
        shade = shade + 0.05 * fine
        tone = 0.55 * cloud + 0.35 * fibre - 0.9 * strength * pit
        take = 0.75 * fibre + 0.5 * cloud - strength * 1.6 * pit + 0.25 * fine
    elif kind == "film":
        shade = 0.05 * fine
        tone = 0.1 * fine
        take = 0.15 * fine
    else:
        fibre = _fibres(rng, 0.8 * scale, max(0.5, 0.1 * scale))
        shade = 0.12 * fibre + 0.08 * fine
        tone = 0.25 * fibre + 0.1 * fine
        take = 0.35 * fibre
    tile = np.stack([shade, tone, take], axis=2).astype(np.float32)
    return Cloth(np.ascontiguousarray(tile), tile_mm)


def sample(cloth_: Cloth, x: Array, y: Array) -> Array:
    """Tile values at surface coordinates in mm, shape (..., 3)."""
    scale = SIDE / cloth_.tile_mm
    return cv2.remap(cloth_.tile, (x * scale).astype(np.float32), (y * scale).astype(np.float32),
                     cv2.INTER_LINEAR, borderMode=cv2.BORDER_WRAP)  # fmt: skip


# Colours are linear-ish reflectances, BGR.
BODY: dict[str, tuple[float, float, float]] = {
    "white": (0.86, 0.87, 0.87), "warm white": (0.80, 0.85, 0.87), "cream": (0.68, 0.79, 0.84),
    "blue": (0.80, 0.62, 0.40), "sky": (0.86, 0.78, 0.62), "black": (0.065, 0.06, 0.06),
    "grey": (0.44, 0.44, 0.43), "dark grey": (0.17, 0.165, 0.16), "pink": (0.72, 0.66, 0.86),
    "green": (0.62, 0.74, 0.46), "yellow": (0.20, 0.80, 0.85), "orange": (0.22, 0.50, 0.88),
    "brown board": (0.38, 0.52, 0.64), "silver": (0.62, 0.62, 0.62), "navy": (0.30, 0.14, 0.07),
}  # fmt: skip
INK: dict[str, tuple[float, float, float]] = {
    "black": (0.04, 0.035, 0.035), "grey": (0.24, 0.24, 0.23), "blue": (0.52, 0.20, 0.07),
    "violet": (0.46, 0.14, 0.24), "green": (0.22, 0.36, 0.06), "red": (0.10, 0.08, 0.62),
    "orange": (0.05, 0.30, 0.85), "white": (0.88, 0.88, 0.88), "brown": (0.10, 0.20, 0.34),
    "magenta": (0.40, 0.08, 0.72), "silver": (0.55, 0.55, 0.55),
}  # fmt: skip
