"""Drawn classes whose first letters hardly show: pressed in, in a fold, cut, crossed, in glare.

Common practice, no source: what happens to print at the rim of a dome and on pressed cloth.
"""

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from inkwitness.photo.values import Pixels

DEJAVU = "/usr/share/fonts/truetype/dejavu/DejaVuSans-Bold.ttf"
_WIDTH, _HEIGHT = 640, 420
#: Ways in which a letter is lost.
WAYS = ("embossed", "fold", "edge", "region", "glare")


def drawn(text: str, lost: int, way: str, seed: int, *, size: int = 44, below: str = "") -> Pixels:
    """A photo (BGR) of `text` whose first `lost` letters hardly show, in this way; a plain line of
    print `below` it.
    """
    rng = np.random.default_rng(seed)
    font = ImageFont.truetype(DEJAVU, size)
    x, y = _WIDTH / 2 - font.getlength(text) / 2, _HEIGHT / 2 - size / 2
    split = x + font.getlength(text[:lost]) + 1
    ground = _cloth(rng)
    first, rest = _mask(text[:lost], (x, y), font), _mask(text[lost:], (split, y), font)
    if way == "embossed":
        faint = rng.uniform(0.0, 0.35)
        picture = ground + _relief(faint * first + rest, rng.uniform(50, 90))
    else:
        ink = rng.uniform(100, 170)
        faint = rng.uniform(0.0, 0.12)
        picture = ground - ink * np.maximum(faint * first, rest)
    columns = np.arange(_WIDTH)[None, :]
    at = split - rng.uniform(1, 0.2 * size)
    if way == "fold":
        depth = np.clip((at - columns) / rng.uniform(4, 14), 0, 1)
        picture = picture * (1 - rng.uniform(0.25, 0.5) * depth)
    elif way == "edge":
        other = rng.uniform(30, 130) + rng.normal(0, 3, (_HEIGHT, _WIDTH))
        picture = np.where(columns < at, other, picture)
    elif way == "region":
        canvas = np.zeros((_HEIGHT, _WIDTH), np.float32)
        middle = x + font.getlength(text[:lost]) / 2
        lean = rng.uniform(-10, 10)
        ends = ((int(middle - lean), int(y - 20)), (int(middle + lean), int(y + size + 30)))
        cv2.line(canvas, *ends, 1.0, int(rng.integers(3, 9)), cv2.LINE_AA)
        picture = picture - rng.uniform(80, 150) * canvas
    elif way == "glare":
        far = np.hypot(columns - (split - 0.5 * size), np.arange(_HEIGHT)[:, None] - y - size / 2)
        picture = picture + 260 * np.exp(-((far / (0.42 * size)) ** 4))
    picture = picture - 130 * _mask(below, (x, y + 1.7 * size), font)
    picture = cv2.GaussianBlur(picture, (0, 0), rng.uniform(0.6, 1.4))
    picture = np.clip(picture + rng.normal(0, 2.5, picture.shape), 0, 255).astype(np.uint8)
    return np.ascontiguousarray(np.repeat(picture[:, :, None], 3, axis=2))


def _cloth(rng: np.random.Generator) -> NDArray[np.float64]:
    weave = cv2.GaussianBlur(rng.normal(0, 22, (_HEIGHT, _WIDTH)), (0, 0), 1.6)
    light = np.linspace(rng.uniform(-12, 12), rng.uniform(-12, 12), _WIDTH)[None, :]
    return np.asarray(rng.uniform(195, 225) + weave + light, np.float64)


def _mask(text: str, at: tuple[float, float], font: ImageFont.FreeTypeFont) -> NDArray[np.float64]:
    picture = Image.new("L", (_WIDTH, _HEIGHT), 0)
    ImageDraw.Draw(picture).text(at, text, 255, font)
    return np.asarray(picture, np.float64) / 255


def _relief(depth: NDArray[np.float64], strength: float) -> NDArray[np.float64]:
    """Light from the upper left on letters pressed into the ground."""
    soft = cv2.GaussianBlur(depth, (0, 0), 1.8)
    slope = cv2.Sobel(soft, cv2.CV_64F, 1, 0, ksize=3) + cv2.Sobel(soft, cv2.CV_64F, 0, 1, ksize=3)
    return np.asarray(-slope * strength, np.float64)
