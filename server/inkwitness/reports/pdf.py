"""A report drawn as PDF, A4, black on white: it stays readable when copied or faxed."""

import datetime as dt
import io
import logging
from collections.abc import Sequence

from fpdf import FPDF
from fpdf.enums import XPos, YPos

from inkwitness import phrases
from inkwitness.phrases import Phrases
from inkwitness.reports import words
from inkwitness.reports.document import Document, Picture, Section, Table
from inkwitness.reports.fonts import Fonts
from inkwitness.reports.papers import PapersOnly

# The font library reports every table it leaves out of the subset.
logging.getLogger("fontTools").setLevel(logging.WARNING)


class _Page(FPDF):
    """A page whose foot says what the report is not."""

    def __init__(self, fonts: Fonts, foot: str, made_at: dt.datetime, say: Phrases) -> None:
        super().__init__(format="A4")
        self._say = say
        self._fonts = fonts
        self.spelled_out = False
        self._foot = foot
        self.set_margins(16, 14, 16)
        self.set_auto_page_break(True, margin=20)
        self.add_font("body", "", str(fonts.regular))
        self.add_font("body", "B", str(fonts.bold))
        for number, path in enumerate(fonts.others):
            self.add_font(f"other{number}", "", str(path))
        self.set_fallback_fonts(
            [f"other{number}" for number in range(len(fonts.others))], exact_match=False
        )
        # Letters of Hindi change their form beside each other; "fi" stays two letters for copies.
        self.set_text_shaping(True, features={"liga": False})
        self.set_creation_date(made_at)
        self.set_lang(say.language)

    def footer(self) -> None:
        if not self._foot:
            return
        self.set_y(-15)
        self.set_font("body", "", 7.5)
        page = self._say("report.page", page=self.page_no(), pages="{nb}")
        self.multi_cell(0, 3.6, f"{self._foot}\n{page}", align="L")

    def spelled(self, text: str) -> str:
        """The text as it can be drawn; whether a letter had to be spelled out is kept."""
        drawn = self._fonts.spelled(text)
        self.spelled_out = self.spelled_out or drawn != text
        return drawn

    def say(self, text: str, size: float = 9.5, style: str = "", gap: float = 0.8) -> None:
        self.set_font("body", style, size)
        drawn = self.spelled(text)
        self.multi_cell(0, size * 0.5, drawn, align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        self.ln(gap)


def draw(document: Document, fonts: Fonts) -> bytes:
    """The report as PDF bytes."""
    say = phrases.shipped().of(document.language)
    page = _Page(fonts, f"{say('caveat.long')} {say('caveat.short')}", document.made_at, say)
    page.set_title(document.title)
    page.add_page()
    page.say(document.title, 14, "B", 1)
    page.say(say("report.made", at=words.moment(document.made_at)), 8.5)
    for status in document.statuses:
        page.say(f"{status.shape}  {status.text}", 13, "B", 1.2)
    page.say(say("caveat.short"), 9.5, "", 2)
    for section in document.sections:
        _section(page, section)
    for picture in document.pictures:
        page.add_page()
        page.say(say("report.photo", what=picture.says), 10, "B")
        page.image(io.BytesIO(picture.data), w=page.epw, h=200, keep_aspect_ratio=True)
    if page.spelled_out:
        page.say(say("report.spelled_out"), 9.5, "B")
    return bytes(page.output())


def draw_papers(papers: PapersOnly, fonts: Fonts, made_at: dt.datetime, say: Phrases) -> bytes:
    """The papers-only view as PDF bytes: its sentence and its list, and nothing else."""
    page = _Page(fonts, "", made_at, say)
    page.add_page()
    page.say(papers.sentence, 13, "", 4)
    for paper in papers.papers:
        page.say(f"▭  {paper}", 12, "", 2)
    return bytes(page.output())


def draw_note(
    title: str, said: Sequence[str], fonts: Fonts, made_at: dt.datetime, say: Phrases
) -> bytes:
    """A short note as PDF bytes: a heading and its sentences, in large letters."""
    page = _Page(fonts, "", made_at, say)
    page.set_title(title)
    page.add_page()
    page.say(title, 15, "B", 4)
    for sentence in said:
        page.say(sentence, 13, "", 3)
    return bytes(page.output())


def _section(page: _Page, section: Section) -> None:
    if page.will_page_break(20):
        page.add_page()
    page.ln(1.5)
    page.say(section.title, 11, "B")
    for sentence in section.sentences:
        page.say(f"– {sentence}")
    if section.table is not None and section.table.rows:
        _table(page, section.table)
    for crop in section.crops:
        _crop(page, crop)


def _crop(page: _Page, crop: Picture) -> None:
    """A line of print under its words, at most 18 mm high, on one page with them."""
    if page.will_page_break(28):
        page.add_page()
    page.say(crop.says, 8.5, "B")
    page.image(io.BytesIO(crop.data), w=page.epw, h=18, keep_aspect_ratio=True)
    page.ln(2)


def _table(page: _Page, table: Table) -> None:
    page.set_font("body", "", 8)
    with page.table(
        line_height=4.2,
        text_align="LEFT",
        col_widths=_widths(table),
        padding=0.8,
    ) as drawn:
        for cells in (table.headings, *table.rows):
            row = drawn.row()
            for cell in cells:
                row.cell(page.spelled(cell))
    page.ln(1)


def _widths(table: Table) -> tuple[int, ...]:
    """Wider columns for longer texts, none narrower than its longest word (a number is one)."""
    columns = zip(table.headings, *table.rows, strict=True)
    return tuple(_width(cells) for cells in columns)


def _width(cells: Sequence[str]) -> int:
    word = max((len(word) for cell in cells for word in cell.split()), default=0)
    text = max(len(cell) for cell in cells)
    # Capitals and digits are wider than the letters of a sentence.
    return max(12, min(60, round(1.6 * word)), min(44, text))
