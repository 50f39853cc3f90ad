"""A pinhole camera over the ground plane z = 0, and where its rays meet a height field."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from tests.renderer.things.noise import Array
from tests.renderer.things.surface import STEP, Surface


@dataclass(frozen=True, slots=True)
class Camera:
    """Position in mm, axes as rows (right, down, forward), focal length and centre in pixels."""

    place: Array
    axes: Array
    focal: float
    centre: tuple[float, float]

    def project(self, points: Array) -> Array:
        """World points (n, 3) in mm to pixels (n, 2)."""
        local = (points - self.place) @ self.axes.T
        pixels = local[:, :2] / local[:, 2:3] * self.focal
        return (pixels + np.array(self.centre, np.float32)).astype(np.float32)

    def rays(self, x: Array, y: Array) -> Array:
        """Directions (..., 3), not normalised, for pixel coordinates."""
        u = (x - self.centre[0]) / self.focal
        v = (y - self.centre[1]) / self.focal
        right, down, ahead = self.axes
        return (u[..., None] * right + v[..., None] * down + ahead).astype(np.float32)


def aim(
    target: Array, distance: float, tilt: float, azimuth: float, roll: float, ppmm: float,
    centre: tuple[float, float],
) -> Camera:  # fmt: skip
    """A camera looking at `target` from `distance` mm, `tilt` degrees off the vertical.

    roll turns the picture, in degrees; ppmm is the scale at the target in pixels a millimetre.
    """
    t, a, r = np.radians([tilt, azimuth, roll])
    back = np.array([np.sin(t) * np.cos(a), np.sin(t) * np.sin(a), np.cos(t)])
    place = target + back * distance
    ahead = -back
    right = np.array([1.0, 0.0, 0.0])
    right -= ahead * (right @ ahead)
    right /= np.linalg.norm(right)
    down = np.cross(right, ahead)
    turned_right = np.cos(r) * right + np.sin(r) * down
    turned_down = -np.sin(r) * right + np.cos(r) * down
    axes = np.stack([turned_right, turned_down, ahead]).astype(np.float32)
    return Camera(place.astype(np.float32), axes, ppmm * distance, centre)


@dataclass(frozen=True, slots=True)
class Pose:
    """Where a unit lies: ground offset in mm, turn in degrees, height of its plane in mm."""

    x: float = 0.0
    y: float = 0.0
    turn: float = 0.0
    lift: float = 0.0

    def matrix(self) -> Array:
        """Object to world rotation (3, 3)."""
        a = np.radians(self.turn)
        c, s = np.cos(a), np.sin(a)
        return np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]], np.float32)

    def to_world(self, points: Array) -> Array:
        """Object points (n, 3) to world points."""
        moved = points @ self.matrix().T
        return (moved + np.array([self.x, self.y, self.lift], np.float32)).astype(np.float32)


@dataclass(frozen=True, slots=True)
class Hits:
    """Where the rays of a pixel box meet a surface, on a coarse grid of `stride` pixels.

    box is (left, top, right, bottom) in pixels; x, y, z in object mm; cover is above zero where
    the surface is seen.
    """

    box: tuple[int, int, int, int]
    stride: int
    x: Array
    y: Array
    z: Array
    cover: Array


def lookup(surface: Surface, field: Array, x: Array, y: Array, outside: float = -12.0) -> Array:
    """Sample a grid field at object coordinates in mm."""
    u = ((x + surface.half_x) / STEP).astype(np.float32)
    v = ((y + surface.half_y) / STEP).astype(np.float32)
    return cv2.remap(field, u, v, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT,
                     borderValue=outside)  # fmt: skip


def box_of(camera: Camera, surface: Surface, pose: Pose, wide: int, high: int) -> tuple[int, ...]:
    """Pixel box (left, top, right, bottom) around a unit, cut to the frame; may be empty."""
    hx, hy = surface.half_x - 5, surface.half_y - 5
    corners = np.array(
        [[sx * hx, sy * hy, z] for sx in (-1, 1) for sy in (-1, 1) for z in (0, surface.top)],
        np.float32,
    )
    pixels = camera.project(pose.to_world(corners))
    left, top = np.floor(pixels.min(axis=0)).astype(int) - 4
    right, bottom = np.ceil(pixels.max(axis=0)).astype(int) + 5
    return max(left, 0), max(top, 0), min(right, wide), min(bottom, high)


def trace(
    camera: Camera, surface: Surface, pose: Pose, box: tuple[int, int, int, int], coarse: int = 380
) -> Hits:
    """March the rays of a pixel box down to a unit's height field."""
    left, top, right, bottom = box
    stride = max(1, int(np.ceil(max(right - left, bottom - top) / coarse)))
    nx, ny = (right - left) // stride + 2, (bottom - top) // stride + 2
    grid_x, grid_y = np.meshgrid(
        left + (np.arange(nx, dtype=np.float32) + 0.5) * stride - 0.5,
        top + (np.arange(ny, dtype=np.float32) + 0.5) * stride - 0.5,
    )
    turn = pose.matrix()
    eye = (camera.place - np.array([pose.x, pose.y, pose.lift], np.float32)) @ turn
    rays = camera.rays(grid_x, grid_y) @ turn
    dz = np.minimum(rays[..., 2], -1e-3)
    slope_x, slope_y = rays[..., 0] / dz, rays[..., 1] / dz
    ceiling = surface.top + 0.5
    steps = int(np.clip(ceiling / 0.9, 10, 44))
    levels = np.linspace(ceiling, 0.0, steps, dtype=np.float32)
    hit = np.zeros(dz.shape, bool)
    z_hit = np.zeros(dz.shape, np.float32)
    best = np.full(dz.shape, -1e6, np.float32)
    z_best = np.zeros(dz.shape, np.float32)
    before = np.full(dz.shape, -1.0, np.float32)
    for index, level in enumerate(levels):
        x = eye[0] + slope_x * (level - eye[2])
        y = eye[1] + slope_y * (level - eye[2])
        over = lookup(surface, surface.height, x, y) - level
        if index:
            new = (over > 0) & ~hit
            share = over / np.maximum(over - before, 1e-4)
            gap = levels[index - 1] - level
            z_hit = np.where(new, level + share * gap, z_hit)
            hit |= new
        better = (over > best) & ~hit
        best = np.where(better | (hit & (best < over)), over, best)
        z_best = np.where(better, level, z_best)
        before = over
    z = np.where(hit, z_hit, z_best)
    x = eye[0] + slope_x * (z - eye[2])
    y = eye[1] + slope_y * (z - eye[2])
    return Hits((left, top, right, bottom), stride, x.astype(np.float32), y.astype(np.float32),
                z.astype(np.float32), best)  # fmt: skip


def full(hits: Hits, field: Array) -> Array:
    """A coarse field of `trace` at full resolution of its pixel box."""
    left, top, right, bottom = hits.box
    high, wide = bottom - top, right - left
    if hits.stride == 1:
        return field[:high, :wide]
    size = (field.shape[1] * hits.stride, field.shape[0] * hits.stride)
    return cv2.resize(field, size, interpolation=cv2.INTER_LINEAR)[:high, :wide]
