"""Builds what a plan describes and paints it: units, ground, hands, light, lens, file."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

from tests.renderer.lens import optics
from tests.renderer.lens.camera import Camera, Pose, aim
from tests.renderer.printed import layout
from tests.renderer.printed.content import Print, Rng
from tests.renderer.printed.layout import Plate
from tests.renderer.things import backdrop, extras, material, surface
from tests.renderer.things.noise import Array, mix
from tests.renderer.things.unit import Finish, Painted, Unit, on_surface, paint

from .plan import Plan
from .truth import describe, heights


def widest(what: Print) -> float:
    """Width of the plate that a print asks for, as a multiple of the height of its capitals."""
    longest = max(len(line.text) * line.size for line in what.lines)
    return float(np.clip(longest * 0.75, 7, 17))


def _fit_plate(plan: Plan, what: Print, site: surface.Site, seed: list[int]) -> tuple[float, float]:
    """Cap height that makes the plate fit its site, x-height of its smallest mark line; in mm."""
    k = widest(what)
    trial = layout.make_plate(np.random.default_rng(seed), what, plan.setting, 3.0, 4.0, 3.0 * k)
    wide, high = trial.size_mm
    scale = min(site.wide * plan.fill / wide, site.high * min(1.0, plan.fill + 0.15) / high)
    cap = float(np.clip(3.0 * scale, 1.1, 11.0))
    smallest = min(p.x_mm for p in trial.lines if p.line.values or len(trial.lines) == 1)
    return cap, smallest * cap / 3.0


@dataclass(frozen=True, slots=True)
class _Draft:
    """A unit whose plate is not set yet."""

    unit: Unit
    site: surface.Site
    what: Print
    setting: layout.Setting
    cap: float  # mm
    smallest: float  # x-height of the smallest line that bears a mark, mm
    seed: list[int]

    def plate(self, ppmm: float) -> Plate:
        """The clean plate at a resolution; the same arrangement at every resolution."""
        rng = np.random.default_rng(self.seed)
        return layout.make_plate(rng, self.what, self.setting, self.cap, ppmm,
                                 self.cap * widest(self.what))  # fmt: skip


_TRIMS = ((0.85, 0.86, 0.86), (0.85, 0.86, 0.86), (0.10, 0.65, 0.82), (0.55, 0.25, 0.08),
          (0.06, 0.06, 0.07), (0.12, 0.10, 0.60), (0.45, 0.55, 0.20))  # fmt: skip


def _draft(plan: Plan, number: int) -> _Draft:
    """The first unit (number 0) or its companion of another shape (number 1)."""
    rng = np.random.default_rng([*plan.seed, 1, number])
    shape, what, body, ink = plan.shape, plan.what, plan.body, plan.ink
    process, setting = plan.process, plan.setting
    if number:
        assert plan.second is not None
        what = plan.second
        packs = ("carton", "pouch")
        shape = "dome" if shape in packs else packs[int(rng.integers(2))]
        body = str(rng.choice(["white", "sky", "blue", "warm white", "navy"]))
        ink = "white" if body in ("navy", "blue") else str(rng.choice(["black", "blue", "black"]))
        process = "flexo" if shape in packs else "pad"
        setting = layout.choose_setting(rng, process)
    built = surface.SHAPES[shape](rng)
    site = built.sites[int(rng.integers(len(built.sites)))]
    seed = [*plan.seed, 2, number]
    cap, smallest = _fit_plate(replace(plan, setting=setting), what, site, seed)
    kind = {"pouch": "film", "carton": "board"}.get(shape, "nonwoven")
    colour = (0.30, 0.38, 0.45) if process == "laser" else material.INK[ink]
    gloss = plan.gloss if not number else (0.3 if kind == "film" else 0.05)
    finish = Finish(kind, material.BODY[body], colour, process, plan.opacity, plan.patchy,
                    plan.relief, gloss if kind != "nonwoven" else 0.0,
                    _TRIMS[int(rng.integers(len(_TRIMS)))], int(rng.integers(2**31)))  # fmt: skip
    empty = material.Cloth(np.zeros((2, 2, 3), np.float32), 1.0)
    return _Draft(Unit(built, Pose(), finish, empty, ()), site, what, setting, cap, smallest, seed)


def _print_on(plan: Plan, rng: Rng, draft: _Draft, ppmm: float) -> Unit:
    """The unit with its cloth and its worn plate."""
    fine = float(np.clip(ppmm * 1.4, 3.0, 40.0))
    clean = draft.plate(fine)
    ink = layout.spoil(rng, clean.ink, fine, draft.unit.finish.process, plan.wear)
    toward = plan.light.toward
    cloth = material.cloth(rng, ppmm, draft.unit.finish.material, (toward[0], toward[1]))
    plate = replace(clean, clean=clean.ink, ink=ink)
    return replace(draft.unit, cloth=cloth, plates=((plate, draft.site),))


def _framing(plan: Plan, draft: _Draft) -> tuple[Camera, int, int, float]:
    """Camera, frame (w, h) and scale that give the letters their wanted height."""
    x_target = plan.x_target / plan.enlarged
    coarse = draft.plate(4.0)
    anchor = on_surface(draft.unit.surface, draft.site, np.zeros((1, 2), np.float32))[0]
    draws = np.random.default_rng([*plan.seed, 4])
    share = mix(draws, 0.15, 0.6)
    jitter = draws.normal(0, 0.04, 2) * (0.3 if plan.head else 1.0)
    length = 2 * max(draft.unit.surface.half_x, draft.unit.surface.half_y)
    widest = max(coarse.size_mm)

    def set_up(scale: float) -> tuple[Camera, int, int]:
        longer = float(np.clip(length * scale * plan.zoom, 330, plan.longest))
        longer = max(longer, 1.15 * widest * scale * max(plan.aspect, 1 / plan.aspect))
        near = np.clip((longer / scale / length - 0.75) / 0.5, 0, 1)  # 0: a close-up of the print
        middle = share * near + (1 - near)
        target = anchor * np.array([middle, middle, 0.5], np.float32)
        wide = int(longer if plan.aspect >= 1 else longer * plan.aspect)
        high = int(longer / plan.aspect if plan.aspect >= 1 else longer)
        centre = (wide * (0.5 + float(jitter[0])), high * (0.5 + float(jitter[1])))
        camera = aim(target.astype(np.float32), plan.distance, plan.tilt, plan.azimuth, plan.roll,
                     scale, centre)  # fmt: skip
        return camera, wide, high

    foreshortened = max(np.cos(np.radians(plan.tilt)), 0.75)
    ppmm = float(np.clip(x_target / draft.smallest / foreshortened, 1.2, 30))
    rough = heights(set_up(ppmm)[0], draft.unit, coarse, draft.site)
    worst = min(x for (_, x, _), p in zip(rough, coarse.lines, strict=True) if p.line.values)
    ppmm = float(np.clip(ppmm * x_target / max(worst, 0.1), 1.2, 34))
    return *set_up(ppmm), ppmm


def render(plan: Plan) -> tuple[npt.NDArray[np.uint8], dict[str, Any]]:
    """Render one plan: the picture and its truth, whose difficulty is measured, not wished."""
    draft = _draft(plan, 0)
    camera, wide, high, ppmm = _framing(plan, draft)
    rng = np.random.default_rng([*plan.seed, 3])
    unit = _print_on(plan, rng, draft, ppmm)
    length = 2 * max(unit.surface.half_x, unit.surface.half_y)
    others = _others(plan, rng, unit, length)
    if plan.second is not None:
        others.append(_companion(plan, rng, unit, ppmm))
    picture = _background(plan, rng, camera, wide, high)
    light = plan.light
    shade = light.fill + (1 - light.fill) * max(light.toward[2], 0.2)
    if plan.head:
        centre = camera.project(np.zeros((1, 3), np.float32))[0]
        extras.head_form(rng, picture, (float(centre[0]), float(centre[1])), ppmm, -plan.roll)
    painted: list[tuple[Unit, Painted]] = []
    unit_cover = np.zeros((high, wide), np.float32)
    for each in (*others, unit):
        if plan.straps:
            extras.straps(np.random.default_rng([*plan.seed, 5]), picture, camera, each, ppmm,
                          shade)  # fmt: skip
        result = paint(picture, camera, each, light, ppmm)
        if result is None:
            continue
        if not plan.head and plan.backdrop != "dark":
            _ground_shadow(plan, picture, result, camera, each.surface.top, ppmm)
        left, top, right, bottom = result.box
        for _, earlier in painted:
            _hide(earlier, result)
        area = unit_cover[top:bottom, left:right]
        np.maximum(area, result.cover, out=area)
        painted.append((each, result))
    hidden = None
    if plan.hand != "none":
        hidden = _add_hand(plan, rng, picture, camera, unit, *unit.plates[0], ppmm)
    image, scale = _photograph(plan, rng, picture, unit_cover)
    return image, describe(plan, image, scale, camera, painted, hidden)


def _companion(plan: Plan, rng: Rng, unit: Unit, ppmm: float) -> Unit:
    """The pack beside a mask, or the mask beside a pack."""
    other = _print_on(plan, rng, _draft(plan, 1), ppmm)
    way = mix(rng, 0, 2 * np.pi)
    a, b = unit.surface, other.surface
    gap_x, gap_y = (a.half_x + b.half_x) * 0.85, (a.half_y + b.half_y) * 0.85
    pose = Pose(float(np.cos(way) * gap_x), float(np.sin(way) * gap_y), float(rng.normal(0, 9)))
    return replace(other, pose=pose)


def _ground_shadow(
    plan: Plan, picture: Array, result: Painted, camera: Camera, tall: float, ppmm: float
) -> None:
    """Darken the ground around a unit that has just been painted, not the unit itself."""
    left, top, right, bottom = result.box
    kept = picture[top:bottom, left:right].copy()
    toward = plan.light.toward
    axis = np.array([-toward[0], -toward[1], 0.0]) @ camera.axes.T
    reach = tall * 0.5 * ppmm / max(toward[2], 0.3)
    strength = 0.18 if plan.backdrop == "studio" else 0.5 * (1 - 0.5 * plan.light.fill)
    extras.cast_shadow(picture, result.cover, result.box,
                       (float(axis[0]) * reach, float(axis[1]) * reach),
                       max(2.0, (0.25 * tall + 3) * ppmm), strength)  # fmt: skip
    patch = picture[top:bottom, left:right]
    patch += (kept - patch) * result.cover[..., None]


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
        found.append(
            replace(unit, pose=pose, finish=replace(unit.finish, seed=unit.finish.seed + 7 + index))
        )
    return found


def _add_hand(
    plan: Plan, rng: Rng, picture: Array, camera: Camera, unit: Unit, plate: Plate,
    site: surface.Site, ppmm: float,
) -> Array:  # fmt: skip
    high, wide = picture.shape[:2]
    middle = camera.project(unit.pose.to_world(np.zeros((1, 3), np.float32)))[0]
    outline = unit.surface.outline
    lines = heights(camera, unit, plate, site)
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
    colour, cover = extras.fingers(
        rng,
        (high, wide),
        (float(tip[0]), float(tip[1])),
        16 * ppmm * mix(rng, 0.85, 1.2),
        away,
        1 if plan.hand == "over" else int(rng.integers(1, 4)),
    )
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
