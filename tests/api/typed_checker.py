"""Reads photos whose print is known by the file's name, and judges them by the real rules.

For tests of what several photos of one unit come to: only the readers are stood in for.
"""

import datetime as dt

import numpy as np

from inkwitness import rulebook
from inkwitness.check.pipeline import RulesJudge
from inkwitness.check.values import ItemRead, PhotoRead, Reading
from inkwitness.marks.read_marks import marks_of_text
from tests.offers import OFFERS, PLAIN
from tests.typed import item_of, reading_of

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


class TypedReader:
    """Reads by the file's name: the print of a file is in `PRINTS`."""

    names = ("typed 1.0",)

    def load(self) -> None:
        """Nothing to load: nothing here reads a picture."""

    def read(self, data: bytes, name: str) -> PhotoRead:
        del data
        reading = typed(name)
        shades = {
            line.index: np.full((12, 60, 3), sum(line.text.encode()) % 256, np.uint8)
            for item in reading.items
            for line in item.lines
        }
        return PhotoRead(reading, shades)


def typed(name: str) -> Reading:
    """The print of a file as if it had been read."""
    book = rulebook.shipped()
    items: list[ItemRead] = []
    for print_ in PRINTS[name]:
        first = sum(len(item.lines) for item in items)
        offers = OFFERED.get(name, ())
        found = marks_of_text(print_, book.grammars, book.vocabulary)
        kept = [mark for mark in found if mark.mark not in {one.mark for one in offers}]
        items.append(item_of(print_, (*kept, *offers), first))
    return reading_of(*items, name=name)


def build() -> TypedReader:
    return TypedReader()


def build_judge(max_age_days: int) -> RulesJudge:
    return RulesJudge(rulebook.shipped(), max_age_days)
