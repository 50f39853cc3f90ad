"""How often marks are right at a given probability, on thousands of made lines.

Each line image of tests/renderer goes the way of a straightened line of a photo: recogniser,
further augmentations, second reader, evidence. One JSON line a mark is kept, with the signs that
its probability comes from; `calibrate` fits from one set of seeds, `reliability` checks on another.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass, replace
from functools import cache
from multiprocessing import get_context
from pathlib import Path

import cv2
import numpy as np

from inkwitness.marks.grammar import Grammar
from inkwitness.marks.match import find
from inkwitness.marks.read_marks import seen_in_lines
from inkwitness.marks.scores.calibration import Signs
from inkwitness.marks.vocabulary import Vocabulary
from inkwitness.reading.augmentations import TALL, augmented
from inkwitness.reading.borders import crossed_ends
from inkwitness.reading.readers.engines import Readers, load_readers
from inkwitness.reading.values import Line, View
from inkwitness.reading.views import looked_at_again
from tests.bench.scored.truth import bare
from tests.renderer.line import Strip, bears, line_strip

NUMBER = "approval_number"
_BATCH = 24


@dataclass(frozen=True)
class Judged:
    """A mark of a made line: its signs, how sure, how shown, and whether it is what is printed."""

    seed: int
    mark: str
    signs: dict[str, float]
    held_back: bool
    probability: float
    standing: str
    right: bool
    printed: str
    truth: str
    x_height: float
    contrast: float
    blur: float

    @property
    def seen(self) -> Signs:
        """The signs as the calibration takes them."""
        return Signs(**self.signs)


@dataclass(frozen=True)
class Chunk:
    """Made lines of seeds `first` to `last` - 1: those that bear a number, or those that do not."""

    first: int
    last: int
    numbers: bool

    @property
    def name(self) -> str:
        return f"{'numbers' if self.numbers else 'others'}-{self.first}-{self.last}.jsonl"


def chunks(first: int, numbers: int, others: int, size: int = 240) -> list[Chunk]:
    """Seeds from `first` on for about so many lines with and without a number.

    About one line in four bears a number; no seed is used twice.
    """
    ranges = [(first, 4 * numbers, True), (first + 4 * numbers, others * 4 // 3, False)]
    return [
        Chunk(start, min(start + size, base + count), kind)
        for base, count, kind in ranges
        for start in range(base, base + count, size)
    ]


def judged(wanted: Iterable[Chunk], folder: Path, jobs: int = 1) -> list[Judged]:
    """The marks of all chunks, kept in a file a chunk: a run that is cut off goes on."""
    folder.mkdir(parents=True, exist_ok=True)
    listed = list(wanted)
    missing = [chunk for chunk in listed if not (folder / chunk.name).exists()]
    # Each job has the network to itself on one thread; that is set before the models are loaded.
    os.environ["INKWITNESS_THREADS"] = "1"
    if jobs == 1:
        for chunk in missing:
            _keep(chunk, folder)
    else:
        with ProcessPoolExecutor(jobs, mp_context=get_context("spawn")) as pool:
            list(pool.map(_keep, missing, [folder] * len(missing)))
    return [one for chunk in listed for one in kept(folder / chunk.name)]


def kept(file: Path) -> list[Judged]:
    """The marks of a file."""
    return [Judged(**json.loads(line)) for line in file.read_text(encoding="utf-8").splitlines()]


def _keep(chunk: Chunk, folder: Path) -> None:
    readers, grammars = _tools()
    images = [
        image
        for seed in range(chunk.first, chunk.last)
        if bears(seed, NUMBER) == chunk.numbers and (image := line_strip(seed)).legible
    ]
    found = [
        one
        for start in range(0, len(images), _BATCH)
        for one in _batch(images[start : start + _BATCH], grammars, readers)
    ]
    text = "".join(json.dumps(asdict(one), ensure_ascii=False) + "\n" for one in found)
    unfinished = folder / f"{chunk.name}.part"
    unfinished.write_text(text, encoding="utf-8")
    unfinished.rename(folder / chunk.name)


@cache
def _tools() -> tuple[Readers, tuple[Grammar, ...]]:
    from inkwitness.rulebook import load

    return load_readers(), load().grammars


def _batch(
    images: list[Strip], grammars: tuple[Grammar, ...], readers: Readers
) -> Iterator[Judged]:
    lines = [_line(image, number) for number, image in enumerate(images)]
    colour = [augmented(line.image, "colour") for line in lines]
    raws = readers.recogniser.recognise(colour)
    seconds = readers.second.read_lines(colour)
    for image, line, raw, second in zip(images, lines, raws, seconds, strict=True):
        view = View("colour", raw.text, raw.spans, raw.confidence, raw.steps)
        told = replace(
            line,
            views=(view,),
            second=() if second is None else (second,),
            crossed=crossed_ends(line.image),
        )
        (told,) = looked_at_again([told], readers.recogniser)
        wanted = {
            (match.mark, bare(form))
            for grammar in grammars
            for match in find(image.text, grammar, loosely=False)
            for form in (match.value, match.printed, dict(match.parts).get("ink", ""))
            if form
        }
        wanted |= {(name, bare(value)) for name, value in image.values.items()}
        from inkwitness.rulebook import shipped

        words = Vocabulary(printing=shipped().vocabulary.printing)
        for one in seen_in_lines((told,), grammars, words):
            mark = one.mark
            forms = {(mark.mark, bare(mark.value)), (mark.mark, bare(mark.printed))}
            yield Judged(image.seed, mark.mark, _record(one.signs), one.held_back,
                         mark.probability, mark.standing, bool(forms & wanted), mark.printed,
                         image.text, image.x_height_px, image.contrast,
                         image.blur_sigma_px)  # fmt: skip


def _record(signs: Signs) -> dict[str, float]:
    """The signs as plain numbers, for the file that the weights are fitted from."""
    return {name: float(value) for name, value in asdict(signs).items()}


def _line(image: Strip, number: int) -> Line:
    """The line image with rows repeated above and below, as TALL as a line of a photo."""
    room = TALL - image.image.shape[0]
    tall = cv2.copyMakeBorder(image.image, room // 2, room - room // 2, 0, 0, cv2.BORDER_REFLECT)
    width = float(tall.shape[1])
    edge = (0.0, width / 2, width)
    ring = (*((x, 0.0) for x in edge), *((x, 64.0) for x in reversed(edge)))
    return Line(number, ring, image.x_height_px, np.asarray(tall, np.uint8), ())
