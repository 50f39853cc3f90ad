"""Three ways from a photo to marks, all through the same mark grammar.

`ours`: this project. `stock`: the ONNX pipeline of `rapidocr` with its default settings.
`tesseract`: plain Tesseract on the photo, the best of four quarter turns by its own confidence.
"""

from __future__ import annotations

import datetime as dt
import json
import logging
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path

import cv2
import pytesseract

from inkwitness.check.judge import Criteria
from inkwitness.check.pipeline import check_bytes
from inkwitness.check.reader import PhotoReader
from inkwitness.findings.values import Circumstances
from inkwitness.marks.read_marks import marks_of_text
from inkwitness.photo.decode import decode
from inkwitness.photo.values import Pixels
from inkwitness.reading.readers.engines import Readers, load_readers
from inkwitness.rulebook.values import Rulebook

#: The day and what is said of every photo; neither changes what is read.
AS_SAID = Circumstances(dt.date(2026, 11, 28), "facepiece", "unknown")


@dataclass(frozen=True)
class Answer:
    """A mark as a contestant shows it."""

    mark: str
    value: str
    printed: str
    standing: str
    probability: float
    named_by: str = "form"
    others: tuple[str, ...] = ()  # value and print of each alternative, in order


@dataclass(frozen=True)
class Result:
    """What a contestant made of one photo."""

    answers: tuple[Answer, ...]
    lines: tuple[str, ...]
    seconds: float
    width: int
    height: int


Contestant = Callable[[Path], Result]


def ours(rulebook: Rulebook, readers: Readers | None = None) -> Contestant:
    """This project's check of a photo; loading the models is not timed."""
    reader = PhotoReader(readers or load_readers(), rulebook)
    criteria = Criteria(rulebook)

    def run(file: Path) -> Result:
        data = file.read_bytes()
        start = time.perf_counter()
        check = check_bytes(data, file.name, reader, criteria, AS_SAID)
        seconds = time.perf_counter() - start
        answers = tuple(
            Answer(
                mark.mark, mark.value, mark.printed, mark.standing, mark.probability,
                mark.named_by, tuple(t for o in mark.alternatives for t in (o.value, o.printed)),
            )
            for item in check.judgement.items
            for mark in item.marks
            if mark.value or mark.printed
        )  # fmt: skip
        lines = tuple(line.text for item in check.reading.items for line in item.lines)
        return Result(answers, lines, seconds, check.reading.width, check.reading.height)

    return run


def stock(rulebook: Rulebook) -> Contestant:
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
        return Result(_told(lines, rulebook), lines, seconds, photo.width, photo.height)

    return run


def plain_tesseract(rulebook: Rulebook) -> Contestant:
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
        return Result(_told(lines, rulebook), lines, seconds, photo.width, photo.height)

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
            answers = tuple(
                Answer(**{**answer, "others": tuple(answer["others"])})
                for answer in kept.pop("answers")
            )
            return Result(answers=answers, **{**kept, "lines": tuple(kept["lines"])})
        result = contestant(file)
        store.write_text(json.dumps(asdict(result), ensure_ascii=False), encoding="utf-8")
        return result

    return run


def retold(result: Result, rulebook: Rulebook) -> Result:
    """The result with its lines put through the grammar again (a kept result may be older)."""
    return Result(_told(result.lines, rulebook), result.lines, result.seconds, result.width,
                  result.height)  # fmt: skip


def _told(lines: tuple[str, ...], rulebook: Rulebook) -> tuple[Answer, ...]:
    """The same parser, in the peer's favour: it has no doubt of letters, so all of them count as
    read; only what nothing but its place names does not.
    """
    marks = marks_of_text(lines, rulebook.grammars, rulebook.vocabulary)
    return tuple(
        Answer(
            m.mark, m.value, m.printed, "doubtful" if m.named_by == "place" else "read", 1.0,
            m.named_by, tuple(t for o in m.alternatives for t in (o.value, o.printed)),
        )
        for m in marks
    )  # fmt: skip


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
