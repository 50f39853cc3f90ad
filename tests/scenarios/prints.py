"""What is printed in each photo of the scenarios, and a reader that knows it by the file's name.

A page sends no file's name: there the name stands in the picture's own text (`PRINT`).
"""

import io
from functools import cache

import numpy as np
from PIL import Image

from inkwitness import rulebook
from inkwitness.check.pipeline import RulesJudge
from inkwitness.check.values import PhotoRead
from inkwitness.marks.read_marks import marks_of_text
from tests.typed import item_of, reading_of

PRINTS: dict[str, tuple[str, ...]] = {
    # Scenario 1
    **{
        f"vx-910-{lot}.png": (
            "MANUFACTURER: VEXHOLM FILTRATION WORKS",
            "MODEL VX-910",
            "N95",
            "NIOSH",
            "TC-84A-9981",
            f"LOT {lot.upper()}",
        )
        for lot in ("a310", "a311", "a312")
    },
    # Scenario 2
    "sk-70.png": ("NIOSH  N95", "MODEL SK-70", "TC-84A-9982", "LOT 77"),
    # Scenario 3
    "lc-22.png": (
        "MANUFACTURER: LUMBREL CARE",
        "MODEL LC-22",
        "N95",
        "NIOSH",
        "TC-84A-9918",
        "LOT Q5",
    ),
    "oh-1.png": (
        "MANUFACTURER: ORSALINE HEALTH",
        "MODEL OH-1",
        "N95",
        "NIOSH",
        "TC-84A-9918",
        "LOT Q6",
    ),
    # Scenario 4
    "hr-f2.png": (
        "MANUFACTURER: HALCYRA RESPIRE",
        "MODEL HR-F2",
        "EN 149:2001+A1:2009",
        "FFP2 NR D",
        "CE 9862",
        "LOT H1",
    ),
    "nf-2.png": (
        "MANUFACTURER: NORDFELLE",
        "MODEL NF-2",
        "FFP2 NR",
        "EN 149:2001+A1:2009",
        "CE 9844",
        "LOT N1",
    ),
    # Scenario 5
    "walk-in.png": ("N95", "NOISH"),
    "walk-in-box.png": ("N95", "FDA CERTIFIED", "FOR ADULTS AND CHILDREN"),
    # Scenario 7
    "p-8.png": ("MANUFACTURER: PELLANOR", "MODEL P-8", "N95", "NIOSH"),
    "p-8-box.png": (
        "MANUFACTURER: PELLANOR",
        "MODEL P-8",
        "N95",
        "NIOSH",
        "TC-84A-9700",
        "LOT P1",
        "MFG 2007-06",
        "USE BY 05/06/2013",
        "USE BY 31/05/2019",
    ),
    # Scenario 8
    **{
        f"tm-95-{lot}.png": (
            "MANUFACTURER: TAMBERLOW MASK CO",
            "MODEL TM-95",
            "N95",
            "NIOSH",
            "TC-84A-9898N",
            f"LOT {lot.upper()}",
        )
        for lot in ("t1", "t2")
    },
    "bd-3.png": (
        "MANUFACTURER: BRISDAAL TEXTIEL",
        "MODEL BD-3",
        "EN 149:2001+A1:2009",
        "FFP3 NR",
        "CE 9871",
        "LOT B1",
    ),
    "tm-95-without-n.png": (
        "MANUFACTURER: TAMBERLOW MASK CO",
        "MODEL TM-95",
        "N95",
        "NIOSH",
        "TC-84A-9898",
        "LOT T2",
    ),
}


PRINT = "Print"


class NamedPrint:
    """Reads by the file's name, or by the name that a PNG tells."""

    names = ("typed 1.0",)

    def load(self) -> None:
        """Nothing to load: nothing here reads a picture."""

    def read(self, data: bytes, name: str) -> PhotoRead:
        if name not in PRINTS:
            with Image.open(io.BytesIO(data)) as picture:
                name = str(picture.info[PRINT])
        return read_once(name)


@cache
def read_once(name: str) -> PhotoRead:
    """What is printed in a photo of this name: the same for each, so that it is read once."""
    book = rulebook.shipped()
    lines = PRINTS[name]
    item = item_of(lines, marks_of_text(lines, book.grammars, book.vocabulary))
    ink = {line.index: np.full((12, 60, 3), 90, np.uint8) for line in item.lines}
    return PhotoRead(reading_of(item, name=name), ink)


def build() -> NamedPrint:
    return NamedPrint()


def build_judge(max_age_days: int) -> RulesJudge:
    return RulesJudge(rulebook.shipped(), max_age_days)
