"""python -m tests.bench losses: classes that lost their first letter, and how they are shown.

Drawn print in which a class may have lost its first letter (KN95 and N95, FFP2 and P2, R95 and
95): embossed, cut by the border of the picture, under a fold. A loss that is shown as read is the
mistake; a doubtful class is the right answer. The plain prints say what that caution costs.
"""

from __future__ import annotations

import argparse
import hashlib
from collections import Counter, defaultdict
from collections.abc import Sequence

from inkwitness.check.read_photo import read_photo
from inkwitness.marks.values import Mark
from inkwitness.photo.values import Photo
from inkwitness.reading.readers.engines import load_readers
from inkwitness.rulebook import load
from tests.bench.scored.truth import bare
from tests.renderer.losses import WAYS, pictures
from tests.renderer.printed.faces import check_faces

SEED, PICTURES = 12_000_000, 144
ANSWERS = ("read", "asked, with the whole class", "asked, without", "not seen", "another as read",
           "loss as read")  # fmt: skip


def answer_of(grade: str, marks: Sequence[Mark]) -> str:
    """Which of `ANSWERS` the classes that are shown give to a printed class; the worst first."""
    classes = [mark for mark in marks if mark.mark == "filter_class" and mark.printed]
    read = {bare(mark.value) for mark in classes if mark.standing == "read"}
    if any(is_loss(value, grade) for value in read):
        return "loss as read"
    if read - {grade}:
        return "another as read"
    if grade in read:
        return "read"
    offered = {bare(text) for mark in classes for other in mark.alternatives
               for text in (other.value, other.printed)}  # fmt: skip
    if grade in offered | {bare(mark.value) for mark in classes}:
        return "asked, with the whole class"
    return "asked, without" if classes else "not seen"


def is_loss(value: str, grade: str) -> bool:
    """Whether a value is what is left of a class without one or more of its first letters."""
    return value != grade and len(value) > 1 and grade.endswith(value)


def main(argv: Sequence[str] | None = None) -> None:
    """Entry point."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench losses", description=__doc__)
    parser.add_argument("--pictures", type=int, default=PICTURES)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--notes", action="store_true", help="list what is read and wrong")
    args = parser.parse_args(argv)
    check_faces()
    readers, book = load_readers(), load()
    counts: dict[tuple[str, str], Counter[str]] = defaultdict(Counter)
    notes = []
    for one in pictures(args.pictures, args.seed):
        digest = hashlib.sha256(one.image.tobytes()).hexdigest()
        photo = Photo(f"{one.seed}", digest, "image/png", one.image)
        items = read_photo(photo, readers, book).reading.items
        answer = answer_of(one.grade, [mark for item in items for mark in item.marks])
        counts[one.way, one.grade][answer] += 1
        if answer in ANSWERS[-2:]:
            lines = " / ".join(line.text for item in items for line in item.lines)
            notes.append(f"{one.seed} {one.way} {one.grade} left {one.left:.2f} {answer}: {lines}")
    print(table(counts))
    if args.notes:
        print("\n".join(notes))


def table(counts: dict[tuple[str, str], Counter[str]]) -> str:
    """Ways and classes against answers, in Markdown."""
    rows = ["| print | class | pictures | " + " | ".join(ANSWERS) + " |",
            "|---" * (3 + len(ANSWERS)) + "|"]  # fmt: skip
    for way in WAYS:
        own = {grade: count for (one, grade), count in counts.items() if one == way}
        every = {"all": sum(own.values(), Counter[str]())} | own
        rows += [
            f"| {way} | {grade} | {count.total()} | "
            + " | ".join(str(count[answer]) for answer in ANSWERS) + " |"
            for grade, count in every.items()
        ]  # fmt: skip
    return "\n".join(rows)
