"""Drawn print whose class may have lost its first letter: embossed, cut by the picture, folded.

`KN95` without its K is `N95`, which is another class: what is left looks whole.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

from tests.renderer.printed import faces
from tests.renderer.printed.content import Line, Print, Rng, holder, model, pick
from tests.renderer.printed.layout import Setting
from tests.renderer.things.noise import mix

from .plan import make_plan
from .scene import render

#: Classes with what may stand beside them; less their first letter each is a form by itself.
CLASSES = {"KN95": "GB2626-2019", "KP95": "GB2626-2019", "FFP2": "EN 149:2001+A1:2009",
           "FFP3": "EN 149:2001+A1:2009", "R95": "NIOSH", "N95": "NIOSH"}  # fmt: skip
WAYS = ("embossed", "cut", "folded", "plain")


@dataclass(frozen=True, slots=True)
class Lossy:
    """A picture (BGR, uint8) of a print with a class; `left` is the share of its first letter (of
    FFP2 also its first two) that is left in the picture, 1 where nothing hides it.
    """

    image: npt.NDArray[np.uint8]
    way: str
    grade: str
    left: float
    seed: int


def pictures(count: int, first_seed: int) -> Iterator[Lossy]:
    """Pictures of every way and class in turn."""
    for number in range(count):
        way = WAYS[number % len(WAYS)]
        grade = list(CLASSES)[number // len(WAYS) % len(CLASSES)]
        yield picture(way, grade, first_seed + number)


def picture(way: str, grade: str, seed: int) -> Lossy:
    """One picture; the same arguments give the same bytes."""
    rng = np.random.default_rng([seed, 77])
    face = faces.PLAIN[int(rng.integers(len(faces.PLAIN)))]
    style = faces.Style(face)
    setting = Setting(style, style, style, style, style, 0.6, "centre", 0.0, False, False, 9)
    plain = way == "plain"
    fixed: dict[str, Any] = {
        "setting": setting, "second": None, "units": 1, "head": False, "hand": "none",
        "mirrored": False, "enlarged": 1.0, "exif": 1, "flare": 0.0, "motion": 0.0,
        "longest": 1100, "x_target": mix(rng, 16, 34), "wear": mix(rng, 0.0, 0.2),
        "shape": pick(rng, "fold_vertical", "fold_panels", "dome"),
    }  # fmt: skip
    if way == "embossed":
        fixed |= {"process": "emboss", "opacity": mix(rng, 0.5, 1.6)}
    else:
        fixed |= {"roll": 0.0, "tilt": mix(rng, 0, 8), "process": "pad" if plain else
                  pick(rng, "pad", "pad", "emboss"), "opacity": mix(rng, 0.85, 1.2)}  # fmt: skip
    what = _print(rng, grade, whole=plain)
    plan = make_plan(np.random.default_rng([seed, 78]), "medium", what, (seed, 0))
    image, truth = render(replace(plan, **fixed))
    left = 1.0
    if way in ("cut", "folded"):
        left = mix(rng, 0.0, 0.6)
        line = next(one for one in truth["lines"] if one["marks"] == ["filter_class"])
        gone = 2 if grade.startswith("FFP") and rng.random() < 0.5 else 1
        share = _share(grade, gone, style)
        image = _hidden(rng, image, line["polygon"], share, left, cut=way == "cut")
    return Lossy(image, way, grade, left, seed)


def _print(rng: Rng, grade: str, *, whole: bool) -> Print:
    """A class on a line of its own, alone or with a name, a model and what backs it."""
    maker = holder(rng)
    lines = [
        Line(maker, {"manufacturer": maker}, "logo", 0.9),
        Line(grade, {"filter_class": grade}, "head", 1.5),
        Line(CLASSES[grade], {}, "body", 0.8),
    ]
    if grade in ("N95", "R95"):
        lines.append(Line("TC-84A-9981", {"approval_number": "TC-84A-9981"}, "body", 0.8))
    if not whole:
        lines = [line for line in lines if "filter_class" in line.values or rng.random() < 0.5]
    if whole and rng.random() < 0.5:
        code = model(rng, grade, maker)
        lines.append(Line(code, {"model": code}, "body", 0.8))
    return Print("US-NIOSH", None, tuple(lines))


def _share(text: str, gone: int, style: faces.Style) -> float:
    """Where the letters after the first `gone` begin, as a share of the width of the line."""
    whole, rest = (faces.typeset(part, 100, style).shape[1] for part in (text, text[gone:]))
    return float(1 - rest / whole)


def _hidden(
    rng: Rng, image: npt.NDArray[np.uint8], polygon: list[list[float]], share: float, left: float,
    *, cut: bool,
) -> npt.NDArray[np.uint8]:  # fmt: skip
    """The picture cut, or the cloth folded over, inside the first letters of a line."""
    points = np.array(polygon)
    half = len(points) // 2
    start, end = (points[0] + points[-1]) / 2, (points[half - 1] + points[half]) / 2
    letter = share * (end - start)
    at = round(float(start[0] + (1 - left) * letter[0] * 0.92))
    if cut:
        return np.ascontiguousarray(image[:, max(0, at) :])
    tall = float(np.linalg.norm(points[0] - points[-1]))
    wide = round(float(at - start[0]) + 0.5 * tall)
    low, high = (round(float(np.clip(start[1] + k * 1.6 * tall, 0, len(image)))) for k in (-1, 1))
    out = image.astype(np.float32)
    # The fold is the cloth from just before the print, laid over it, with its edge in shade.
    from_x = max(0, at - 2 * wide)
    patch = out[low:high, from_x : from_x + min(wide, at)].copy()
    place = slice(at - patch.shape[1], at)
    rise = np.linspace(0.0, mix(rng, 0.02, 0.12), patch.shape[1], dtype=np.float32)
    out[low:high, place] = patch * (1 + rise)[None, :, None]
    shade = max(2, round(0.09 * tall))
    out[low:high, at : at + shade] *= np.float32(mix(rng, 0.55, 0.8))
    soft = cv2.GaussianBlur(out, (0, 0), 1.0)
    edge = slice(max(0, at - shade), at + 2 * shade)
    out[low:high, edge] = soft[low:high, edge]
    return np.asarray(np.clip(np.round(out), 0, 255), np.uint8)
