"""Three ways from a photo to marks, all through the same mark grammar.

`ours`: this project. `stock`: the ONNX pipeline of `rapidocr` with its default settings.
`tesseract`: plain Tesseract on the photo, the best of four quarter turns by its own confidence.
"""

from __future__ import annotations

import json
import logging
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path

import cv2
import pytesseract

from inkwitness.marks.grammar import Grammar
from inkwitness.marks.read_marks import marks_of_text, seen_in_lines
from inkwitness.marks.vocabulary import Vocabulary
from inkwitness.photo.decode import decode
from inkwitness.photo.values import Pixels
from inkwitness.reading.engines import Readers, load_readers
from inkwitness.reading.read import read


@dataclass(frozen=True)
class Answer:
    """A mark as a contestant shows it."""

    mark: str
    value: str
    printed: str
    standing: str
    probability: float


@dataclass(frozen=True)
class Result:
    """What a contestant made of one photo."""

    answers: tuple[Answer, ...]
    lines: tuple[str, ...]
    seconds: float
    width: int
    height: int


Contestant = Callable[[Path], Result]


def ours(grammars: tuple[Grammar, ...], readers: Readers | None = None) -> Contestant:
    """This project's reader; loading the models is not timed."""
    ready = readers or load_readers()

    def run(file: Path) -> Result:
        data = file.read_bytes()
        start = time.perf_counter()
        photo = decode(data, file.name)
        reading = read(photo, ready)
        marks = [one.mark for area in reading.areas for one in seen_in_lines(area.lines, grammars)]
        seconds = time.perf_counter() - start
        answers = tuple(
            Answer(m.mark, m.value, m.printed, m.standing, m.probability) for m in marks
        )
        lines = tuple(line.text for area in reading.areas for line in area.lines)
        return Result(answers, lines, seconds, photo.width, photo.height)

    return run


def stock(grammars: tuple[Grammar, ...]) -> Contestant:
    """`rapidocr` with default settings, its lines through the grammar."""
    from rapidocr import RapidOCR

    logging.getLogger("RapidOCR").setLevel(logging.ERROR)
    engine = RapidOCR()

    def run(file: Path) -> Result:
        data = file.read_bytes()
        start = time.perf_counter()
        photo = decode(data, file.name)
        lines = tuple(engine(photo.pixels).txts or ())
        seconds = time.perf_counter() - start
        return Result(_told(lines, grammars), lines, seconds, photo.width, photo.height)

    return run


def plain_tesseract(grammars: tuple[Grammar, ...]) -> Contestant:
    """Tesseract on the whole photo at four quarter turns, the surest of them."""

    def run(file: Path) -> Result:
        photo = decode(file.read_bytes(), file.name)
        start = time.perf_counter()
        turns = [None, cv2.ROTATE_90_CLOCKWISE, cv2.ROTATE_180, cv2.ROTATE_90_COUNTERCLOCKWISE]
        read_turns = [
            _tesseract(photo.pixels if turn is None else cv2.rotate(photo.pixels, turn))
            for turn in turns
        ]
        lines = max(read_turns, key=lambda answer: answer[1])[0]
        # One turn is what a user would wait for; the others are a present.
        seconds = (time.perf_counter() - start) / len(turns)
        return Result(_told(lines, grammars), lines, seconds, photo.width, photo.height)

    return run


def cached(name: str, contestant: Contestant, folder: Path | None) -> Contestant:
    """The contestant, its results kept in a file a photo."""
    if folder is None:
        return contestant
    folder.mkdir(parents=True, exist_ok=True)

    def run(file: Path) -> Result:
        store = folder / f"{name}-{file.parent.name}-{file.name}.json"
        if store.exists():
            kept = json.loads(store.read_text(encoding="utf-8"))
            answers = tuple(Answer(**answer) for answer in kept.pop("answers"))
            return Result(answers=answers, **{**kept, "lines": tuple(kept["lines"])})
        result = contestant(file)
        store.write_text(json.dumps(asdict(result), ensure_ascii=False), encoding="utf-8")
        return result

    return run


def retold(result: Result, grammars: tuple[Grammar, ...]) -> Result:
    """The result with its lines put through the grammar again (a kept result may be older)."""
    return Result(_told(result.lines, grammars), result.lines, result.seconds, result.width,
                  result.height)  # fmt: skip


def _told(lines: tuple[str, ...], grammars: tuple[Grammar, ...]) -> tuple[Answer, ...]:
    """The grammar loosened in the peer's favour; it has no doubt, so all counts as read."""
    marks = marks_of_text(lines, grammars, Vocabulary())
    return tuple(Answer(m.mark, m.value, m.printed, "read", 1.0) for m in marks)


def _tesseract(pixels: Pixels) -> tuple[tuple[str, ...], float]:
    data = pytesseract.image_to_data(
        cv2.cvtColor(pixels, cv2.COLOR_BGR2RGB), lang="eng", output_type=pytesseract.Output.DICT
    )
    rows: dict[tuple[int, int, int], list[str]] = {}
    score = 0.0
    for i, text in enumerate(data["text"]):
        if text.strip() and float(data["conf"][i]) > 0:
            key = (data["block_num"][i], data["par_num"][i], data["line_num"][i])
            rows.setdefault(key, []).append(text.strip())
            score += len(text.strip()) * float(data["conf"][i])
    return tuple(" ".join(words) for words in rows.values()), score
