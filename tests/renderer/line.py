"""render_line: straightened line crops, fast, with the same ink and cloth as the photographs."""

from __future__ import annotations

import functools
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from tests.renderer.lens import optics
from tests.renderer.lens.measure import readable
from tests.renderer.printed import faces, layout
from tests.renderer.printed.content import Line, Rng, date, digits, letters, lot, model, pick
from tests.renderer.printed.schemes import SCHEMES, compose
from tests.renderer.things import material
from tests.renderer.things.noise import Array, mix, smooth

HEIGHT = 48  # px, what a line recogniser is usually fed
_TILES = 72
_WEIGHTS = (0.36, 0.26, 0.13, 0.06, 0.06, 0.05, 0.02, 0.02, 0.02, 0.02)


@dataclass(frozen=True, slots=True)
class Strip:
    """A line crop (HEIGHT, w, 3) BGR uint8, its text, its marks and how clear it is."""

    image: npt.NDArray[np.uint8]
    text: str
    values: dict[str, str]
    x_height_px: float  # before enlarging, as in a photograph
    contrast: float
    blur_sigma_px: float
    process: str
    legible: bool
    seed: int


@functools.lru_cache(maxsize=_TILES)
def _tile(index: int) -> material.Cloth:
    rng = np.random.default_rng([77, index])
    kind = "nonwoven" if index % 6 else ("film" if index % 12 else "board")
    ppmm = float(np.exp(rng.uniform(np.log(2.0), np.log(13.0))))
    light = rng.normal(0, 0.5, 2)
    return material.cloth(rng, ppmm, kind, (float(light[0]), float(light[1])))


def _number_line(rng: Rng) -> Line:
    """Numbers on their own, where one wrong character matters most."""
    kind = int(rng.integers(9))
    if kind <= 2:
        start = pick(
            rng, "TC-84A-", "TC-84A-", "TC-84A-", "TC 84A-", "TC-84A ", "TC84A-", "TC#84A-"
        )
        value = start + digits(rng, 4 if rng.random() < 0.94 else int(rng.integers(3, 6)))
        before = pick(rng, "", "", "", "NIOSH ", "APPROVAL ", "NIOSH N95 ", "N95 ")
        after = pick(rng, "", "", "", " N95", " P100")
        return Line(before + value + after, {"approval_number": value})
    if kind == 3:
        value = digits(rng, 4 if rng.random() < 0.92 else 3)
        return Line(f"CE {value}" if rng.random() < 0.8 else f"CE{value}", {"body_number": value})
    if kind == 4:
        value = "CM/L-" + digits(rng, int(rng.choice([7, 7, 8, 10])))
        return Line(value, {"approval_number": value})
    if kind == 5:
        value = digits(rng, 5)
        if rng.random() < 0.4:
            value = f"{value[:2]}.{value[2:]}"
        return Line(pick(rng, "CA ", "C.A. ", "CA: ", "CA N. ") + value, {"approval_number": value})
    if kind == 6:
        value = lot(rng)
        return Line(pick(rng, "LOT ", "Lot No. ", "BATCH ", "L ", "LOT: ", "LOTE ", "") + value,
                    {"lot": value})  # fmt: skip
    if kind == 7:
        value = date(rng, 2015, 2032)
        return Line(pick(rng, "EXP ", "MFG ", "USE BY ", "Mfg: ", "EXP: ", "") + value, {})
    value = model(rng, pick(rng, "N95", "FFP2", "KN95"), letters(rng, 3))
    return Line(pick(rng, "", "", "MODEL ", "REF ", "P/N: ", "Model: ") + value, {"model": value})


def _choose(rng: Rng) -> Line:
    if rng.random() < 0.42:
        return _number_line(rng)
    scheme = str(rng.choice(SCHEMES, p=_WEIGHTS))
    lines = compose(rng, scheme, None).lines
    return lines[int(rng.integers(len(lines)))]


def _ground_colours(rng: Rng) -> tuple[Array, Array]:
    bodies = list(material.BODY)
    odds = np.array([10, 5, 2, 2, 2, 2, 2, 0.8, 1, 1.2, 0.7, 0.6, 0.8, 0.6, 0.6])
    body = bodies[int(rng.choice(len(bodies), p=odds / odds.sum()))]
    if body in ("black", "dark grey", "navy"):
        ink = pick(rng, "white", "white", "white", "silver")
    else:
        ink = pick(rng, "black", "black", "black", "black", "black", "grey", "blue", "blue",
                   "violet", "green", "red", "orange", "brown", "magenta")  # fmt: skip
        if body in ("blue", "green", "orange") and rng.random() < 0.15:
            ink = "white"
    return np.array(material.BODY[body], np.float32), np.array(material.INK[ink], np.float32)


def _bend(rng: Rng, ink: Array, cap: float, wide: int, high: int) -> tuple[Array, Array]:
    """Maps from the strip to the set line: what a straightener leaves of curve, tilt and cut."""
    x = np.linspace(0, 1, wide, dtype=np.float32)
    across = (x * 2 - 1)[None, :]
    y = np.arange(high, dtype=np.float32)[:, None]
    curve = across**2 * rng.normal(0, 0.06) + across**3 * rng.normal(0, 0.04)
    curve = curve + np.sin(across * rng.uniform(1, 6) + rng.uniform(0, 6)) * rng.normal(0, 0.025)
    tilt = across * rng.normal(0, 0.05) * min(1.0, wide / max(8 * cap, 1))
    scale = 1 + rng.normal(0, 0.05) + across * rng.normal(0, 0.04)
    middle = ink.shape[0] / 2
    v = (y - high / 2 - rng.normal(0, 0.06) * cap) * scale + middle + (curve + tilt) * cap
    left = float(rng.uniform(0.05, 0.9)) * cap
    right = float(rng.uniform(0.05, 0.9)) * cap
    if rng.random() < 0.06:
        left = -0.04 * cap
    u = -left + x * (ink.shape[1] + left + right)
    u = u + np.sin(x * rng.uniform(2, 9) + rng.uniform(0, 6)) * rng.normal(0, 0.08) * cap
    shear = rng.normal(0, 0.05)
    return (u[None, :] + shear * (v - middle)).astype(np.float32), v.astype(np.float32)


def line_strip(seed: int) -> Strip:
    """A line crop with everything known about it; the same seed gives the same bytes.

    About one strip in twenty-five is beyond reading and says so in `legible`.
    """
    strip = _strip(seed, 0)
    for attempt in range(1, 4):
        if strip.legible or (seed * 2654435761 >> 7) % 5 == 0:
            break
        strip = _strip(seed, attempt)
    return strip


def bears(seed: int, mark: str) -> bool:
    """Whether the first attempt at this strip bears the mark, known without drawing it."""
    return mark in _choose(np.random.default_rng([seed, 51, 0])).values


def _left(clean: Array, worn: Array, characters: int) -> float:
    """Least share of ink left over windows of one character."""
    edges = np.linspace(0, clean.shape[1], max(characters, 1) + 1).astype(int)[:-1]
    whole = np.add.reduceat(clean.sum(axis=0), edges)
    left = np.add.reduceat(worn.sum(axis=0), edges)
    there = whole > 0.35 * np.median(whole)
    return float((left[there] / whole[there]).min()) if there.any() else 0.0


def _strip(seed: int, attempt: int) -> Strip:
    rng = np.random.default_rng([seed, 51, attempt])
    line = _choose(rng)
    process = str(rng.choice(["pad", "inkjet", "laser", "emboss"], p=[0.71, 0.16, 0.06, 0.07]))
    setting = layout.choose_setting(rng, process)
    style = {"body": setting.body, "head": setting.head, "logo": setting.logo,
             "code": setting.code, "small": setting.small}[line.role]  # fmt: skip
    text = faces.as_drawn(line.text, style.face)
    values = {k: faces.as_drawn(v, style.face) for k, v in line.values.items()}
    x_height = float(np.exp(rng.uniform(np.log(5.5), np.log(34.0))))
    cap = x_height / faces.x_height_share(style)
    grow = 1.0 if cap > 26 else 1.5
    ink = faces.typeset(text, cap * grow, style)

    # Margins above and below, as shares of the letter height, and neighbours that peep in.
    room = cap * float(rng.uniform(1.25, 2.0)) + 2
    high = max(10, round(room))
    wide = max(high, round(ink.shape[1] / grow + cap * 0.9))
    u, v = _bend(rng, ink, cap * grow, wide, high)
    v = (v - ink.shape[0] / 2) * grow + ink.shape[0] / 2
    if rng.random() < 0.3:
        other = faces.typeset(pick(rng, "NIOSH N95", "LOT 2231", "EN 149:2001", "Model 77", "M/L"),
                              cap * grow * float(rng.uniform(0.6, 1.1)), style)  # fmt: skip
        gap = int(cap * grow * rng.uniform(0.3, 0.7))
        block = np.zeros((other.shape[0] + gap, ink.shape[1]), np.float32)
        n = min(other.shape[1], ink.shape[1])
        off = (ink.shape[1] - n) // 2
        block[: other.shape[0], off : off + n] = other[:, :n]
        if rng.random() < 0.5:
            v = v + block.shape[0]
            ink = np.concatenate([block, ink])
        else:
            ink = np.concatenate([ink, np.roll(block, gap, 0)])
    wear = float(rng.uniform(0, 0.55))
    clean_ink = ink
    if rng.random() < 0.6:
        ink = layout.spoil(rng, ink, cap * grow / float(rng.uniform(1.8, 4.5)), process, wear)
    cover = cv2.remap(ink, u, v, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=0)

    tile = _tile(int(rng.integers(_TILES)))
    step = float(rng.uniform(0.85, 1.15))
    turn = float(rng.uniform(0, 2 * np.pi))
    gx, gy = np.meshgrid(np.arange(wide, dtype=np.float32) * step,
                         np.arange(high, dtype=np.float32) * step)  # fmt: skip
    c, s = np.float32(np.cos(turn)), np.float32(np.sin(turn))
    at = rng.uniform(0, material.SIDE, 2).astype(np.float32)
    cloth = cv2.remap(tile.tile, gx * c - gy * s + at[0], gx * s + gy * c + at[1],
                      cv2.INTER_LINEAR, borderMode=cv2.BORDER_WRAP)  # fmt: skip
    body, colour = _ground_colours(rng)
    relief = mix(rng, 0.2, 1.5)
    patchy = mix(rng, 0.05, 0.9)
    opacity = mix(rng, 0.85, 1.0) if rng.random() < 0.7 else mix(rng, 0.3, 0.85)
    lit = 1 + 0.10 * relief * cloth[..., 0]
    fall = smooth(rng, high, wide, 2.5) * np.float32(mix(rng, 0.0, 0.14))
    lit = lit * (1 + fall)
    albedo = body * (1 + 0.035 * cloth[..., 1:2])
    if process == "emboss":
        reach = max(0.6, 0.05 * cap)
        soft = cv2.GaussianBlur(cover, (0, 0), reach)
        a = rng.uniform(0, 2 * np.pi)
        k = max(1, round(reach))
        edge = (soft - np.roll(soft, k, 1)) * np.cos(a) + (soft - np.roll(soft, k, 0)) * np.sin(a)
        lit = lit - (1.6 * edge + 0.10 * soft) * mix(rng, 0.5, 1.6)
    else:
        if process == "laser":
            colour = np.array([0.30, 0.38, 0.45], np.float32)
            opacity *= 0.75
        take = np.clip(1 + patchy * (0.45 * cloth[..., 2] - 0.1), 0, 1.15)
        shown = (np.clip(cover * take, 0, 1) * opacity)[..., None]
        albedo = albedo * (1 - shown) + colour * shown
    exposure = mix(rng, 0.65, 1.2) if rng.random() < 0.85 else mix(rng, 0.3, 0.65)
    cast = 1 + rng.normal(0, 0.05, 3).astype(np.float32)
    picture = (albedo * np.maximum(lit, 0.03)[..., None] * exposure * cast).astype(np.float32)
    if rng.random() < 0.06:
        power = mix(rng, 0.1, 0.5)
        picture += np.clip(smooth(rng, high, wide, 3), 0, 2)[..., None] * np.float32(power)

    sharp = x_height / 3.6  # beyond this nobody reads it
    blur = float(min(rng.gamma(2.0, 0.42) + 0.35, sharp))
    motion = mix(rng, 1.5, 4.0) if (rng.random() < 0.12 and x_height > 9) else 0.0
    picture = optics.lens(picture, blur, min(motion, x_height / 3), mix(rng, 0, np.pi),
                          bool(rng.random() < 0.3))  # fmt: skip
    image_f = optics.develop(picture, mix(rng, -0.1, 0.6))
    clean = image_f @ np.array([0.114, 0.587, 0.299], np.float32)
    noise = float(rng.gamma(1.2, 1.6))
    image = optics.sensor(rng, image_f, noise, mix(rng, 0, 0.8) if rng.random() < 0.4 else 0.0,
                          bool(rng.random() < 0.4))  # fmt: skip
    if rng.random() < 0.75:
        image = optics.squeeze_jpeg(image, int(rng.integers(50, 95)))
    core, ground = cover > 0.7, cover < 0.03
    contrast = channel = 0.0
    spread = 1.0
    if core.any() and ground.any():
        contrast = abs(float(clean[core].mean() - clean[ground].mean())) / 255.0
        part = image.astype(np.float32) / 255.0
        channel = float(np.abs(part[core].mean(axis=0) - part[ground].mean(axis=0)).max())
        spread = float(part[ground].std(axis=0).mean())
    if process == "emboss":
        text_spread = float((image[cover > 0.02].astype(np.float32) / 255.0).std())
        channel = contrast = 2.5 * float(np.sqrt(max(0.0, text_spread**2 - spread**2)))
    whole = cv2.remap(clean_ink, u, v, cv2.INTER_LINEAR)
    worn = cover if process == "emboss" else shown[..., 0] / opacity
    legible = readable(x_height, blur, channel, spread, _left(whole, worn, len(text)),
                       process == "emboss")  # fmt: skip
    ratio = HEIGHT / high
    method = cv2.INTER_AREA if ratio < 1 else (cv2.INTER_CUBIC if rng.random() < 0.7 else
                                               cv2.INTER_LINEAR)  # fmt: skip
    image = cv2.resize(image, (max(HEIGHT // 2, round(wide * ratio)), HEIGHT), interpolation=method)
    return Strip(image, text, values, x_height, contrast, blur, process, legible, seed)


def render_line(seed: int) -> tuple[npt.NDArray[np.uint8], str]:
    """A straightened line crop (HEIGHT, w, 3) BGR and its text."""
    strip = line_strip(seed)
    return strip.image, strip.text
