"""Typefaces, a 5x7 dot matrix and hand-drawn marks: everything that turns text into coverage.

A coverage is a float32 array, 0 where there is no ink and 1 where there is.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from PIL import Image, ImageDraw, ImageFont

from tests.renderer.things.noise import Array

_ROOT = Path("/usr/share/fonts")
_OTF, _TTF = _ROOT / "opentype", _ROOT / "truetype"

PACKAGES = (
    "fonts-allerta", "fonts-bebas-neue", "fonts-comfortaa", "fonts-courier-prime",
    "fonts-dejavu-core", "fonts-dejavu-extra", "fonts-jura", "fonts-lato", "fonts-liberation",
    "fonts-lobster", "fonts-ocr-b", "fonts-open-sans", "fonts-opendin", "fonts-play",
    "fonts-roboto-slab", "fonts-roboto-unhinted", "fonts-yanone-kaffeesatz",
)  # fmt: skip

_ROBOTO = _TTF / "roboto/unhinted"
FACES: dict[str, Path] = {
    "liberation": _TTF / "liberation/LiberationSans-Regular.ttf",
    "liberation-bold": _TTF / "liberation/LiberationSans-Bold.ttf",
    "liberation-narrow": _TTF / "liberation/LiberationSansNarrow-Regular.ttf",
    "liberation-narrow-bold": _TTF / "liberation/LiberationSansNarrow-Bold.ttf",
    "liberation-mono": _TTF / "liberation/LiberationMono-Regular.ttf",
    "liberation-serif-bold": _TTF / "liberation/LiberationSerif-Bold.ttf",
    "dejavu": _TTF / "dejavu/DejaVuSans.ttf",
    "dejavu-bold": _TTF / "dejavu/DejaVuSans-Bold.ttf",
    "dejavu-condensed": _TTF / "dejavu/DejaVuSansCondensed.ttf",
    "dejavu-condensed-bold": _TTF / "dejavu/DejaVuSansCondensed-Bold.ttf",
    "dejavu-mono": _TTF / "dejavu/DejaVuSansMono.ttf",
    "roboto": _ROBOTO / "RobotoTTF/Roboto-Regular.ttf",
    "roboto-medium": _ROBOTO / "RobotoTTF/Roboto-Medium.ttf",
    "roboto-bold": _ROBOTO / "RobotoTTF/Roboto-Bold.ttf",
    "roboto-light": _ROBOTO / "RobotoTTF/Roboto-Light.ttf",
    "roboto-black": _ROBOTO / "RobotoTTF/Roboto-Black.ttf",
    "roboto-condensed": _ROBOTO / "RobotoCondensed-Regular.ttf",
    "roboto-condensed-bold": _ROBOTO / "RobotoCondensed-Bold.ttf",
    "open-sans": _TTF / "open-sans/OpenSans-Regular.ttf",
    "open-sans-bold": _TTF / "open-sans/OpenSans-Bold.ttf",
    "open-sans-condensed": _TTF / "open-sans/OpenSans-CondBold.ttf",
    "lato": _TTF / "lato/Lato-Regular.ttf",
    "lato-bold": _TTF / "lato/Lato-Bold.ttf",
    "lato-black": _TTF / "lato/Lato-Black.ttf",
    "din": _TTF / "opendin/OSP-DIN.ttf",
    "play": _TTF / "play/Play-Regular.ttf",
    "play-bold": _TTF / "play/Play-Bold.ttf",
    "bebas": _OTF / "bebas-neue/BebasNeue-Regular.otf",
    "bebas-bold": _OTF / "bebas-neue/BebasNeue-Bold.otf",
    "kaffeesatz": _OTF / "yanone-kaffeesatz/YanoneKaffeesatz-Regular.otf",
    "kaffeesatz-bold": _OTF / "yanone-kaffeesatz/YanoneKaffeesatz-Bold.otf",
    "slab": _OTF / "roboto/slab/RobotoSlab-Regular.otf",
    "slab-bold": _OTF / "roboto/slab/RobotoSlab-Bold.otf",
    "ocr-b": _OTF / "ocr-b/OCRB.otf",
    "courier-code": _OTF / "courier-prime/Courier Prime Code.otf",
    "stencil": _OTF / "allerta/allerta_stencil.otf",
    "allerta": _OTF / "allerta/allerta_medium.otf",
    "lobster": _OTF / "lobster/lobster.otf",
    "comfortaa-bold": _TTF / "comfortaa/Comfortaa-Bold.ttf",
    "comfortaa": _TTF / "comfortaa/Comfortaa-Regular.ttf",
    "jura-bold": _OTF / "jura/Jura-Bold.otf",
    "jura": _OTF / "jura/Jura-Medium.otf",
}

PLAIN = ("liberation", "liberation-bold", "dejavu", "dejavu-bold", "roboto", "roboto-medium",
         "roboto-bold", "open-sans", "open-sans-bold", "lato", "lato-bold", "din", "play",
         "allerta", "liberation", "liberation-bold", "roboto")  # fmt: skip
NARROW = ("liberation-narrow", "liberation-narrow-bold", "dejavu-condensed",
          "dejavu-condensed-bold", "roboto-condensed", "roboto-condensed-bold",
          "open-sans-condensed", "kaffeesatz", "kaffeesatz-bold", "bebas")  # fmt: skip
MONO = ("liberation-mono", "dejavu-mono", "ocr-b", "courier-code")
ODD = ("stencil", "slab", "jura", "roboto-light", "comfortaa", "liberation-serif-bold")
DISPLAY = ("lobster", "bebas-bold", "comfortaa-bold", "jura-bold", "play-bold", "slab-bold",
           "stencil", "roboto-black", "lato-black", "liberation-serif-bold", "open-sans-bold",
           "allerta", "kaffeesatz-bold", "dejavu-bold", "liberation-bold")  # fmt: skip
DOTS = "dot-matrix"


CAPITALS_ONLY = frozenset({DOTS, "bebas", "bebas-bold"})
_LACKING = {
    "din": "&#≥", "bebas": "≥", "bebas-bold": "≥", "ocr-b": "≥", "stencil": "#≥",
    "allerta": "#≥", "lobster": "≥",
}  # fmt: skip
_INSTEAD = {"&": "+", "#": "", "≥": ">"}


def as_drawn(text: str, face: str) -> str:
    """The text that a face really shows: some have no small letters, some lack a sign."""
    for sign in _LACKING.get(face, ""):
        text = text.replace(sign, _INSTEAD[sign])
    return text.upper() if face in CAPITALS_ONLY else text


class FacesMissing(RuntimeError):
    """A typeface file is not on this machine."""


def check_faces() -> None:
    """Raise FacesMissing, naming the Debian packages to install, unless every face is there."""
    missing = sorted(name for name, path in FACES.items() if not path.is_file())
    if missing:
        raise FacesMissing(
            f"typefaces not found: {', '.join(missing)}. Install them with: "
            f"apt-get install {' '.join(PACKAGES)}"
        )


@functools.lru_cache(maxsize=4096)
def _load(face: str, size: int) -> ImageFont.FreeTypeFont:
    path = FACES[face]
    if not path.is_file():
        check_faces()
    return ImageFont.truetype(str(path), size, layout_engine=ImageFont.Layout.BASIC)


@functools.lru_cache(maxsize=256)
def _proportions(face: str) -> tuple[float, float]:
    """Height of H and of x, each as a share of the nominal size."""
    font = _load(face, 200)
    cap = font.getbbox("H", anchor="ls")
    low = font.getbbox("x", anchor="ls")
    return -cap[1] / 200.0, -low[1] / 200.0


# Columns of a 5x7 head, lowest bit at the top; some shapes differ from head to head and are
# given as alternatives below.
_COLUMNS: dict[str, tuple[int, ...]] = {
    " ": (0, 0, 0, 0, 0), "!": (0, 0, 95, 0, 0), "#": (20, 127, 20, 127, 20),
    "%": (35, 19, 8, 100, 98), "&": (54, 73, 86, 32, 80), "'": (0, 0, 7, 0, 0),
    "(": (0, 28, 34, 65, 0), ")": (0, 65, 34, 28, 0), "+": (8, 8, 62, 8, 8),
    ",": (0, 64, 48, 0, 0), "-": (8, 8, 8, 8, 8), ".": (0, 96, 96, 0, 0),
    "/": (32, 16, 8, 4, 2), "0": (62, 65, 65, 65, 62), "1": (0, 66, 127, 64, 0),
    "2": (98, 81, 73, 73, 70), "3": (33, 65, 73, 77, 51), "4": (24, 20, 18, 127, 16),
    "5": (39, 69, 69, 69, 57), "6": (60, 74, 73, 73, 48), "7": (1, 113, 9, 5, 3),
    "8": (54, 73, 73, 73, 54), "9": (6, 73, 73, 41, 30), ":": (0, 54, 54, 0, 0),
    "≥": (68, 106, 85, 81, 64), "A": (126, 9, 9, 9, 126), "B": (127, 73, 73, 73, 54),
    "C": (62, 65, 65, 65, 34), "D": (127, 65, 65, 65, 62), "E": (127, 73, 73, 73, 65),
    "F": (127, 9, 9, 9, 1), "G": (62, 65, 73, 73, 58), "H": (127, 8, 8, 8, 127),
    "I": (0, 65, 127, 65, 0), "J": (32, 64, 64, 64, 63), "K": (127, 8, 20, 34, 65),
    "L": (127, 64, 64, 64, 64), "M": (127, 2, 12, 2, 127), "N": (127, 4, 8, 16, 127),
    "O": (62, 65, 65, 65, 62), "P": (127, 9, 9, 9, 6), "Q": (62, 65, 81, 33, 94),
    "R": (127, 9, 25, 41, 70), "S": (38, 73, 73, 73, 50), "T": (1, 1, 127, 1, 1),
    "U": (63, 64, 64, 64, 63), "V": (31, 32, 64, 32, 31), "W": (63, 64, 56, 64, 63),
    "X": (99, 20, 8, 20, 99), "Y": (7, 8, 112, 8, 7), "Z": (97, 81, 73, 69, 67),
}  # fmt: skip
_OTHER_COLUMNS: dict[str, tuple[int, ...]] = {
    "0": (62, 81, 73, 69, 62), "1": (64, 66, 127, 64, 64), "7": (1, 1, 121, 5, 3),
    "3": (34, 65, 73, 73, 54), "M": (127, 2, 4, 2, 127),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Style:
    """How one line is set.

    face: a key of FACES or DOTS; tracking: extra space between letters as a share of the cap
    height; squeeze: horizontal scale; slant: tangent of the lean; outline: stroke only;
    heavy: extra stroke as a share of the cap height; variant: second shapes of the dot matrix.
    """

    face: str
    tracking: float = 0.0
    squeeze: float = 1.0
    slant: float = 0.0
    outline: bool = False
    heavy: float = 0.0
    variant: bool = False


def x_height_share(style: Style) -> float:
    """x-height as a share of the cap height (5/7 for the dot matrix)."""
    if style.face == DOTS:
        return 5.0 / 7.0
    cap, low = _proportions(style.face)
    return low / cap


def _dots(text: str, cap: float, style: Style) -> Array:
    pitch = max(cap / 7.0, 1.0)
    grow = 4 if pitch < 8 else 1
    step = pitch * grow
    gap = 1.0 + style.tracking * 7.0
    columns = []
    for char in text.upper():
        shape = _COLUMNS.get(char, _COLUMNS[" "])
        if style.variant:
            shape = _OTHER_COLUMNS.get(char, shape)
        columns.append(shape)
    wide = int(len(columns) * (5 + gap) * step + 2 * step)
    high = int(9 * step)
    canvas = np.zeros((high, wide), np.uint8)
    radius = max(1, round(step * (0.46 + 4 * style.heavy)))
    for index, shape in enumerate(columns):
        left = step * (1 + index * (5 + gap))
        for x, bits in enumerate(shape):
            for y in range(7):
                if bits >> y & 1:
                    centre = (round(left + (x + 0.5) * step), round((1 + y + 0.5) * step))
                    cv2.circle(canvas, centre, radius, 255, -1, cv2.LINE_AA)
    size = (max(1, round(wide / grow * style.squeeze)), max(1, round(high / grow)))
    return cv2.resize(canvas, size, interpolation=cv2.INTER_AREA).astype(np.float32) / 255.0


def _outlines(text: str, cap: float, style: Style) -> Array:
    share, _ = _proportions(style.face)
    size = max(6, round(cap / share))
    font = _load(style.face, size)
    pad = max(2, size // 5)
    if style.tracking == 0.0:
        wide = int(font.getlength(text)) + 2 * pad + size // 4
        places = [(float(pad), text)]
    else:
        places, x = [], float(pad)
        for char in text:
            places.append((x, char))
            x += font.getlength(char) + style.tracking * cap
        wide = int(x) + pad + size // 4
    high = int(size * 1.05) + 2 * pad
    base = pad + int(size * 0.80)
    picture = Image.new("L", (max(wide, 4), high))
    draw = ImageDraw.Draw(picture)
    stroke = round(style.heavy * cap)
    for x, part in places:
        draw.text((round(x), base), part, font=font, fill=255, anchor="ls", stroke_width=stroke)
    array = np.asarray(picture).astype(np.float32) / 255.0
    if style.outline:
        width = max(1, round(cap * 0.07))
        inner = cv2.erode(array, np.ones((2 * width + 1, 2 * width + 1), np.uint8))
        array = np.clip(array - inner, 0, 1)
    if style.slant:
        lean = np.array([[1, -style.slant, style.slant * base], [0, 1, 0]], np.float32)
        grown = array.shape[1] + int(abs(style.slant) * high)
        array = cv2.warpAffine(array, lean, (grown, high))
    if style.squeeze != 1.0:
        to = (max(1, round(array.shape[1] * style.squeeze)), array.shape[0])
        array = cv2.resize(array, to, interpolation=cv2.INTER_AREA)
    return array


def conformity_mark(cap: float) -> Array:
    """The letters CE drawn on two equal circles (Regulation (EC) 765/2008, annex II).

    The proportions are from memory: each letter an open ring on the square grid of the drawing.
    """
    grow = 4
    r = cap * grow / 2.0
    thick = max(2, round(r * 0.27))
    pad = grow * 2
    high, wide = int(2 * r + 2 * pad), int(2 * r * 1.86 + 2 * pad)
    canvas = np.zeros((high, wide), np.uint8)
    ring = round(r - thick / 2)
    for start in (r, r * 2.62):
        centre = (round(pad + start), round(pad + r))
        cv2.ellipse(canvas, centre, (ring, ring), 0, 82, 278, 255, thick, cv2.LINE_AA)
    middle = (round(pad + r * 2.62), round(pad + r))
    cv2.line(canvas, (middle[0] - ring, middle[1]), (middle[0] - round(r * 0.05), middle[1]),
             255, thick, cv2.LINE_AA)  # fmt: skip
    canvas = canvas[:, : round(pad + r * 2.95)]
    size = (max(1, canvas.shape[1] // grow), max(1, high // grow))
    return cv2.resize(canvas, size, interpolation=cv2.INTER_AREA).astype(np.float32) / 255.0


def trim(array: Array) -> Array:
    """Cut empty rows and columns away."""
    rows = np.flatnonzero(array.max(axis=1) > 0.1)
    columns = np.flatnonzero(array.max(axis=0) > 0.1)
    if not len(rows) or not len(columns):
        return array[:1, :1]
    return array[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]


def typeset(text: str, cap: float, style: Style) -> Array:
    """Coverage of one line whose capitals are `cap` pixels high, cut to the ink."""
    if text.startswith("CE ") and text[3:7].isdigit() and style.face != DOTS and cap > 4:
        mark = trim(conformity_mark(cap * 1.15))
        rest = typeset(text[3:], cap, style)
        gap = max(1, round(cap * 0.35))
        high = max(mark.shape[0], rest.shape[0])
        joined = np.zeros((high, mark.shape[1] + gap + rest.shape[1]), np.float32)
        top = (high - mark.shape[0]) // 2
        joined[top : top + mark.shape[0], : mark.shape[1]] = mark
        top = min(high - rest.shape[0], (high - rest.shape[0]) // 2)
        joined[top : top + rest.shape[0], mark.shape[1] + gap :] = rest
        return joined
    if style.face == DOTS:
        return trim(_dots(text, cap, style))
    return trim(_outlines(text, cap, style))
