"""How often marks are right at a given probability, on thousands of made lines.

Each strip of tests/renderer goes the way of a straightened line of a photo: recogniser, further
renderings, second reader, evidence. One JSON line a mark goes to a file; `calibrate` fits
from one set of seeds, `reliability` checks on another.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import asdict, dataclass, replace
from pathlib import Path

import cv2
import numpy as np

from inkwitness.marks.grammar import Grammar
from inkwitness.marks.match import find_all
from inkwitness.marks.read_area import marks_of_area
from inkwitness.reading.engines import Readers
from inkwitness.reading.renderings import TALL, rendered
from inkwitness.reading.values import Area, Line, View
from tests.renderer.line import Strip, line_strip

from .truth import bare

_BATCH = 24


@dataclass(frozen=True)
class Judged:
    """A mark of a made line: how sure, how shown, and whether it is what is printed."""

    seed: int
    mark: str
    probability: float
    standing: str
    right: bool
    printed: str
    truth: str
    x_height: float
    contrast: float
    blur: float


def judged(
    first: int, count: int, grammars: tuple[Grammar, ...], readers: Readers, mark: str | None = None
) -> Iterator[Judged]:
    """Marks of legible made lines with seeds from `first`; with `mark`, only lines that bear it."""
    batch: list[Strip] = []
    for seed in range(first, first + count):
        strip = line_strip(seed)
        if strip.legible and (mark is None or mark in strip.values):
            batch.append(strip)
        if len(batch) == _BATCH:
            yield from _batch(batch, grammars, readers)
            batch = []
    yield from _batch(batch, grammars, readers)


def _batch(
    strips: list[Strip], grammars: tuple[Grammar, ...], readers: Readers
) -> Iterator[Judged]:
    if not strips:
        return
    lines = [_line(strip, number) for number, strip in enumerate(strips)]
    colour = [rendered(line.strip, "colour") for line in lines]
    raws = readers.recogniser.recognise(colour)
    seconds = readers.second.read_lines(colour)
    for strip, line, raw, second in zip(strips, lines, raws, seconds, strict=True):
        view = View("colour", raw.text, raw.spans, raw.confidence, raw.steps)
        told = replace(line, views=(view,), second=() if second is None else (second,))
        wanted = {
            (match.mark, bare(form))
            for match in find_all(strip.text, grammars, loosely=False)
            for form in (match.value, match.printed, dict(match.parts).get("ink", ""))
            if form
        }
        wanted |= {(name, bare(value)) for name, value in strip.values.items()}
        for mark in marks_of_area(Area((), (told,)), grammars, readers):
            forms = {(mark.mark, bare(mark.value)), (mark.mark, bare(mark.printed))}
            yield Judged(strip.seed, mark.mark, mark.probability, mark.standing,
                         bool(forms & wanted), mark.printed, strip.text, strip.x_height_px,
                         strip.contrast, strip.blur_sigma_px)  # fmt: skip


def _line(strip: Strip, number: int) -> Line:
    """The strip with rows repeated above and below, as TALL as a line of a photo."""
    room = TALL - strip.image.shape[0]
    tall = cv2.copyMakeBorder(strip.image, room // 2, room - room // 2, 0, 0, cv2.BORDER_REFLECT)
    width = float(tall.shape[1])
    edge = (0.0, width / 2, width)
    ring = (*((x, 0.0) for x in edge), *((x, 64.0) for x in reversed(edge)))
    return Line(number, ring, strip.x_height_px, np.asarray(tall, np.uint8), ())


def write(found: Iterator[Judged], file: Path) -> int:
    """One JSON line a mark; returns how many."""
    count = 0
    with file.open("w", encoding="utf-8") as out:
        for one in found:
            out.write(json.dumps(asdict(one), ensure_ascii=False) + "\n")
            count += 1
    return count


def kept(file: Path) -> list[Judged]:
    """The marks of a file."""
    return [Judged(**json.loads(line)) for line in file.read_text(encoding="utf-8").splitlines()]
