"""The truth file of one photograph: what is printed, where, and how it came out."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

from tests.renderer.lens.camera import Camera
from tests.renderer.lens.measure import line_seen, readable
from tests.renderer.printed.layout import Plate
from tests.renderer.things.noise import Array
from tests.renderer.things.surface import Site
from tests.renderer.things.unit import Painted, Unit, on_surface

from .plan import Plan

MARKS = ("agency", "approval_number", "filter_class", "efficiency", "model", "lot", "manufacturer",
         "standard", "body_number", "manufacture_date", "expiry_date", "claims", "reuse",
         "conformity_mark")  # fmt: skip

#: What a truth file says of every occurrence of a mark, and of print that is no mark.
OCCURRENCES = ("kind", "printed", "others")


def heights(camera: Camera, unit: Unit, plate: Plate, site: Site) -> list[
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


def describe(
    plan: Plan, image: npt.NDArray[np.uint8], scale: float, camera: Camera,
    painted: list[tuple[Unit, Painted]], hidden: Array | None,
) -> dict[str, Any]:  # fmt: skip
    """Measure every line of every unit in the finished picture; unit 0 is the first named one."""
    high, wide = image.shape[:2]
    blur = float(np.hypot(plan.blur, plan.motion / 3.46))
    blur = float(np.hypot(blur, 0.45 * (max(1, scale))))
    lines: list[dict[str, Any]] = []
    info: dict[str, dict[str, Any]] = {}
    legible: dict[str, bool] = {}
    items = []
    main = len(painted) - 1
    roll = 0.0
    printed: dict[str, str] = {}
    for index, (unit, result) in reversed(list(enumerate(painted))):
        plate, site = unit.plates[0]
        embossed = unit.finish.process == "emboss"
        ink = _to_frame(result.ink * result.cover, result.box, wide, high, scale, plan.mirrored)
        shown = _to_frame(result.shown * result.cover, result.box, wide, high, scale, plan.mirrored)
        over = None
        if hidden is not None:
            over = cv2.resize(hidden, (wide, high)) if scale > 1 else hidden
            over = over[:, ::-1] if plan.mirrored else over
        marks_here: dict[str, str] = {}
        for part, (pixels, x, angle) in zip(
            plate.lines, heights(camera, unit, plate, site), strict=True
        ):
            polygon = (pixels + 0.5) * scale - 0.5 if scale > 1 else pixels.copy()
            if plan.mirrored:
                polygon[:, 0] = wide - 1 - polygon[:, 0]
            x_px = x * scale
            seen = line_seen(image, ink, shown, over, polygon, x_px, len(part.line.text),
                             embossed)  # fmt: skip
            slack = 0.25 * x_px
            inside = bool(
                np.all(polygon >= -slack) and np.all(polygon <= [wide + slack, high + slack])
            )
            legible_here = inside and seen.hidden < 0.06 and readable(
                x_px, blur, seen.channel_contrast, seen.grain, seen.ink_left,
                embossed)  # fmt: skip
            number = len(lines)
            entry = {
                "text": part.line.text,
                "polygon": [[round(float(p[0]), 1), round(float(p[1]), 1)] for p in polygon],
                "x_height_px": round(x_px, 2),
                "contrast": round(seen.contrast, 3),
                "channel_contrast": round(seen.channel_contrast, 3),
                "blur_sigma_px": round(blur, 2),
                "occluded": seen.hidden > 0.03,
                "hidden_fraction": round(seen.hidden, 3),
                "inside": inside,
                "marks": sorted(part.line.values),
                "ink_left": round(seen.ink_left, 3),
                "legible": legible_here,
                "unit": main - index,
            }
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
                    legible[name] = legible_here
                elif legible_here:
                    legible[name] = True
        items.append({"unit": main - index, "marks": marks_here})
        if index == main:
            printed = marks_here
    own = [e for e in lines if e["unit"] == 0 and e["marks"]]
    x_min = min(e["x_height_px"] for e in own)
    c_min = min(e["contrast"] for e in own)
    covered = any(e["occluded"] for e in own)
    difficulty = grade(x_min, c_min, blur, covered, plan.tilt)
    marks: dict[str, str | None] = dict.fromkeys(MARKS)
    marks.update(printed)
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
    return truth | _printed(plan, lines)


def _printed(plan: Plan, lines: list[dict[str, Any]]) -> dict[str, Any]:
    """Every mark of the first unit, with all that is a right answer, and print that is no mark."""
    what = plan.what
    own = [(entry, line.values) for entry, line in zip(
        [entry for entry in lines if entry["unit"] == 0], what.lines, strict=True)]  # fmt: skip
    marks: list[tuple[str, tuple[str, ...], bool | None]]
    marks = [(mark.mark, mark.forms, mark.named) for mark in what.printed]
    if not what.kind:
        found = dict.fromkeys(pair for line in what.lines for pair in line.values.items())
        marks = [(mark, (value,), None) for mark, value in found]
    printed = []
    for mark, forms, named in marks:
        bearing = [entry for entry, values in own if values.get(mark) in forms]
        printed.append({
            "mark": mark, "forms": list(forms), "named": named,
            "legible": any(entry["legible"] for entry in bearing),
            "x_height_px": max(entry["x_height_px"] for entry in bearing),
        })  # fmt: skip
    return {"kind": what.kind, "printed": printed, "others": list(what.others)}
