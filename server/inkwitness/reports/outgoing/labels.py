"""Labels for goods on hold: the word and a shape, what they are, who held them, and a QR code.

A label says nothing of why. Black on white, so that a copier or a label printer can make it.
"""

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from fpdf import FPDF
from fpdf.enums import XPos, YPos

from inkwitness import phrases
from inkwitness.consignment.dispositions import HOLDS
from inkwitness.consignment.number import number_of
from inkwitness.errors import BadInput
from inkwitness.network import qr
from inkwitness.phrases import Phrases
from inkwitness.records.consignments import Refused
from inkwitness.reports import words
from inkwitness.reports.document import shown
from inkwitness.reports.fonts import Fonts, add_fonts, form_letters, height_of, laid_out
from inkwitness.use_cases.overview import Overview

#: Width and height in mm. A4 and A6: ISO 216:2007; 100 x 50 is a common roll (common practice, no
#: source).
SIZES = {"a4": (297.0, 210.0), "a6": (148.0, 105.0), "100x50": (100.0, 50.0)}
_FREE = re.compile(r"(\d{2,3})x(\d{2,3})")
_A4 = (210.0, 297.0)
_BLANK = "________________"
MOST = 1000
#: Whether a label has a page of its own (a label printer) or several stand on sheets of A4.
Paper = Literal["own", "a4"]


@dataclass(frozen=True, slots=True)
class Label:
    """What one label says. An empty lot or carton is left as a line to write on."""

    consignment: str
    number: str
    lot: str
    carton: str
    held_by: str
    held_at: dt.datetime
    address: str
    contact: str = ""


def size_of(text: str) -> tuple[float, float]:
    """Width and height in mm of a size by its name, or of `WIDTHxHEIGHT`. Raises BadInput."""
    if text.lower() in SIZES:
        return SIZES[text.lower()]
    given = _FREE.fullmatch(text.lower())
    if given is None or not (50 <= int(given[1]) <= 297 and 30 <= int(given[2]) <= 297):
        raise BadInput("label_size", size=text, sizes=", ".join(SIZES))
    return float(given[1]), float(given[2])


def labels_of(
    found: Overview, address: str, say: Phrases, *, each: Literal["one", "carton"], contact: str
) -> list[Label]:
    """The labels of a consignment on hold: one, or one for each carton that was declared.

    Raises Refused where no hold is in force, BadInput where cartons are not declared or too many.
    """
    holds = [one for one in found.decisions if one.content["disposition"] in HOLDS]
    if not found.held or not holds:
        raise Refused("labels_no_hold")
    content, last = found.content, holds[-1]
    codes = [shown(lot["code"]) for lot in content["lots"]]
    places = [(", ".join(codes), "")]
    if each == "carton":
        places = _cartons(content, say)
    return [
        Label(
            consignment=shown(content["label"]),
            number=shown(content["reference"]) or number_of(found.entry.id),
            lot=lot,
            carton=carton,
            held_by=shown(last.context.actor.name),
            held_at=last.at,
            address=address,
            contact=shown(contact),
        )
        for lot, carton in places
    ]


def _cartons(content: Mapping[str, Any], say: Phrases) -> list[tuple[str, str]]:
    lots = content["lots"]
    counted = [(shown(lot["code"]), lot["cartons"]) for lot in lots]
    if not counted or any(n is None for _, n in counted):
        counted = [(", ".join(code for code, _ in counted), content["cartons_declared"])]
    if any(n is None for _, n in counted):
        raise BadInput("labels_no_cartons")
    if sum(n for _, n in counted) > MOST:
        raise BadInput("labels_too_many", limit=MOST)
    return [
        (code, say("label.of", n=place, of=n)) for code, n in counted for place in range(1, n + 1)
    ]


def draw_labels(
    labels: Sequence[Label],
    size: tuple[float, float],
    paper: Paper,
    fonts: Fonts,
    languages: Sequence[str],
    made_at: dt.datetime,
) -> bytes:
    """The labels as PDF bytes, in one language or two. Raises BadInput where none fits on A4."""
    width, height = size
    spoken = [phrases.shipped().of(one) for one in dict.fromkeys(languages)]
    page = FPDF(unit="mm", format=_A4 if paper == "a4" else (width, height))
    page.set_auto_page_break(False)
    page.set_margin(0)
    page.c_margin = 0
    add_fonts(page, fonts)
    page.set_creation_date(made_at)
    page.set_lang(languages[0])
    page.set_title(spoken[0]("hold.word"))
    places = _places(width, height) if paper == "a4" else [(0.0, 0.0)]
    for number, label in enumerate(labels):
        if number % len(places) == 0:
            page.add_page()
        left, top = places[number % len(places)]
        _Drawn(page, fonts, left, top, width, height).label(label, spoken)
    return bytes(page.output())


def _places(width: float, height: float) -> list[tuple[float, float]]:
    """Corners of as many labels as stand on A4 side by side, with 4 mm that no printer reaches."""
    room = (_A4[0], _A4[1])
    if width > room[0] or height > room[1]:
        raise BadInput("label_over_a4")
    across, down = max(1, int(room[0] // width)), max(1, int(room[1] // height))
    x, y = (room[0] - across * width) / 2, (room[1] - down * height) / 2
    return [(x + i * width, y + j * height) for j in range(down) for i in range(across)]


@dataclass(frozen=True, slots=True)
class _Drawn:
    page: FPDF
    fonts: Fonts
    left: float
    top: float
    width: float
    height: float

    def label(self, label: Label, spoken: Sequence[Phrases]) -> None:
        edge = min(5.0, self.height * 0.05)
        inside = self.width - 2 * edge
        x, y = self.left + edge, self.top + edge
        self.page.set_draw_color(0)
        self.page.set_line_width(max(0.5, self.height * 0.012))
        self.page.rect(x, y, inside, self.height - 2 * edge)
        bar = self.height * (0.22 if len(spoken) == 1 else 0.3)
        self.page.set_fill_color(0)
        self.page.rect(x, y, inside, bar, style="F")
        self.page.set_text_color(255)
        for number, say in enumerate(spoken):
            part = bar / len(spoken)
            self._line(say, f"■ {say('hold.do')}", x + 2, y + number * part, inside - 4, part)
        self.page.set_text_color(0)
        room = self.height - 2 * edge - bar
        side = min(room - 3, self.width * 0.32)
        self._qr(label.address, x + inside - side - 1.5, y + bar + 1.5, side)
        lines = _lines(label, spoken)
        self._block(lines, x + 2, y + bar + 1.2, inside - side - 6, room - 2.4)

    def _line(
        self, say: Phrases, text: str, x: float, y: float, width: float, height: float
    ) -> None:
        """One line as large as its room allows."""
        text = self._spelled(say, text)
        size = height * 1.9
        while size > 4:
            self.page.set_font("body", "B", size)
            if self.page.get_string_width(text) <= width:
                break
            size -= 0.5
        self.page.set_xy(x, y)
        self.page.cell(width, height, text, align="R" if say.right_to_left else "L")

    def _spelled(self, say: Phrases, text: str) -> str:
        drawn = self.fonts.spelled(text)
        form_letters(self.page, drawn)
        return laid_out(drawn, right_to_left=say.right_to_left)

    def _block(
        self, lines: Sequence[tuple[Phrases, str]], x: float, y: float, width: float, height: float
    ) -> None:
        drawn = [(say, self._spelled(say, line)) for say, line in lines]
        size = min(26.0, self.height / 4)
        while size > 4:
            self.page.set_font("body", "", size)
            line = size * 0.42
            self.page.set_xy(x, y)
            needed = sum(height_of(self.page, width, line, text) for _, text in drawn)
            if needed <= height:
                break
            size -= 0.25
        self.page.set_xy(x, y)
        for say, text in drawn:
            side = "R" if say.right_to_left else "L"
            line = size * 0.42
            self.page.multi_cell(width, line, text, align=side, new_x=XPos.LEFT, new_y=YPos.NEXT)

    def _qr(self, address: str, x: float, y: float, side: float) -> None:
        """A QR code with its quiet zone of four modules (ISO/IEC 18004:2015, 5.3.8)."""
        rows = qr.rows(address)
        step = side / (len(rows) + 8)
        self.page.set_fill_color(0)
        for j, row in enumerate(rows):
            start = None
            for i, module in enumerate(f"{row}0"):
                if module == "1" and start is None:
                    start = i
                elif module == "0" and start is not None:
                    # a run of modules as one rectangle: no hairlines between them on paper
                    corner = (x + (start + 4) * step, y + (j + 4) * step)
                    self.page.rect(*corner, (i - start) * step, step, style="F")
                    start = None


def _lines(label: Label, spoken: Sequence[Phrases]) -> list[tuple[Phrases, str]]:
    """Each line with the language that says which way it runs."""
    first = spoken[0]

    def named(key: str, value: str) -> tuple[Phrases, str]:
        name = " / ".join(dict.fromkeys(say(f"label.{key}") for say in spoken))
        return first, f"{name}: {first.apart(value)}"

    lines = [
        named("consignment", label.consignment),
        named("number", label.number),
        named("lot", label.lot or _BLANK),
        named("carton", label.carton or _BLANK),
        (first, first("label.held_by", name=label.held_by, at=words.moment(label.held_at))),
    ]
    if label.contact:
        lines.append(named("contact", label.contact))
    return [*lines, *((say, say("label.keep")) for say in spoken)]
