"""Reads photos whose print is known by the file's name, and judges them by the real rules.

For tests of what several photos of one unit come to: only the readers are stood in for.
"""

import datetime as dt
from typing import Any, cast

import numpy as np

from inkwitness import rulebook
from inkwitness.check.contract import CheckOut, HolderMatchOut, ItemOut, LineOut
from inkwitness.check.outward import mark_out
from inkwitness.check.pipeline import Checker
from inkwitness.check.values import Checked
from inkwitness.findings.values import Circumstances
from inkwitness.marks.read_marks import marks_of_text
from inkwitness.reading.engines import Readers
from inkwitness.records.pipeline_checker import PipelineChecker
from tests.offers import OFFERS, PLAIN

# Names with a word beside them: print that only its place names is a question of its own.
US = (
    "MANUFACTURER: VEXHOLM FILTRATION",
    "MODEL VX-910",
    "N95",
    "NIOSH",
    "TC-84A-9981",
    "LOT 25C114",
)
EN = ("MADE BY HALCYRA RESPIRE", "MODEL HR-F2", "EN 149:2001+A1:2009", "FFP2 NR", "CE 2999")
#: What is printed in each photo; items are apart.
PRINTS: dict[str, tuple[tuple[str, ...], ...]] = {
    "us-face.png": (US,),
    "us-face-without-number.png": (tuple(line for line in US if "TC-" not in line),),
    "us-strap-number.png": (("TC-84A-9981",),),
    "us-box.png": (US,),
    "us-box-other-class.png": (tuple(line.replace("N95", "P95") for line in US),),
    "us-two-boxes.png": (US, tuple(line.replace("N95", "N94") for line in US)),
    "en-face.png": (EN,),
    "en-face-name-only.png": (tuple(line for line in EN if line != "MODEL HR-F2"),),
    "en-face-no-name.png": (EN[1:],),
    "en-box-lot.png": ((*EN, "LOT 5", "EXP 2033-01"),),
    "en-model-only.png": (("MODEL HR-F2",),),
    "us-face-nameless.png": (US[1:],),
    "us-box-short-name.png": (("MANUFACTURER: VEXHOLM", *US[2:]),),
    "us-box-whole-name.png": (US,),
    "nothing.png": (),
    "us-free-print.png": (PLAIN,),
    "dual-face.png": ((*EN, "NIOSH N95", "TC-84A-9981"),),
}
#: Print that only its place names, by file; what the grammars call so in it is left out.
OFFERED = {"us-free-print.png": OFFERS}
DAY = dt.date(2031, 3, 18)


class TypedChecker(PipelineChecker):
    """The real checker, but for reading: the print of a file is in `PRINTS`."""

    def check(
        self, data: bytes, name: str, circumstances: Circumstances, holder_list: Any
    ) -> Checked:
        del data
        out = self.recheck(typed(name, self.checker), (), circumstances, holder_list)
        shades = {
            line.index: np.full((12, 60, 3), sum(line.text.encode()) % 256, np.uint8)
            for line in out.lines
        }
        return Checked(out, shades)

    @property
    def readers(self) -> tuple[str, ...]:
        return ("typed 1.0",)


def typed(name: str, checker: Checker) -> CheckOut:
    """The print of a file as if it had been read, not judged yet."""
    book = checker.rulebook
    items: list[Any] = []
    lines: list[Any] = []
    for number, print_ in enumerate(PRINTS[name]):
        first = len(lines)
        lines += [
            LineOut(
                index=first + at,
                text=text,
                confidence=0.97,
                polygon=[],
                item=number,
                x_height_px=14,
            )
            for at, text in enumerate(print_)
        ]
        offers = OFFERED.get(name, ())
        found = marks_of_text(print_, book.grammars, book.vocabulary)
        kept = [mark for mark in found if mark.mark not in {one.mark for one in offers}]
        marks = [mark_out(mark) for mark in (*kept, *offers)]
        items.append(
            ItemOut(
                polygon=[(0, 0), (20, 0), (20, 20), (0, 20)],
                surface="facepiece",
                whole="yes",
                schemes=[],
                marks=marks,
                findings=[],
                holder_match=HolderMatchOut(state="nothing_to_look_up"),
            )
        )
    return CheckOut(
        photo=name,
        sha256="0" * 64,
        on=DAY,
        outcome="cannot_tell",
        basis="reading",
        aspects={},
        items=items,
        scheme="",
        marks={},
        lines=lines,
        findings=[],
        holder_match=HolderMatchOut(state="nothing_to_look_up"),
        photo_quality=[],
        milliseconds=0,
    )


def build(max_age_days: int) -> TypedChecker:
    # nothing here reads a picture, so no model is loaded
    none = cast(Readers, None)
    return TypedChecker(Checker(none, rulebook.load(), None, max_age_days))
