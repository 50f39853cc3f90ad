"""Paints one unit, cloth, welds, valve, print and all, into a picture of reflected light."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from tests.renderer.lens.camera import Camera, Pose, box_of, full, lookup, trace
from tests.renderer.printed.content import Rng
from tests.renderer.printed.layout import Plate
from tests.renderer.things.material import Cloth, sample
from tests.renderer.things.noise import Array, mix, smooth
from tests.renderer.things.surface import STEP, Site, Surface


@dataclass(frozen=True, slots=True)
class Finish:
    """How a unit is made and printed; colours are BGR reflectances."""

    material: str  # nonwoven, film, board
    body: tuple[float, float, float]
    ink: tuple[float, float, float]
    process: str  # pad, inkjet, flexo, laser, emboss
    opacity: float
    patchy: float  # how much the cloth shows through the ink
    relief: float
    gloss: float
    trim: tuple[float, float, float]
    seed: int


@dataclass(frozen=True, slots=True)
class Light:
    """Direction towards the light in world axes, and how the rest of the room fills in."""

    toward: tuple[float, float, float]
    fill: float


@dataclass(frozen=True, slots=True)
class Unit:
    """A shape with a plate on one of its sites, somewhere on the ground."""

    surface: Surface
    pose: Pose
    finish: Finish
    cloth: Cloth
    plates: tuple[tuple[Plate, Site], ...]


@dataclass(frozen=True, slots=True)
class Painted:
    """What painting one unit leaves: maps over the whole frame's pixel box of the unit."""

    box: tuple[int, int, int, int]
    cover: Array
    ink: Array  # coverage as set
    shown: Array  # coverage that wear and cloth left


def _frame(surface: Surface, site: Site) -> tuple[Array, Array]:
    """Origin and axes (rows e1, e2, n) of the plane that a pad presses on at a site."""
    x, y = np.array([[site.x]], np.float32), np.array([[site.y]], np.float32)
    soft = cv2.GaussianBlur(surface.height, (0, 0), 5.0 / STEP)
    step = 4.0
    z = float(lookup(surface, surface.height, x, y)[0, 0])
    dzdx = float((lookup(surface, soft, x + step, y) - lookup(surface, soft, x - step, y))[0, 0])
    dzdy = float((lookup(surface, soft, x, y + step) - lookup(surface, soft, x, y - step))[0, 0])
    normal = np.array([-dzdx / (2 * step), -dzdy / (2 * step), 1.0])
    normal /= np.linalg.norm(normal)
    e1 = np.array([1.0, 0.0, 0.0]) - normal * normal[0]
    e1 /= np.linalg.norm(e1)
    e2 = np.cross(normal, e1)
    a = np.radians(site.turn)
    axes = np.stack([np.cos(a) * e1 + np.sin(a) * e2, -np.sin(a) * e1 + np.cos(a) * e2, normal])
    return np.array([site.x, site.y, z], np.float32), axes.astype(np.float32)


def on_surface(surface: Surface, site: Site, points: Array) -> Array:
    """Plate points (n, 2) in mm to object points (n, 3) in mm, pressed on along the normal."""
    origin, axes = _frame(surface, site)
    flat = origin + points[:, :1] * axes[0] + points[:, 1:2] * axes[1]
    steps = np.linspace(18, -45, 127, dtype=np.float32)
    ray = flat[:, None, :] + steps[None, :, None] * axes[2]
    ground = lookup(surface, surface.height, ray[..., 0], ray[..., 1])
    above = ray[..., 2] - ground
    below = above <= 0
    first = np.where(below.any(axis=1), below.argmax(axis=1), np.abs(above).argmin(axis=1))
    first = np.maximum(first, 1)
    rows = np.arange(len(points))
    a, b = above[rows, first - 1], above[rows, first]
    share = np.clip(a / np.where(np.abs(a - b) < 1e-5, 1e-5, a - b), 0, 1)
    t = steps[first - 1] + share * (steps[first] - steps[first - 1])
    return (flat + t[:, None] * axes[2]).astype(np.float32)


def _features(
    rng: Rng, unit: Unit, ppmm: float, lx: float, ly: float
) -> tuple[Array, Array, float]:
    """Relief shading and colour overlay (B, G, R, cover) over object x, y; and its scale."""
    surface, finish = unit.surface, unit.finish
    scale = float(np.clip(ppmm * 1.1, 1.5, 9.0))
    wide, high = int(2 * surface.half_x * scale), int(2 * surface.half_y * scale)
    relief = np.zeros((high, wide), np.uint8)
    colour = np.zeros((high, wide, 4), np.uint8)

    def at(points: Array) -> Array:
        moved = (points + np.array([surface.half_x, surface.half_y], np.float32)) * scale
        return (moved * 16).astype(np.int32)

    for weld in surface.welds:
        points = weld.points
        steps = np.hypot(*np.diff(points, axis=0).T)
        length = np.concatenate([[0], np.cumsum(steps)])
        thick = max(1, round(weld.width * scale))
        if weld.gap <= 0:
            cv2.polylines(relief, [at(points)], False, 170, thick, cv2.LINE_AA, 4)
            continue
        starts = np.arange(0, length[-1], weld.dash + weld.gap)
        ends = np.minimum(starts + weld.dash, length[-1])
        a = np.stack([np.interp(starts, length, points[:, i]) for i in (0, 1)], axis=1)
        b = np.stack([np.interp(ends, length, points[:, i]) for i in (0, 1)], axis=1)
        segments = np.stack([at(a.astype(np.float32)), at(b.astype(np.float32))], axis=1)
        cv2.polylines(relief, list(segments), False, 230, thick, cv2.LINE_AA, 4)
    lift = -cv2.GaussianBlur(relief.astype(np.float32) / 255.0, (0, 0), max(0.5, 0.22 * scale))
    if surface.nose is not None:
        strip = np.zeros((high, wide), np.uint8)
        cv2.polylines(strip, [at(surface.nose)], False, 255, max(2, round(4.5 * scale)),
                      cv2.LINE_AA, 4)  # fmt: skip
        lift += 1.5 * cv2.GaussianBlur(strip.astype(np.float32) / 255.0, (0, 0), 0.5 * scale)
        if rng.random() < 0.5:
            colour[..., :3] = np.array(finish.trim) * 255
            colour[..., 3] = np.maximum(colour[..., 3], (strip * 0.95).astype(np.uint8))
    if surface.valve:
        x, y, r = surface.valve
        c = tuple(int(v) for v in at(np.array([[x, y]], np.float32))[0])
        disc = np.zeros((high, wide), np.uint8)
        cv2.circle(disc, c, round(r * scale * 16), 255, -1, cv2.LINE_AA, 4)
        body = np.array(finish.trim if rng.random() < 0.6 else (0.8, 0.82, 0.82))
        colour[disc > 0, :3] = (body * 255).astype(np.uint8)
        colour[..., 3] = np.maximum(colour[..., 3], disc)
        rings = np.zeros((high, wide), np.uint8)
        for k in (0.96, 0.72):
            cv2.circle(rings, c, round(r * k * scale * 16), 255, max(1, round(0.7 * scale)),
                       cv2.LINE_AA, 4)  # fmt: skip
        for k in range(-3, 4):
            offset = np.array([[x + k * r * 0.17, y - r * 0.4], [x + k * r * 0.17, y + r * 0.4]])
            cv2.polylines(rings, [at(offset.astype(np.float32))], False, 255,
                          max(1, round(0.9 * scale)), cv2.LINE_AA, 4)  # fmt: skip
        lift -= 1.3 * cv2.GaussianBlur(rings.astype(np.float32) / 255.0, (0, 0), 0.3 * scale)
    if finish.material in ("film", "board"):
        _pack_art(rng, surface, colour, at, scale)
    shade = (lift - np.roll(lift, 1, 1)) * lx + (lift - np.roll(lift, 1, 0)) * ly
    shade = shade * (1.3 * min(scale, 5.0) / 5.0 + 0.4) + 0.06 * np.minimum(lift, 0)
    return shade.astype(np.float32), colour, scale


def _pack_art(rng: Rng, surface: Surface, colour: Array, at, scale: float) -> None:
    """Bands and a bar code on a pack, away from the middle where the print goes."""
    w, h = surface.half_x - 9, surface.half_y - 9

    def block(x1: float, y1: float, x2: float, y2: float, tone: Array) -> None:
        a, b = at(np.array([[x1, y1], [x2, y2]], np.float32)) // 16
        part = colour[max(a[1], 0) : b[1], max(a[0], 0) : b[0]]
        part[..., :3] = np.clip(tone * 255, 0, 255)
        part[..., 3] = 255

    if rng.random() < 0.75:
        block(-w, -h, w, -h + h * mix(rng, 0.12, 0.34), rng.uniform(0.05, 0.8, 3))
    if rng.random() < 0.35:
        block(-w, h - h * mix(rng, 0.06, 0.2), w, h, rng.uniform(0.05, 0.8, 3))
    if rng.random() < 0.5:
        x, y = w * mix(rng, 0.35, 0.55), h * mix(rng, 0.62, 0.72)
        wide, high = min(30.0, w * 0.42), min(13.0, h * 0.2)
        block(x, y, x + wide + 3, y + high + 3, np.array([0.9, 0.9, 0.9]))
        bars = rng.integers(1, 4, 48)
        left = x + 1.5
        unit = wide / float(bars.sum())
        for index, bar in enumerate(bars):
            if index % 2 == 0:
                block(left, y + 1.5, left + bar * unit, y + 1.5 + high, np.array([0.05] * 3))
            left += bar * unit


def _mirror_light(normal: Array, toward: Array, power: float) -> Array:
    half = toward + np.array([0, 0, 1.0])
    half = half / np.linalg.norm(half)
    return (np.clip(normal @ half.astype(np.float32), 0, 1) ** power).astype(np.float32)


def paint(
    picture: Array,
    camera: Camera,
    unit: Unit,
    light: Light,
    ppmm: float,
    trans: Array | None = None,
) -> Painted | None:
    """Paint a unit over `picture` (h, w, 3 float32, changed in place); None if out of frame."""
    high, wide = picture.shape[:2]
    surface, finish = unit.surface, unit.finish
    box = box_of(camera, surface, unit.pose, wide, high)
    left, top, right, bottom = box
    if right - left < 8 or bottom - top < 8:
        return None
    rng = np.random.default_rng(finish.seed)
    hits = trace(camera, surface, unit.pose, (left, top, right, bottom))
    turn = unit.pose.matrix()
    toward = np.array(light.toward, np.float32) @ turn  # into object axes
    toward /= np.linalg.norm(toward)

    soft = cv2.GaussianBlur(surface.height, (0, 0), 1.0)
    gx = cv2.Sobel(soft, cv2.CV_32F, 1, 0, ksize=3, scale=1 / (8 * STEP))
    gy = cv2.Sobel(soft, cv2.CV_32F, 0, 1, ksize=3, scale=1 / (8 * STEP))
    nx = -lookup(surface, gx, hits.x, hits.y, 0.0)
    ny = -lookup(surface, gy, hits.x, hits.y, 0.0)
    limit = np.sqrt(nx**2 + ny**2)
    squash = np.minimum(1.0, 2.2 / np.maximum(limit, 1e-3))
    normal = np.stack([nx * squash, ny * squash, np.ones_like(nx)], axis=2)
    normal /= np.linalg.norm(normal, axis=2, keepdims=True)
    wrap = 0.35 if finish.material == "nonwoven" else 0.1
    lambert = np.clip((normal @ toward + wrap) / (1 + wrap), 0, 1)
    wide_blur = cv2.GaussianBlur(np.maximum(surface.height, 0), (0, 0), 9.0 / STEP)
    hollow = lookup(surface, np.maximum(surface.height, 0) - wide_blur, hits.x, hits.y, 0.0)
    ambient = np.clip(1 + 0.018 * hollow, 0.55, 1.1) * (0.75 + 0.25 * normal[..., 2])
    coarse_shade = light.fill * ambient + (1 - light.fill) * lambert * np.clip(
        1 + 0.012 * hollow, 0.6, 1.1)  # fmt: skip
    shade = full(hits, coarse_shade.astype(np.float32))

    slope_x = cv2.Sobel(hits.cover, cv2.CV_32F, 1, 0, ksize=3, scale=1 / 8)
    slope_y = cv2.Sobel(hits.cover, cv2.CV_32F, 0, 1, ksize=3, scale=1 / 8)
    slope = np.maximum(np.hypot(slope_x, slope_y), 0.05) / hits.stride
    cover = np.clip(full(hits, hits.cover) / full(hits, cv2.blur(slope, (3, 3))) + 0.5, 0, 1)

    x, y = full(hits, hits.x), full(hits, hits.y)
    tile = sample(unit.cloth, x, y + 0.35 * full(hits, hits.z))
    features, overlay, scale = _features(rng, unit, ppmm, float(toward[0]), float(toward[1]))
    u = ((x + surface.half_x) * scale).astype(np.float32)
    v = ((y + surface.half_y) * scale).astype(np.float32)
    bumps = cv2.remap(features, u, v, cv2.INTER_LINEAR)

    cloud = smooth(rng, 24, 24, 5)
    cloud = cv2.resize(cloud, (right - left, bottom - top), interpolation=cv2.INTER_LINEAR)
    tone = 1.0 + 0.035 * tile[..., 1] * min(1.0, finish.relief + 0.3) + 0.012 * cloud
    albedo = tone[..., None] * np.array(finish.body, np.float32)
    if overlay[..., 3].any():
        over = cv2.remap(overlay, u, v, cv2.INTER_LINEAR)
        part = over[..., 3:].astype(np.float32) / 255.0
        albedo = albedo * (1 - part) + over[..., :3].astype(np.float32) / 255.0 * part

    ink_total = np.zeros((bottom - top, right - left), np.float32)
    ink_shown = np.zeros_like(ink_total)
    press = np.zeros_like(ink_total)
    for plate, site in unit.plates:
        origin, axes = _frame(surface, site)
        rel = np.stack([hits.x - origin[0], hits.y - origin[1], hits.z - origin[2]], axis=2)
        pu = full(hits, (rel @ axes[0]).astype(np.float32))
        pv = full(hits, (rel @ axes[1]).astype(np.float32))
        ph, pw = plate.ink.shape
        pu = pu * plate.ppmm + pw / 2
        pv = pv * plate.ppmm + ph / 2
        inside = (pu > -2) & (pu < pw + 2) & (pv > -2) & (pv < ph + 2)
        rows, columns = np.flatnonzero(inside.any(axis=1)), np.flatnonzero(inside.any(axis=0))
        if not len(rows):
            continue
        part = np.s_[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
        ink = cv2.remap(plate.ink, pu[part], pv[part], cv2.INTER_LINEAR)
        if finish.process == "emboss":
            reach = max(1.0, 0.12 * plate.ppmm)
            soft_ink = cv2.GaussianBlur(plate.ink, (0, 0), reach)
            a = np.radians(site.turn)
            tx = toward[0] * np.cos(a) + toward[1] * np.sin(a)
            ty = -toward[0] * np.sin(a) + toward[1] * np.cos(a)
            step = max(1, round(reach))
            edge = (soft_ink - np.roll(soft_ink, step, 1)) * tx + (
                soft_ink - np.roll(soft_ink, step, 0)) * ty  # fmt: skip
            flat = cv2.remap(edge.astype(np.float32) * 1.6 + 0.10 * soft_ink, pu[part], pv[part],
                             cv2.INTER_LINEAR)  # fmt: skip
            press[part] -= flat * finish.opacity
            ink_total[part] = np.maximum(ink_total[part], ink)
            ink_shown[part] = np.maximum(ink_shown[part], ink)
            continue
        take = np.clip(1.0 + finish.patchy * (0.45 * tile[part][..., 2] - 0.1), 0.0, 1.15)
        shown = np.clip(ink * take, 0, 1) * finish.opacity
        colour = np.array(finish.ink, np.float32)
        if finish.process == "laser":
            albedo[part] *= 1 - shown[..., None] * (1 - colour)
        else:
            mixed = shown[..., None]
            albedo[part] = albedo[part] * (1 - mixed) + colour * mixed
        whole = ink
        if plate.clean is not None:
            whole = cv2.remap(plate.clean, pu[part], pv[part], cv2.INTER_LINEAR)
        ink_total[part] = np.maximum(ink_total[part], whole)
        ink_shown[part] = np.maximum(ink_shown[part], np.clip(ink * take, 0, 1))
    lit = shade * (1 + 0.10 * finish.relief * tile[..., 0] + 0.5 * bumps + press)
    result = albedo * np.maximum(lit, 0.02)[..., None]
    if finish.gloss > 0:
        rough = np.stack([smooth(rng, *nx.shape, 14), smooth(rng, *nx.shape, 14),
                          np.zeros_like(nx)], axis=2)  # fmt: skip
        shiny = normal + rough * np.float32(0.03)
        shiny /= np.linalg.norm(shiny, axis=2, keepdims=True)
        view = toward.copy()
        glare = _mirror_light(shiny, view, mix(rng, 40, 220)) * finish.gloss * 1.6
        glare += 0.05 * finish.gloss
        result += full(hits, glare.astype(np.float32))[..., None]
    area = picture[top:bottom, left:right]
    if trans is not None:
        cover = cover * trans[top:bottom, left:right]
    area += (result - area) * cover[..., None]
    return Painted((left, top, right, bottom), cover.astype(np.float32), ink_total, ink_shown)
