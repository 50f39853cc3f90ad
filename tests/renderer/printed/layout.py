"""Sets a print as a plate: ink coverage on a flat sheet measured in millimetres."""

from __future__ import annotations

from dataclasses import dataclass, replace

import cv2
import numpy as np

from tests.renderer.printed import faces
from tests.renderer.printed.content import Line, Print, Rng
from tests.renderer.printed.faces import Style
from tests.renderer.things.noise import Array, mix, smooth


@dataclass(frozen=True, slots=True)
class PlateLine:
    """A line on the plate; edge points are (n, 2) arrays of mm from the plate's centre."""

    line: Line
    top: Array
    bottom: Array
    x_mm: float


@dataclass(frozen=True, slots=True)
class Plate:
    """Ink coverage (0..1) at `ppmm` pixels a millimetre, and where its lines lie."""

    ink: Array
    ppmm: float
    lines: tuple[PlateLine, ...]
    clean: Array | None = None  # the ink before wear, where `ink` is worn

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height in mm."""
        return self.ink.shape[1] / self.ppmm, self.ink.shape[0] / self.ppmm


@dataclass(frozen=True, slots=True)
class Setting:
    """Choices that hold for the whole plate."""

    body: Style
    head: Style
    logo: Style
    code: Style
    small: Style
    leading: float
    align: str
    arc_mm: float  # radius of the line arcs, 0 for straight lines; negative: centre above
    boxed: bool
    reversed_block: bool
    emblem: int


def choose_setting(rng: Rng, process: str) -> Setting:
    """Typefaces and arrangement for one print."""
    group: tuple[str, ...] = faces.PLAIN
    roll = rng.random()
    if roll < 0.24:
        group = faces.NARROW
    elif roll < 0.30:
        group = faces.MONO
    elif roll < 0.36:
        group = faces.ODD
    face = group[int(rng.integers(len(group)))]
    tracking = float(rng.choice([0.0, 0.0, 0.0, mix(rng, 0.02, 0.14)]))
    squeeze = float(rng.choice([1.0, 1.0, mix(rng, 0.8, 1.2)]))
    body = Style(face, tracking, squeeze, heavy=0.0)
    if rng.random() < 0.12:
        body = replace(body, slant=mix(rng, 0.1, 0.22))
    head = body
    if rng.random() < 0.5:
        other = faces.PLAIN[int(rng.integers(len(faces.PLAIN)))]
        head = Style(other, squeeze=squeeze)
    logo = Style(
        faces.DISPLAY[int(rng.integers(len(faces.DISPLAY)))],
        tracking=float(rng.choice([0.0, 0.0, mix(rng, 0.03, 0.3)])),
        squeeze=mix(rng, 0.85, 1.3),
        slant=float(rng.choice([0.0, 0.0, mix(rng, 0.1, 0.35)])),
        outline=bool(rng.random() < 0.06),
    )
    code = body
    dots = Style(faces.DOTS, tracking=float(rng.choice([0.0, 0.07])), squeeze=mix(rng, 0.75, 1.15),
                 heavy=mix(rng, -0.012, 0.02), variant=bool(rng.random() < 0.5))  # fmt: skip
    if process == "inkjet":
        body = head = code = dots
    elif rng.random() < 0.22:
        code = dots
    elif rng.random() < 0.3:
        code = Style(faces.MONO[int(rng.integers(len(faces.MONO)))])
    if process == "laser":
        body = replace(body, face=str(rng.choice(["jura", "roboto-light", "din", "liberation"])))
        code = body
    small = replace(body, squeeze=body.squeeze)
    arc = 0.0
    if rng.random() < 0.22:
        arc = mix(rng, 35, 120) * (1 if rng.random() < 0.6 else -1)
    return Setting(
        body, head, logo, code, small,
        leading=mix(rng, 0.3, 0.85),
        align=str(rng.choice(["centre", "centre", "centre", "left"])),
        arc_mm=arc,
        boxed=bool(rng.random() < 0.08),
        reversed_block=bool(rng.random() < 0.04),
        emblem=int(rng.integers(0, 12)),
    )  # fmt: skip


def _emblem(kind: int, high: int) -> Array:
    """A small invented pictogram that stands beside a holder's word."""
    side = max(high, 6)
    canvas = np.zeros((side * 4, side * 4), np.uint8)
    s = side * 4
    if kind == 0:
        cv2.circle(canvas, (s // 2, s // 2), s // 2 - 4, 255, max(2, s // 10), cv2.LINE_AA)
        cv2.circle(canvas, (s // 2, s // 2), s // 5, 255, -1, cv2.LINE_AA)
    elif kind == 1:
        points = np.array([[s // 2, 4], [s - 4, s - 4], [4, s - 4]])
        cv2.fillPoly(canvas, [points], 255, cv2.LINE_AA)
        cv2.circle(canvas, (s // 2, int(s * 0.66)), s // 7, 0, -1, cv2.LINE_AA)
    elif kind == 2:
        for i in range(3):
            y = int(s * (0.2 + 0.28 * i))
            cv2.line(canvas, (6, y + s // 8), (s - 6, y - s // 12), 255, s // 9, cv2.LINE_AA)
    else:
        cv2.rectangle(canvas, (6, 6), (s - 6, s - 6), 255, max(2, s // 12), cv2.LINE_AA)
        cv2.ellipse(canvas, (s // 2, s // 2), (s // 3, s // 4), 30, 0, 360, 255, -1, cv2.LINE_AA)
    return cv2.resize(canvas, (side, side), interpolation=cv2.INTER_AREA).astype(np.float32) / 255.0


def _place(canvas: Array, part: Array, left: int, top: int) -> None:
    high, wide = part.shape
    y, x = max(top, 0), max(left, 0)
    y2, x2 = min(top + high, canvas.shape[0]), min(left + wide, canvas.shape[1])
    if y2 > y and x2 > x:
        area = canvas[y:y2, x:x2]
        np.maximum(area, part[y - top : y2 - top, x - left : x2 - left], out=area)


def _bend(ink: Array, ppmm: float, arc: float) -> Array:
    """Lay the straight plate on concentric arcs (see `_bend_points` for the forward map)."""
    high, wide = ink.shape
    x = (np.arange(wide, dtype=np.float32) - wide / 2) / ppmm
    y = (np.arange(high, dtype=np.float32) - high / 2) / ppmm
    grid_x, grid_y = np.meshgrid(x, y)
    sign = np.float32(np.sign(arc))
    r = np.hypot(grid_x, abs(arc) + sign * -grid_y)
    angle = np.arctan2(grid_x, abs(arc) + sign * -grid_y)
    u = angle * abs(arc)
    v = sign * (abs(arc) - r)
    return cv2.remap(ink, (u * ppmm + wide / 2).astype(np.float32),
                     (v * ppmm + high / 2).astype(np.float32), cv2.INTER_LINEAR)  # fmt: skip


def _bend_points(points: Array, arc: float) -> Array:
    if arc == 0.0:
        return points
    sign = np.sign(arc)
    angle = points[:, 0] / abs(arc)
    r = abs(arc) - sign * points[:, 1]
    x = r * np.sin(angle)
    y = sign * (abs(arc) - r * np.cos(angle))
    return np.stack([x, y], axis=1).astype(np.float32)


def _dressed(line: Line, style: Style) -> Line:
    """The line as its face draws it."""
    values = {k: faces.as_drawn(v, style.face) for k, v in line.values.items()}
    return replace(line, text=faces.as_drawn(line.text, style.face), values=values)


def make_plate(
    rng: Rng, what: Print, setting: Setting, cap_mm: float, ppmm: float, widest_mm: float
) -> Plate:
    """Typeset `what` with capitals of about `cap_mm`, no line wider than `widest_mm`."""
    grow = ppmm
    styles = {"body": setting.body, "head": setting.head, "logo": setting.logo,
              "code": setting.code, "small": setting.small}  # fmt: skip
    parts: list[tuple[Line, Array, float, tuple[int, int, int, int]]] = []
    for planned in what.lines:
        style = styles[planned.role]
        line = _dressed(planned, style)
        cap = cap_mm * line.size
        part = faces.typeset(line.text, cap * grow, style)
        if part.shape[1] / grow > widest_mm:
            shrink = widest_mm * grow / part.shape[1]
            if shrink > 0.72:
                size = (int(part.shape[1] * shrink), part.shape[0])
                part = cv2.resize(part, size, interpolation=cv2.INTER_AREA)
            else:
                cap *= shrink
                part = faces.typeset(line.text, cap * grow, style)
        low = cap * faces.x_height_share(style)
        inset = (0, 0, 0, 0)  # what surrounds the text in its part: left, top, right, bottom
        if line.role == "logo" and setting.emblem < 4:
            sign = _emblem(setting.emblem, int(cap * grow * 1.3))
            gap = int(cap * grow * 0.4)
            high = max(sign.shape[0], part.shape[0])
            joined = np.zeros((high, sign.shape[1] + gap + part.shape[1]), np.float32)
            _place(joined, sign, 0, (high - sign.shape[0]) // 2)
            above = (high - part.shape[0]) // 2
            _place(joined, part, sign.shape[1] + gap, above)
            inset = (sign.shape[1] + gap, above, 0, high - part.shape[0] - above)
            part = joined
        framed = setting.boxed and line.role == "head" and "filter_class" in line.values
        if framed or line.dress == "boxed":
            pad = int(cap * grow * 0.4)
            part = cv2.copyMakeBorder(part, pad, pad, pad, pad, cv2.BORDER_CONSTANT, value=0)
            inset = (pad, pad, pad, pad)
            thick = max(1, int(cap * grow * 0.1))
            cv2.rectangle(
                part,
                (thick, thick),
                (part.shape[1] - 1 - thick, part.shape[0] - 1 - thick),
                1.0,
                thick,
            )
        if line.dress == "turned":
            part = np.ascontiguousarray(np.rot90(part))
        parts.append((line, part, low, inset))
    gap_px = [int(cap_mm * grow * setting.leading * mix(rng, 0.85, 1.2)) for _ in parts]
    wide_px = max(p.shape[1] for _, p, _, _ in parts)
    high_px = sum(p.shape[0] for _, p, _, _ in parts) + sum(gap_px[1:])
    sag = 0.0
    if setting.arc_mm:
        reach = min(1.2, wide_px / grow / 2 / abs(setting.arc_mm))
        sag = abs(setting.arc_mm) * (1 - np.cos(reach)) * grow
    pad_x = int(cap_mm * grow + 0.03 * wide_px)
    pad_y = int(cap_mm * grow + sag)
    ink = np.zeros((high_px + 2 * pad_y, wide_px + 2 * pad_x), np.float32)
    high, wide = ink.shape
    lines: list[PlateLine] = []
    y = pad_y
    for index, (line, part, low, inset) in enumerate(parts):
        if index:
            y += gap_px[index]
        x = pad_x if setting.align == "left" else (wide - part.shape[1]) // 2
        _place(ink, part, x, y)
        left = (x + inset[0] - wide / 2) / grow
        right = (x + part.shape[1] - inset[2] - wide / 2) / grow
        up = (y + inset[1] - high / 2) / grow
        down = (y + part.shape[0] - inset[3] - high / 2) / grow
        if line.dress == "turned":  # it reads from below to above
            along = np.linspace(down, up, 9, dtype=np.float32)
            top = np.stack([np.full(9, left, np.float32), along], axis=1)
            bottom = np.stack([np.full(9, right, np.float32), along], axis=1)
        else:
            across = np.linspace(left, right, 9, dtype=np.float32)
            top = np.stack([across, np.full(9, up, np.float32)], axis=1)
            bottom = np.stack([across, np.full(9, down, np.float32)], axis=1)
        lines.append(PlateLine(line, _bend_points(top, setting.arc_mm),
                               _bend_points(bottom, setting.arc_mm), low))  # fmt: skip
        y += part.shape[0]
    if setting.reversed_block:
        edge = int(1.2 * grow)
        block = np.zeros_like(ink)
        block[pad_y - edge : high - pad_y + edge, pad_x - edge : wide - pad_x + edge] = 1.0
        ink = np.clip(block - ink, 0, 1)
    if setting.arc_mm:
        ink = _bend(ink, grow, setting.arc_mm)
    return Plate(ink, ppmm, tuple(lines))


def spoil(rng: Rng, ink: Array, ppmm: float, process: str, wear: float) -> Array:
    """What printing and use do to a clean plate: bleed, gaps, worn patches, scratches, slur.

    wear runs from 0 (fresh) to 1 (barely readable).
    """
    high, wide = ink.shape
    out = ink
    if process in ("pad", "inkjet", "flexo"):
        rough = mix(rng, 0.03, 0.10) * ppmm
        dx = smooth(rng, high, wide, max(wide, high) / max(3.0, 0.5 * ppmm)) * np.float32(rough)
        dy = smooth(rng, high, wide, max(wide, high) / max(3.0, 0.5 * ppmm)) * np.float32(rough)
        xs = np.arange(wide, dtype=np.float32)[None, :] + dx
        ys = np.arange(high, dtype=np.float32)[:, None] + dy
        out = cv2.remap(out, xs, ys, cv2.INTER_LINEAR)
        bleed = mix(rng, 0.0, 0.12) * ppmm
        if bleed > 0.4:
            out = np.clip(cv2.GaussianBlur(out, (0, 0), bleed) * mix(rng, 1.0, 1.5), 0, 1)
    if rng.random() < 0.05 and process == "pad":  # slur: the pad slipped
        shift = mix(rng, 0.15, 0.5) * ppmm
        move = np.array([[1, 0, shift], [0, 1, shift * mix(rng, -0.5, 0.5)]], np.float32)
        out = np.maximum(out, 0.55 * cv2.warpAffine(out, move, (wide, high)))
    if process == "inkjet" and rng.random() < 0.4:  # a nozzle drifts
        drift = smooth(rng, 1, wide, 6) * np.float32(0.12 * ppmm)
        xs = np.repeat(np.arange(wide, dtype=np.float32)[None, :], high, axis=0)
        ys = np.arange(high, dtype=np.float32)[:, None] + drift
        out = cv2.remap(out, xs, ys.astype(np.float32), cv2.INTER_LINEAR)
    patches = smooth(rng, high, wide, mix(rng, 3, 9)) + 0.5 * smooth(rng, high, wide, 30)
    keep = np.clip(1.0 - np.clip(patches - (2.2 - 1.7 * wear), 0, 1) * (0.4 + 0.6 * wear), 0, 1)
    out = out * keep
    for _ in range(int(rng.poisson(0.4 + 2 * wear))):
        a = rng.uniform(0, [wide, high])
        b = a + rng.normal(0, 0.3 * max(wide, high), 2)
        scratch = np.zeros((high, wide), np.uint8)
        cv2.line(scratch, (int(a[0]), int(a[1])), (int(b[0]), int(b[1])), 255,
                 max(1, int(0.12 * ppmm)), cv2.LINE_AA)  # fmt: skip
        out = out * (1 - scratch.astype(np.float32) / 255.0 * mix(rng, 0.2, 0.8))
    return out.astype(np.float32)
