"""render_photo: a seeded photograph of printed units, with the truth of what is printed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

from . import backdrop, extras, layout, material, optics, surface
from .camera import Camera, Pose, aim
from .content import FAULTS, SCHEME_WEIGHTS, SCHEMES, Print, Rng, compose
from .layout import Plate
from .measure import line_seen
from .noise import Array, mix
from .unit import Finish, Light, Painted, Unit, on_surface, paint

MARKS = ("agency", "approval_number", "filter_class", "efficiency", "model", "lot", "manufacturer",
         "standard", "body_number", "manufacture_date", "expiry_date", "claims", "reuse",
         "conformity_mark")  # fmt: skip
DIFFICULTIES = ("easy", "medium", "hard")
ATTEMPTS = 7


@dataclass(frozen=True, slots=True)
class Made:
    """A photograph as a viewer shows it (BGR, uint8) and what is true of it."""

    image: npt.NDArray[np.uint8]
    truth: dict[str, Any]


@dataclass(frozen=True, slots=True)
class Plan:
    """Every choice behind one photograph."""

    what: Print
    second: Print | None
    shape: str
    body: str
    ink: str
    process: str
    opacity: float
    wear: float
    patchy: float
    relief: float
    gloss: float
    setting: layout.Setting
    fill: float  # share of the print site that the plate takes
    x_target: float  # wanted x-height of the smallest line that bears a mark, px
    tilt: float
    azimuth: float
    roll: float
    distance: float
    zoom: float  # long side of the frame as a multiple of the unit's length
    aspect: float
    units: int
    backdrop: str
    head: bool
    hand: str  # none, hold, over
    straps: bool
    blur: float
    motion: float
    noise: float
    sharpen: float
    exposure: float
    contrast: float
    cast: tuple[float, float, float]
    uneven: float
    shadow_edge: bool
    flare: float
    enlarged: float  # factor by which the finished picture was blown up
    quality: int
    exif: int
    mirrored: bool
    light: Light
    seed: tuple[int, ...]
    longest: int = 3000  # px
    covered: str | None = None  # the mark that a finger lies on, if any is to be


_DARK = ("black", "dark grey", "navy")


def _ink_for(rng: Rng, body: str, hard: bool) -> str:
    if body in _DARK:
        return "white" if rng.random() < 0.85 else "silver"
    names = ["black", "grey", "blue", "violet", "green", "red", "orange", "brown", "magenta"]
    weights = np.array([0.48, 0.13, 0.13, 0.05, 0.04, 0.06, 0.05, 0.02, 0.04])
    if body in ("blue", "green", "grey", "orange", "brown board"):
        weights[[5, 6, 8]] *= 0.3
        if rng.random() < 0.15:
            return "white"
    if not hard:
        weights[[1, 6]] *= 0.3
    return str(rng.choice(names, p=weights / weights.sum()))


def _roll(rng: Rng) -> float:
    chance = rng.random()
    if chance < 0.56:
        return float(rng.normal(0, 7))
    if chance < 0.74:
        return float(rng.choice([-90, 90]) + rng.normal(0, 6))
    if chance < 0.84:
        return float(180 + rng.normal(0, 9))
    return mix(rng, -180, 180)


def make_plan(rng: Rng, difficulty: str, what: Print, seed: tuple[int, ...]) -> Plan:
    """Draw every choice for one photograph of the wanted difficulty."""
    hard, easy = difficulty == "hard", difficulty == "easy"
    shape = str(rng.choice(list(surface.SHAPES), p=[0.31, 0.27, 0.13, 0.09, 0.11, 0.09]))
    if shape in ("pouch", "carton"):
        bodies = ["white", "sky", "blue", "silver", "green", "navy", "brown board", "warm white",
                  "pink", "orange"]  # fmt: skip
        body = str(rng.choice(bodies))
    else:
        names = ["white", "warm white", "cream", "sky", "blue", "black", "grey", "dark grey",
                 "pink", "green", "yellow", "orange"]  # fmt: skip
        odds = np.array([0.46, 0.16, 0.03, 0.05, 0.05, 0.08, 0.05, 0.02, 0.03, 0.04, 0.02, 0.01])
        body = str(rng.choice(names, p=odds / odds.sum()))
    process = str(rng.choice(["pad", "inkjet", "laser", "emboss"], p=[0.70, 0.15, 0.06, 0.09]))
    if shape in ("pouch", "carton"):
        process = str(rng.choice(["flexo", "inkjet"], p=[0.85, 0.15]))
    if easy and process in ("laser", "emboss"):
        process = "pad"
    ink = _ink_for(rng, body, hard)
    cause = str(rng.choice(["small", "small", "small", "faint", "blur", "occluded", "mixed"]))
    opacity = mix(rng, 0.82, 1.0) if easy else mix(rng, 0.62, 1.0)
    x_target = mix(rng, 21.5, 38) if easy else mix(rng, 13.6, 27)
    blur = mix(rng, 0.3, 1.05) if easy else mix(rng, 0.4, 1.9)
    tilt = mix(rng, 0, 17) if easy else abs(float(rng.normal(0, 22)))
    hand = str(rng.choice(["none", "none", "none", "none", "hold"]))
    wear = mix(rng, 0, 0.25) if easy else mix(rng, 0, 0.6)
    if hard:
        x_target = mix(rng, 12, 26)
        if cause in ("small", "mixed"):
            x_target = mix(rng, 5.2, 12.6)
            blur = mix(rng, 0.35, 1.3)
        if cause in ("faint", "mixed"):
            opacity = mix(rng, 0.22, 0.5)
        if cause == "blur":
            blur = mix(rng, 2.25, 4.0)
            x_target = mix(rng, 10, 34)
        if cause == "occluded":
            hand = "over"
    if process == "laser":
        opacity *= 0.75
    if process == "emboss":
        opacity = mix(rng, 0.5, 1.6)
    motion = mix(rng, 1.5, 3.0) if (not easy and rng.random() < 0.15) else 0.0
    if hard and rng.random() < 0.15 and x_target > 9:
        motion = mix(rng, 2.5, 6.0)
    web = rng.random() < 0.5
    kind = str(rng.choice(backdrop.KINDS))
    if web and rng.random() < 0.55:
        kind = "studio"
    head = shape in ("dome", "fold_vertical", "fold_panels") and rng.random() < 0.09
    if head and kind not in backdrop.FLAT:
        kind = "studio"
    units = 1
    if not head and rng.random() < 0.14:
        units = int(rng.integers(2, 4))
    zoom = float(np.exp(rng.normal(0.2, 0.3)))
    if head:
        zoom = mix(rng, 1.5, 2.8)
    elif units > 1:
        zoom = mix(rng, 1.5, 2.6)
    if hard and cause == "small":
        zoom = float(np.exp(rng.normal(0.6, 0.4)))
    azimuth = mix(rng, 0, 360)
    if head:
        azimuth, tilt = mix(rng, -180, 180), min(tilt, 35.0)
    toward = np.array([rng.normal(0, 0.6), rng.normal(-0.3, 0.6), mix(rng, 0.5, 1.3)])
    toward /= np.linalg.norm(toward)
    cast = np.ones(3)
    if rng.random() < 0.45:
        warmth = rng.normal(0, 0.10)
        cast = np.array([1 - warmth, 1 + rng.normal(0, 0.025), 1 + warmth])
    bright = mix(rng, 0.7, 1.1) if rng.random() < 0.78 else mix(rng, 0.3, 0.7)
    if kind == "studio":
        bright = mix(rng, 0.85, 1.25)
    return Plan(
        what=what, second=None, shape=shape, body=body, ink=ink, process=process, opacity=opacity,
        wear=wear, patchy=mix(rng, 0.1, 0.55) if easy else mix(rng, 0.15, 0.95),
        relief=mix(rng, 0.25, 1.5),
        gloss=mix(rng, 0.15, 0.9) if shape == "pouch" else
        (mix(rng, 0, 0.25) if shape == "carton" else 0.0),
        setting=layout.choose_setting(rng, process), fill=mix(rng, 0.55, 1.05), x_target=x_target,
        tilt=min(tilt, 52.0), azimuth=azimuth, roll=_roll(rng), distance=mix(rng, 260, 800),
        zoom=float(np.clip(zoom, 0.72, 3.6)),
        aspect=float(rng.choice([1.0, 1.0, 4 / 3, 3 / 4, 4 / 3, 3 / 4, 1.5, 16 / 9, 0.8])),
        units=units, backdrop=kind, head=head, hand=hand, straps=bool(rng.random() < 0.88),
        blur=blur, motion=motion,
        noise=mix(rng, 0.0, 1.2) if web or kind == "studio" else mix(rng, 0.5, 5.0),
        sharpen=mix(rng, 0.0, 0.9) if rng.random() < 0.6 else 0.0, exposure=bright,
        contrast=mix(rng, -0.1, 0.6), cast=(float(cast[0]), float(cast[1]), float(cast[2])),
        uneven=mix(rng, 0.0, 0.12) if kind == "studio" else mix(rng, 0.02, 0.38),
        shadow_edge=bool(kind != "studio" and rng.random() < 0.18),
        flare=mix(rng, 0.15, 0.7) * (1.6 if shape in ("pouch", "carton") else 1.0) if (not easy and rng.random() < 0.08) else 0.0,
        enlarged=mix(rng, 1.2, 1.9) if (not easy and web and rng.random() < 0.1) else 1.0,
        quality=int(rng.integers(55, 93)) if web else int(rng.integers(72, 96)),
        exif=int(rng.choice([3, 6, 8])) if (not web and rng.random() < 0.3) else 1,
        mirrored=bool(not easy and rng.random() < 0.035),
        light=Light((float(toward[0]), float(toward[1]), float(toward[2])), mix(rng, 0.3, 0.72)),
        seed=seed,
    )  # fmt: skip


def _widest(what: Print) -> float:
    longest = max(len(line.text) * line.size for line in what.lines)
    return float(np.clip(longest * 0.75, 7, 17))


def _fit_plate(plan: Plan, what: Print, site: surface.Site, seed: list[int]) -> tuple[float, float]:
    """Cap height in mm that makes the plate fit its site, and x-height of its smallest mark line."""
    k = _widest(what)
    trial = layout.make_plate(np.random.default_rng(seed), what, plan.setting, 3.0, 4.0, 3.0 * k)
    wide, high = trial.size_mm
    scale = min(site.wide * plan.fill / wide, site.high * min(1.0, plan.fill + 0.15) / high)
    cap = float(np.clip(3.0 * scale, 1.1, 11.0))
    smallest = min(p.x_mm for p in trial.lines if p.line.values or len(trial.lines) == 1)
    return cap, smallest * cap / 3.0


def _heights(camera: Camera, unit: Unit, plate: Plate, site: surface.Site) -> list[
    tuple[Array, float, float]]:  # fmt: skip
    """For each line: its polygon in pixels, x-height in pixels, and the angle it runs at."""
    found = []
    for part in plate.lines:
        edge = np.concatenate([part.top, part.bottom[::-1]])
        world = unit.pose.to_world(on_surface(unit.surface, site, edge))
        pixels = camera.project(world)
        n = len(part.top)
        top, bottom = pixels[:n], pixels[n:][::-1]
        tall_mm = np.linalg.norm(part.bottom - part.top, axis=1)
        along = np.gradient(top, axis=0)
        across = np.abs(along[:, 0] * (bottom - top)[:, 1] - along[:, 1] * (bottom - top)[:, 0])
        tall = across / np.maximum(np.linalg.norm(along, axis=1), 1e-6)
        x_height = float(np.median(tall / tall_mm) * part.x_mm)
        end = (top[-1] + bottom[-1] - top[0] - bottom[0]) / 2
        found.append((pixels, x_height, float(np.degrees(np.arctan2(end[1], end[0])))))
    return found


def _build(plan: Plan) -> tuple[Unit, float, float, surface.Site, list[int]]:
    """The shape and where its print goes; plate still empty. Also cap and smallest x-height, mm."""
    rng = np.random.default_rng([*plan.seed, 1])
    shape = surface.SHAPES[plan.shape](rng)
    site = shape.sites[int(rng.integers(len(shape.sites)))]
    plate_seed = [*plan.seed, 2]
    cap, smallest = _fit_plate(plan, plan.what, site, plate_seed)
    kind = {"pouch": "film", "carton": "board"}.get(plan.shape, "nonwoven")
    trims = [(0.85, 0.86, 0.86), (0.85, 0.86, 0.86), (0.10, 0.65, 0.82), (0.55, 0.25, 0.08),
             (0.06, 0.06, 0.07), (0.12, 0.10, 0.60), (0.45, 0.55, 0.20)]  # fmt: skip
    trim = trims[int(rng.integers(len(trims)))]
    finish = Finish(kind, material.BODY[plan.body], material.INK[plan.ink], plan.process,
                    plan.opacity, plan.patchy, plan.relief, plan.gloss, trim,
                    int(rng.integers(2**31)))  # fmt: skip
    if plan.process == "laser":
        finish = replace(finish, ink=(0.30, 0.38, 0.45))
    empty = material.Cloth(np.zeros((2, 2, 3), np.float32), 1.0)
    return Unit(shape, Pose(), finish, empty, ()), cap, smallest, site, plate_seed


def render(plan: Plan) -> Made:
    """Render one plan; the truth's difficulty is measured, not wished."""
    unit, cap, smallest, site, plate_seed = _build(plan)
    rng = np.random.default_rng([*plan.seed, 3])
    what = plan.what
    x_target = plan.x_target / plan.enlarged
    ppmm = float(np.clip(x_target / smallest / max(np.cos(np.radians(plan.tilt)), 0.75), 1.2, 30))
    plate_anchor = on_surface(unit.surface, site, np.zeros((1, 2), np.float32))[0]
    share = mix(rng, 0.15, 0.6) if plan.zoom > 1.15 else mix(rng, 0.6, 1.0)
    target = plate_anchor * [share, share, 0.5]
    length = 2 * max(unit.surface.half_x, unit.surface.half_y)

    def set_up(scale: float) -> tuple[Camera, int, int]:
        longer = float(np.clip(length * scale * plan.zoom, 330, plan.longest))
        wide = longer if plan.aspect >= 1 else longer * plan.aspect
        high = longer / plan.aspect if plan.aspect >= 1 else longer
        wide_, high_ = int(wide), int(high)
        jitter = np.random.default_rng([*plan.seed, 4]).normal(0, 0.04, 2)
        if plan.head:
            jitter *= 0.3
        centre = (wide_ * (0.5 + float(jitter[0])), high_ * (0.5 + float(jitter[1])))
        camera = aim(target.astype(np.float32), plan.distance, plan.tilt, plan.azimuth, plan.roll,
                     scale, centre)  # fmt: skip
        return camera, wide_, high_

    # First with a coarse plate, to see how far slope and perspective shrink the letters.
    coarse = layout.make_plate(np.random.default_rng(plate_seed), what, plan.setting, cap, 4.0,
                               cap * _widest(what))  # fmt: skip
    camera, wide, high = set_up(ppmm)
    rough = _heights(camera, unit, coarse, site)
    worst = min(x for (_, x, _), p in zip(rough, coarse.lines, strict=True) if p.line.values)
    ppmm = float(np.clip(ppmm * x_target / max(worst, 0.1), 1.2, 34))
    camera, wide, high = set_up(ppmm)

    fine = float(np.clip(ppmm * 1.4, 3.0, 40.0))
    clean = layout.make_plate(np.random.default_rng(plate_seed), what, plan.setting, cap, fine,
                              cap * _widest(what))  # fmt: skip
    plate = replace(clean, ink=layout.spoil(rng, clean.ink, fine, plan.process, plan.wear))
    a = np.radians(0.0)
    light = plan.light
    cloth = material.cloth(rng, ppmm, unit.finish.material,
                           (light.toward[0] * np.cos(a), light.toward[1]))  # fmt: skip
    unit = replace(unit, cloth=cloth, plates=((plate, site),))

    picture = _background(plan, rng, camera, wide, high)
    others = _others(plan, rng, unit, length)
    shade = light.fill + (1 - light.fill) * max(light.toward[2], 0.2)
    if plan.head:
        centre = camera.project(np.array([[0, 0, 0]], np.float32))[0]
        extras.head_form(rng, picture, (float(centre[0]), float(centre[1])), ppmm, -plan.roll)
    everything = [*others, unit]
    painted: list[tuple[Unit, Painted]] = []
    unit_cover = np.zeros((high, wide), np.float32)
    for each in everything:
        before = picture.copy() if not plan.head else None
        if plan.straps:
            extras.straps(np.random.default_rng([*plan.seed, 5]), picture, camera, each, ppmm,
                          shade)  # fmt: skip
        result = paint(picture, camera, each, light, ppmm)
        if result is None:
            continue
        if before is not None and plan.backdrop != "dark":
            _shadow_then_repaint(
                plan, rng, picture, before, result, camera, each, light, ppmm, shade
            )
        left, top, right, bottom = result.box
        for _, earlier in painted:
            _hide(earlier, result)
        unit_cover[top:bottom, left:right] = np.maximum(unit_cover[top:bottom, left:right],
                                                        result.cover)  # fmt: skip
        painted.append((each, result))

    hidden = None
    if plan.hand != "none":
        hidden = _add_hand(plan, rng, picture, camera, unit, plate, site, ppmm)
    image, scale = _photograph(plan, rng, picture, unit_cover)
    return _truth(plan, image, scale, camera, painted, plate, site, hidden)


def _shadow_then_repaint(
    plan: Plan, rng: Rng, picture: Array, before: Array, result: Painted, camera: Camera, each: Unit,
    light: Light, ppmm: float, shade: float,
) -> None:  # fmt: skip
    """Put the unit's shadow under it, without painting the unit twice."""
    left, top, right, bottom = result.box
    area = picture[top:bottom, left:right].copy()
    kept = picture
    tall = each.surface.top
    axis = np.array([-light.toward[0], -light.toward[1], 0.0]) @ camera.axes.T
    reach = tall * 0.5 * ppmm / max(light.toward[2], 0.3)
    strength = 0.18 if plan.backdrop == "studio" else 0.5 * (1 - 0.5 * light.fill)
    dark = np.ones_like(before[..., :1]).repeat(1, axis=2)
    extras.cast_shadow(dark, result.cover, result.box,
                       (float(axis[0]) * reach, float(axis[1]) * reach),
                       max(2.0, (0.25 * tall + 3) * ppmm), strength)  # fmt: skip
    kept *= dark
    cover = result.cover[..., None]
    patch = kept[top:bottom, left:right]
    patch += (area - patch) * cover


def _hide(earlier: Painted, later: Painted) -> None:
    """Take away from an earlier unit's maps what a later one covers."""
    l1, t1, r1, b1 = earlier.box
    l2, t2, r2, b2 = later.box
    left, top, right, bottom = max(l1, l2), max(t1, t2), min(r1, r2), min(b1, b2)
    if left >= right or top >= bottom:
        return
    free = 1 - later.cover[top - t2 : bottom - t2, left - l2 : right - l2]
    earlier.cover[top - t1 : bottom - t1, left - l1 : right - l1] *= free


def _background(plan: Plan, rng: Rng, camera: Camera, wide: int, high: int) -> Array:
    if plan.backdrop in backdrop.FLAT:
        return backdrop.flat(rng, plan.backdrop, high, wide)
    step = max(1, max(wide, high) // 200)
    x, y = np.meshgrid(np.arange(0, wide + step, step, dtype=np.float32),
                       np.arange(0, high + step, step, dtype=np.float32))  # fmt: skip
    rays = camera.rays(x, y)
    dz = np.minimum(rays[..., 2], -0.05)
    t = -camera.place[2] / dz
    picture = backdrop.ground(rng, plan.backdrop, camera.place[0] + rays[..., 0] * t,
                              camera.place[1] + rays[..., 1] * t, (wide, high))  # fmt: skip
    shade = plan.light.fill + (1 - plan.light.fill) * max(plan.light.toward[2], 0.2)
    picture *= np.float32(shade)
    if rng.random() < 0.4:
        picture = cv2.GaussianBlur(picture, (0, 0), max(wide, high) * mix(rng, 0.0006, 0.003))
    return picture


def _others(plan: Plan, rng: Rng, unit: Unit, length: float) -> list[Unit]:
    """Further units of the same make around the first, printed alike."""
    found = []
    angle = mix(rng, 0, 2 * np.pi)
    for index in range(plan.units - 1):
        way = angle + index * mix(rng, 1.6, 3.2)
        gap = length * mix(rng, 0.72, 1.15)
        pose = Pose(float(np.cos(way) * gap), float(np.sin(way) * gap),
                    float(rng.choice([0.0, rng.normal(0, 15), mix(rng, -180, 180)])))  # fmt: skip
        found.append(replace(unit, pose=pose,
                             finish=replace(unit.finish, seed=unit.finish.seed + 7 + index)))  # fmt: skip
    return found


def _add_hand(
    plan: Plan, rng: Rng, picture: Array, camera: Camera, unit: Unit, plate: Plate,
    site: surface.Site, ppmm: float,
) -> Array:  # fmt: skip
    high, wide = picture.shape[:2]
    middle = camera.project(unit.pose.to_world(np.zeros((1, 3), np.float32)))[0]
    outline = unit.surface.outline
    lines = _heights(camera, unit, plate, site)
    if plan.hand == "over":
        number = int(rng.integers(len(lines)))
        if plan.covered:
            number = [plan.covered in p.line.values for p in plate.lines].index(True)
        pixels = lines[number][0]
        side = pixels[0] if rng.random() < 0.5 else pixels[len(pixels) // 2 - 1]
        share_in = mix(rng, 0.15, 0.6)
        if plan.covered:  # the last characters, for certain
            side, share_in = (pixels[len(pixels) // 2 - 1] + pixels[len(pixels) // 2]) / 2, 0.75
        tip = side + (pixels.mean(axis=0) - side) * share_in
    else:
        text = np.concatenate([p for p, _, _ in lines])
        edge = camera.project(unit.pose.to_world(np.pad(outline, ((0, 0), (0, 1)))))
        inner = edge + (middle - edge) * 0.10
        gap = np.linalg.norm(inner[:, None] - text[None], axis=2).min(axis=1)
        order = np.argsort(gap)[len(gap) // 2 :]
        tip = inner[int(rng.choice(order))]
    out = tip - middle
    away = float(np.arctan2(out[1], out[0]) + rng.normal(0, 0.3))
    colour, cover = extras.fingers(rng, (high, wide), (float(tip[0]), float(tip[1])),
                                   16 * ppmm * mix(rng, 0.85, 1.2), away,
                                   1 if plan.hand == "over" else int(rng.integers(1, 4)))  # fmt: skip
    shade = plan.light.fill + (1 - plan.light.fill) * max(plan.light.toward[2], 0.2)
    extras.cast_shadow(picture, cover, (0, 0, wide, high), (ppmm * 2, ppmm * 3), 5 * ppmm, 0.35)
    picture += (colour * shade - picture) * cover[..., None]
    return cover


def _photograph(plan: Plan, rng: Rng, picture: Array, cover: Array) -> tuple[
    npt.NDArray[np.uint8], float]:  # fmt: skip
    """Light, lens, sensor, file. Returns the picture and the factor its pixels grew by."""
    high, wide = picture.shape[:2]
    optics.uneven_light(rng, picture, plan.uneven, plan.shadow_edge)
    if plan.flare:
        rows, columns = np.nonzero(cover > 0.5)
        if len(rows):
            k = int(rng.integers(len(rows)))
            optics.flare(rng, picture, (float(columns[k]), float(rows[k])),
                         max(wide, high) * mix(rng, 0.04, 0.2), plan.flare)  # fmt: skip
    # Auto-exposure on the units: their median becomes what their cloth would be in full light.
    seen = picture[::4, ::4, 1][cover[::4, ::4] > 0.9]
    body = material.BODY[plan.body][1]
    median = float(np.median(seen)) if len(seen) > 20 else body
    gain = plan.exposure * body / max(median, 0.02) * (1.0 if body > 0.3 else mix(rng, 1.0, 1.9))
    if plan.backdrop == "studio":
        gain = min(gain, 1.9)
    picture *= np.float32(gain)
    if plan.backdrop != "studio":
        picture *= np.array(plan.cast, np.float32)
    picture = optics.lens(picture, plan.blur / plan.enlarged, plan.motion / plan.enlarged,
                          mix(rng, 0, np.pi), bool(rng.random() < 0.4))  # fmt: skip
    shown = optics.develop(picture, plan.contrast)
    image = optics.sensor(rng, shown, plan.noise, plan.sharpen, bool(rng.random() < 0.5))
    if rng.random() < 0.25:
        image = optics.squeeze_jpeg(image, int(rng.integers(60, 95)))
    if plan.enlarged > 1.0:
        size = (round(wide * plan.enlarged), round(high * plan.enlarged))
        image = cv2.resize(image, size, interpolation=cv2.INTER_CUBIC)
    if plan.mirrored:
        image = np.ascontiguousarray(image[:, ::-1])
    return optics.squeeze_jpeg(image, plan.quality), plan.enlarged


def _readable(x: float, blur: float, channel: float, grain: float, hidden: float, left: float,
              inside: bool) -> bool:  # fmt: skip
    """Whether a person could read the line from the picture alone; limits set by looking."""
    return bool(
        inside and x >= 5.0 and x / max(blur, 0.6) >= 3.3 and channel >= 0.055
        and channel / max(grain, 0.004) >= 1.5 and hidden < 0.06 and left > 0.45
    )  # fmt: skip


def _truth(
    plan: Plan, image: npt.NDArray[np.uint8], scale: float, camera: Camera,
    painted: list[tuple[Unit, Painted]], plate: Plate, site: surface.Site, hidden: Array | None,
) -> Made:  # fmt: skip
    high, wide = image.shape[:2]
    blur = float(np.hypot(plan.blur, plan.motion / 3.46))
    blur = float(np.hypot(blur, 0.45 * (max(1, scale))))
    lines: list[dict[str, Any]] = []
    info: dict[str, dict[str, Any]] = {}
    legible: dict[str, bool] = {}
    items = []
    main = len(painted) - 1
    roll = 0.0
    for index, (unit, result) in reversed(list(enumerate(painted))):
        ink = _to_frame(result.ink * result.cover, result.box, wide, high, scale, plan.mirrored)
        over = None
        if hidden is not None:
            over = cv2.resize(hidden, (wide, high)) if scale > 1 else hidden
            over = over[:, ::-1] if plan.mirrored else over
        marks_here: dict[str, str] = {}
        for part, (pixels, x, angle) in zip(
            plate.lines, _heights(camera, unit, plate, site), strict=True
        ):
            polygon = (pixels + 0.5) * scale - 0.5 if scale > 1 else pixels.copy()
            if plan.mirrored:
                polygon[:, 0] = wide - 1 - polygon[:, 0]
            x_px = x * scale
            seen = line_seen(image, ink, over, polygon, x_px, plan.process == "emboss")
            slack = 0.25 * x_px
            inside = bool(np.all(polygon >= -slack) and np.all(polygon <= [wide + slack,
                                                                         high + slack]))  # fmt: skip
            readable = _readable(x_px, blur, seen.channel_contrast, seen.grain, seen.hidden,
                                 seen.ink_left, inside)  # fmt: skip
            number = len(lines)
            entry = {
                "text": part.line.text,
                "polygon": [[round(float(p[0]), 1), round(float(p[1]), 1)] for p in polygon],
                "x_height_px": round(x_px, 2), "contrast": round(seen.contrast, 3),
                "channel_contrast": round(seen.channel_contrast, 3),
                "blur_sigma_px": round(blur, 2), "occluded": seen.hidden > 0.03,
                "hidden_fraction": round(seen.hidden, 3), "inside": inside,
                "marks": sorted(part.line.values), "legible": readable, "unit": main - index,
            }  # fmt: skip
            lines.append(entry)
            marks_here.update({k: v for k, v in part.line.values.items() if k not in marks_here})
            if index != main:
                continue
            if "filter_class" in part.line.values or not roll:
                roll = angle
            for name in part.line.values:
                if name not in info:
                    info[name] = {k: entry[k] for k in ("x_height_px", "contrast", "occluded")}
                    info[name]["line"] = number
                    legible[name] = readable
                elif readable:
                    legible[name] = True
        items.append({"unit": main - index, "marks": marks_here})
    own = [e for e in lines if e["unit"] == 0 and e["marks"]]
    x_min = min(e["x_height_px"] for e in own)
    c_min = min(e["contrast"] for e in own)
    covered = any(e["occluded"] for e in own)
    difficulty = grade(x_min, c_min, blur, covered, plan.tilt)
    marks: dict[str, str | None] = dict.fromkeys(MARKS)
    marks.update(plan.what.marks)
    truth: dict[str, Any] = {
        "width": wide, "height": high, "exif_orientation": plan.exif,
        "jpeg_quality": plan.quality, "scheme": plan.what.scheme,
        "planted_fault": plan.what.fault, "class_suffix": plan.what.suffix, "marks": marks,
        "legible": {name: legible.get(name, False) for name in marks}, "mark_info": info,
        "lines": lines, "items": items, "units": len(painted), "shape": plan.shape,
        "ink": plan.ink if plan.process != "emboss" else "none", "body": plan.body,
        "process": plan.process, "roll": round(roll, 1), "mirrored": plan.mirrored,
        "tilt": round(plan.tilt, 1), "blur_sigma_px": round(blur, 2), "x_height_px": x_min,
        "contrast": c_min, "occluded": covered, "background": plan.backdrop,
        "head_form": plan.head, "difficulty": difficulty, "seed": list(plan.seed),
    }  # fmt: skip
    return Made(image, truth)


def _to_frame(
    part: Array, box: tuple[int, int, int, int], wide: int, high: int, scale: float, mirrored: bool
) -> Array:
    left, top, right, bottom = box
    if scale > 1:
        size = (max(1, round((right - left) * scale)), max(1, round((bottom - top) * scale)))
        part = cv2.resize(part, size, interpolation=cv2.INTER_LINEAR)
        left, top = round(left * scale), round(top * scale)
    out = np.zeros((high, wide), np.float32)
    h, w = min(part.shape[0], high - top), min(part.shape[1], wide - left)
    out[top : top + h, left : left + w] = part[:h, :w]
    return out[:, ::-1] if mirrored else out


def grade(x_height: float, contrast: float, blur: float, occluded: bool, tilt: float) -> str:
    """Difficulty by measured quantities: px, share of full scale, px, -, degrees."""
    if x_height < 13 or contrast < 0.2 or blur > 2.2 or occluded:
        return "hard"
    if x_height >= 20 and contrast >= 0.35 and blur <= 1.2 and tilt < 20:
        return "easy"
    return "medium"


def _nudge(plan: Plan, wish: str, rng: Rng) -> Plan:
    """After a miss: draw less freely what decides the difficulty."""
    strong = "white" if plan.body in _DARK else str(rng.choice(["black", "black", "blue"]))
    if wish == "easy":
        return replace(plan, ink=strong, opacity=mix(rng, 0.92, 1.0), patchy=mix(rng, 0.05, 0.3),
                       exposure=max(plan.exposure, 0.7), flare=0.0, wear=mix(rng, 0, 0.15),
                       blur=min(plan.blur, 0.8), hand="none", process=_solid(plan))  # fmt: skip
    if wish == "medium":
        return replace(plan, ink=strong, opacity=mix(rng, 0.75, 1.0), hand="none", flare=0.0,
                       exposure=max(plan.exposure, 0.5), blur=mix(rng, 1.0, 1.8),
                       x_target=mix(rng, 13.6, 19.5), patchy=min(plan.patchy, 0.6), motion=0.0,
                       process=_solid(plan))  # fmt: skip
    return replace(plan, x_target=mix(rng, 6.0, 12.6), blur=min(plan.blur, 1.1), motion=0.0)


def _solid(plan: Plan) -> str:
    return "pad" if plan.process in ("laser", "emboss") else plan.process


def render_photo(
    seed: int, difficulty: str | None = None, scheme: str | None = None,
    fault: str | None = None, what: Print | None = None, **choices: Any,
) -> Made:  # fmt: skip
    """A photograph for a seed: the same arguments always give the same bytes.

    difficulty: easy, medium, hard or None (drawn); it is a wish, met by trying again with the
    next sub-seed, and `truth["difficulty"]` is what was measured. scheme and fault as in
    `content`; fault "" forces none. `what` fixes the print, `choices` any field of `Plan`.
    """
    rng = np.random.default_rng([seed, 0])
    wish = difficulty or str(rng.choice(DIFFICULTIES, p=[0.35, 0.35, 0.30]))
    if wish not in DIFFICULTIES:
        raise ValueError(f"difficulty is one of {', '.join(DIFFICULTIES)}, not {wish!r}")
    if what is None:
        name = scheme or str(rng.choice(SCHEMES, p=SCHEME_WEIGHTS))
        planted = fault or None
        if fault is None and rng.random() < 0.25:
            planted = str(rng.choice(FAULTS[name]))
        what = compose(rng, name, planted)
    best: Made | None = None
    for attempt in range(ATTEMPTS):
        plan = make_plan(np.random.default_rng([seed, 1, attempt]), wish, what, (seed, attempt))
        if attempt:
            plan = _nudge(plan, wish, np.random.default_rng([seed, 2, attempt]))
        if choices:
            plan = replace(plan, **choices)
        made = render(plan)
        seen = [v for k, v in made.truth["legible"].items() if k in made.truth["mark_info"]]
        inside = all(e["inside"] for e in made.truth["lines"] if e["unit"] == 0)
        # Pictures with nothing to read teach nothing; a few cut prints are wanted.
        useful = (inside or attempt > 3) and (any(seen) or attempt > 4)
        if made.truth["difficulty"] == wish and useful:
            return made
        if best is None or (useful and best.truth["difficulty"] != wish):
            best = made
    assert best is not None
    return best
