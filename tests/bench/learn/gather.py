"""Strips to learn from and to measure on, cut on this machine (no accelerator needed).

    python -m tests.bench.learn.gather scans FOLDER OUT     scanned receipts with boxes by hand
    python -m tests.bench.learn.gather photos FOLDER OUT    photographs, found by our own reading
    python -m tests.bench.learn.gather ladder FOLDER OUT    lines of photographs, made smaller

The sources and their licences are in README.md.
"""

from __future__ import annotations

import argparse
import csv
import random
import re
from collections.abc import Iterator
from itertools import islice
from pathlib import Path

import cv2
import numpy as np

from inkwitness.photo.values import Pixels
from inkwitness.reading.augmentations import MARGIN, TALL, augmented
from inkwitness.reading.find import WIDE_PAD, FoundLine, apart, lines_at, places_of
from inkwitness.reading.readers.engines import Readers, load_readers
from inkwitness.reading.straighten import Pyramid, line_image_of
from inkwitness.reading.values import IMAGE_HEIGHT

from .pack import Pack, Picture, Sample

#: Letters of print, of which only those large enough teach: their x-height in the photo (pixels).
LEAST_X = 10.0
#: How sure the reader must be of a line read large, for its text to be the label.
SURE = 0.99
#: Height of small letters by that of capitals, over the usual sans-serif faces. From memory.
X_OF_CAPITALS = 0.73
#: Sizes that lines of photographs are made smaller to, x-height in pixels.
LADDER = (10.0, 7.0, 6.0, 5.0, 4.0, 3.5, 3.0)
_FIRST_LINES, _LINES_A_RECEIPT = 14, 10
_SIDE = 1088
_WIDEST = 1200
_PICTURES = {".jpg", ".jpeg", ".png", ".webp", ".tif", ".tiff"}
#: JPEG quality of photographs made smaller; chroma at half size, as cameras save it.
_JPEG = 88


def scans(folder: Path, out: Path) -> None:
    """Lines of scanned receipts, cut by boxes that people drew, with what people typed.

    Of the first lines of a receipt that are large enough some are taken at random, in their order.
    """
    pack = Pack(out)
    chance = random.Random(1)
    for file in sorted((folder / "box").glob("*.csv")):
        picture = cv2.imread(str(folder / "img" / f"{file.stem}.jpg"))
        if picture is None:
            print(f"{file.stem}: no picture")
            continue
        found = list(islice(_boxed(file, np.asarray(picture, np.uint8)), _FIRST_LINES))
        chosen = chance.sample(range(len(found)), min(_LINES_A_RECEIPT, len(found)))
        for at in sorted(chosen):
            pack.add(found[at])
    pack.close()
    print(f"{pack.count} lines of scans")


def _boxed(file: Path, picture: Pixels) -> Iterator[Sample]:
    """The lines of a receipt that are large enough, as its boxes cut them."""
    pyramid = Pyramid(picture)
    with file.open(encoding="utf-8", errors="replace", newline="") as lines:
        for row in csv.reader(lines, quoting=csv.QUOTE_NONE):
            text = ",".join(row[8:]).strip()
            if len(row) < 9 or len(text) < 3 or not re.search("[A-Za-z0-9]", text):
                continue
            x0, y0, x1, y1 = (int(row[i]) for i in (0, 1, 4, 5))
            cut = _in_box(pyramid, x0, y0, x1, y1)
            if cut is not None and cut[0].shape[1] <= _WIDEST and cut[1] >= LEAST_X:
                at_strip = IMAGE_HEIGHT / MARGIN * X_OF_CAPITALS
                yield Sample(f"scan/{file.stem}", text, at_strip, cut[1], cut[0])


def _in_box(pyramid: Pyramid, x0: int, y0: int, x1: int, y1: int) -> tuple[Pixels, float] | None:
    """The strip of a box around a line, its capitals as high as a found line's; its x-height."""
    whole = pyramid.level(1.0)[0]
    part = whole[max(y0, 0) : y1, max(x0, 0) : x1]
    if part.shape[0] < 10 or part.shape[1] < 2 * part.shape[0]:
        return None
    grey = cv2.cvtColor(part, cv2.COLOR_BGR2GRAY)
    _, ink = cv2.threshold(grey, 0, 1, cv2.THRESH_BINARY_INV + cv2.THRESH_OTSU)
    rows = ink.sum(axis=1)
    filled = np.flatnonzero(rows > 0.25 * np.percentile(rows, 90))
    if not len(filled):
        return None
    top, bottom = filled[0], filled[-1] + 1
    capitals = float(bottom - top)
    if capitals < 0.4 * (y1 - y0):
        return None
    middle = y0 + (top + bottom) / 2
    reach = 0.35 * capitals
    line = np.array([[x0 - reach, middle], [(x0 + x1) / 2, middle], [x1 + reach, middle]])
    return _strip(pyramid, line, capitals), capitals * X_OF_CAPITALS


def _strip(pyramid: Pyramid, middle: np.ndarray, height: float) -> Pixels:
    return line_image_of(
        pyramid, middle, height, image_height=TALL, margin=MARGIN * TALL / IMAGE_HEIGHT
    )


def photos(folder: Path, out: Path) -> None:
    """Lines of photographs that the reader reads surely at their full size."""
    readers = load_readers(with_second=False)
    pack = Pack(out)
    for file in _pictures(folder):
        picture = cv2.imread(str(file))
        if picture is None or min(picture.shape[:2]) < 64:
            continue
        source = f"photo/{file.relative_to(folder)}"
        for found, strip, text, _ in _sure_lines(np.asarray(picture, np.uint8), readers):
            x = found.x_height / found.height * IMAGE_HEIGHT / MARGIN
            pack.add(Sample(source, text, x, found.x_height, strip))
    pack.close()
    print(f"{pack.count} lines of photographs")


def _pictures(folder: Path) -> list[Path]:
    found = (file for file in folder.rglob("*") if file.suffix.lower() in _PICTURES)
    return sorted(file for file in found if file.stat().st_size > 20_000)


def _sure_lines(
    picture: Pixels, readers: Readers
) -> Iterator[tuple[FoundLine, Pixels, str, Pyramid]]:
    """Found lines, large enough and sure, the right way up, each with its strip and text."""
    pyramid = Pyramid(picture)
    places = places_of(pyramid, readers.detector, min(_SIDE, max(picture.shape[:2])))[:14]
    found = [
        line for at in places for line in lines_at(at, pyramid, readers.close_detector, WIDE_PAD)
    ]
    for line in apart(found)[:60]:
        if line.x_height < LEAST_X:
            continue
        both = (line, line.backward)
        strips = [_strip(pyramid, way.middle, way.height) for way in both]
        if strips[0].shape[1] > _WIDEST:
            continue
        raws = readers.recogniser.recognise([augmented(strip, "colour") for strip in strips])
        best = int(raws[1].confidence > raws[0].confidence)
        text = raws[best].text.strip()
        plain = text.isascii() and sum(c.isalnum() for c in text) > 2
        if raws[best].confidence >= SURE and plain:
            yield both[best], strips[best], text, pyramid


def ladder(folder: Path, out: Path) -> None:
    """Lines of photographs, read surely at full size, and cut anew from the photo made smaller."""
    readers = load_readers(with_second=False)
    pack = Pack(out)
    lines = 0
    for file in _pictures(folder):
        picture = cv2.imread(str(file))
        if picture is None:
            continue
        name = f"{lines}"
        for found, strip, text, _ in _sure_lines(np.asarray(picture, np.uint8), readers):
            name = f"{file.stem}-{lines}"
            lines += 1
            x = found.x_height / found.height * IMAGE_HEIGHT / MARGIN
            pack.add(Sample(name, text, x, found.x_height, strip), rung=0.0)
            for rung in LADDER:
                small = smaller(np.asarray(picture, np.uint8), found, rung)
                pack.add(Sample(name, text, x, found.x_height, small), rung=rung)
    pack.close()
    print(f"{lines} lines, each at {len(LADDER) + 1} sizes")


def smaller(picture: Pixels, found: FoundLine, x_height: float) -> Picture:
    """The strip of a line as if the photo had been taken from further away.

    The part of the photo around the line is reduced until its small letters are `x_height` pixels
    high, saved as a camera saves it (JPEG, chroma at half size) and cut out again.
    """
    scale = x_height / found.x_height
    reach = 3 * found.height
    low = np.maximum(np.floor(found.middle.min(axis=0) - reach), 0).astype(int)
    high = np.ceil(found.middle.max(axis=0) + reach).astype(int)
    part = picture[low[1] : high[1], low[0] : high[0]]
    size = (max(8, round(part.shape[1] * scale)), max(8, round(part.shape[0] * scale)))
    small = cv2.resize(part, size, interpolation=cv2.INTER_AREA)
    _, coded = cv2.imencode(".jpg", small, [cv2.IMWRITE_JPEG_QUALITY, _JPEG])
    saved = cv2.imdecode(coded, cv2.IMREAD_COLOR)
    ratio = np.array([size[0] / part.shape[1], size[1] / part.shape[0]])
    middle = (found.middle - low) * ratio
    return _strip(Pyramid(np.asarray(saved, np.uint8)), middle, found.height * float(ratio[1]))


def main() -> None:
    """Entry point."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("what", choices=("scans", "photos", "ladder"))
    parser.add_argument("folder", type=Path)
    parser.add_argument("out", type=Path, help="files to write, without ending")
    given = parser.parse_args()
    {"scans": scans, "photos": photos, "ladder": ladder}[given.what](given.folder, given.out)


if __name__ == "__main__":
    main()
