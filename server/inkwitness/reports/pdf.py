"""A report drawn as PDF, A4, black on white: it stays readable when copied or faxed."""

import datetime as dt
import io
import logging
from collections.abc import Sequence
from typing import Literal

from fpdf import FPDF
from fpdf.enums import XPos, YPos
from fpdf.fonts import TTFFont
from PIL import Image

from inkwitness import phrases
from inkwitness.errors import NotFound
from inkwitness.photo.files import file_state
from inkwitness.photo.served import smaller
from inkwitness.phrases import Phrases
from inkwitness.reports import words
from inkwitness.reports.document import Document, Ink, PhotoFile, Picture, Section, Table
from inkwitness.reports.fonts import Fonts, add_fonts, form_letters, height_of, laid_out
from inkwitness.reports.papers import PapersOnly

# The font library reports every table it leaves out of the subset.
logging.getLogger("fontTools").setLevel(logging.WARNING)
#: Pixels across a photo on a page: 170 mm at 180 dots an inch.
_WIDEST = 1200
_SMALL = 640
#: How large the ink of one mark stands beside its words, in mm.
_INK_WIDTH, _INK_HEIGHT = 72.0, 9.0
#: Lines of one row of a table at most; what is longer goes on in a row of its own.
_MOST_LINES = 40
#: How much smaller a first page may become so that it stays one.
_SCALES = (1.0, 0.92, 0.85, 0.78, 0.7, 0.62)


class _Page(FPDF):
    """A page whose foot says what the report is not."""

    def __init__(self, fonts: Fonts, foot: str, made_at: dt.datetime, say: Phrases) -> None:
        super().__init__(format="A4")
        self.its_words = say
        #: Where a line begins: at the right in a language that is written from there.
        self.side: Literal["L", "R"] = "R" if say.right_to_left else "L"
        self._fonts = fonts
        self.spelled_out = False
        self.scale = 1.0
        self._foot = foot
        self.set_margins(16, 14, 16)
        self.set_auto_page_break(True, margin=20)
        add_fonts(self, fonts)
        self.set_creation_date(made_at)
        self.set_lang(say.language)

    def footer(self) -> None:
        if not self._foot:
            return
        self.set_y(-15)
        self.set_font("body", "", 7.5)
        page = self.its_words("report.page", page=self.page_no(), pages="{nb}")
        self.multi_cell(0, 3.6, self.spelled(f"{self._foot}\n{page}"), align=self.side)

    def close_fonts(self) -> None:
        """Close the files of a page that is not drawn to its end."""
        for font in self.fonts.values():
            if isinstance(font, TTFFont):
                font.close()

    def spelled(self, text: str) -> str:
        """The text as it can be drawn; whether a letter had to be spelled out is kept."""
        drawn = self._fonts.spelled(text)
        form_letters(self, drawn)
        self.spelled_out = self.spelled_out or drawn != text
        return laid_out(drawn, right_to_left=self.its_words.right_to_left)

    def across(self, from_start: float, width: float) -> float:
        """Where a thing this wide stands, so far from where lines begin; both in mm."""
        if self.side == "L":
            return self.l_margin + from_start
        return self.w - self.r_margin - from_start - width

    def say(self, text: str, size: float = 9.5, style: str = "", gap: float = 0.8) -> None:
        size *= self.scale
        self.set_font("body", style, size)
        drawn = self.spelled(text)
        self.multi_cell(0, size * 0.5, drawn, align=self.side, new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        self.ln(gap * self.scale)


def draw(document: Document, fonts: Fonts) -> bytes:
    """The report as PDF bytes."""
    say = phrases.shipped().of(document.language)
    page = _first_page(document, fonts, say)
    if document.front:
        page.add_page()
    for section in document.sections:
        _section(page, section)
    if document.units:
        page.add_page()
        page.say(say("front.evidence"), 14, "B", 1)
    for section in document.units:
        _section(page, section)
    if document.kind == "unit":
        for picture in document.pictures:
            page.add_page()
            page.say(say("report.photo", what=picture.says), 10, "B")
            data = io.BytesIO(_bytes(picture, _WIDEST))
            page.image(data, w=page.epw, h=200, keep_aspect_ratio=True)
    else:
        _annex(page, document.pictures, say)
    if page.spelled_out:
        page.say(say("report.spelled_out"), 9.5, "B")
    return bytes(page.output())


def _first_page(document: Document, fonts: Fonts, say: Phrases) -> _Page:
    """The title, how it stands, and the first page's sections as large as one page takes them."""
    for scale in _SCALES:
        page = _Page(fonts, f"{say('caveat.long')} {say('caveat.short')}", document.made_at, say)
        page.scale = scale
        page.set_title(document.title)
        page.add_page()
        page.say(document.title, 14, "B", 1)
        page.say(say("report.made", at=words.moment(document.made_at)), 8.5)
        for status in document.statuses:
            page.say(f"{status.shape}  {status.text}", 13, "B", 1.2)
        page.say(say("caveat.short"), 9.5, "", 2)
        for section in document.front:
            _section(page, section)
        if document.front:
            page.say(say("front.kept", head=document.records_head), 8)
        if page.page_no() == 1 or scale == _SCALES[-1]:
            break
        page.close_fonts()
    page.scale = 1.0
    return page


def _annex(page: _Page, photos: Sequence[PhotoFile], say: Phrases) -> None:
    """Photos, six a page, each with its words under it."""
    width, height = page.epw / 2 - 3, 70.0
    for number, photo in enumerate(photos):
        if number % 6 == 0:
            page.add_page()
            page.say(say("front.annex"), 14, "B", 1)
            top = page.get_y()
        x = page.across((number % 2) * (width + 6), width)
        y = top + (number % 6 // 2) * (height + 14)
        state = file_state(photo.path, photo.sha256)
        told = photo.says
        if state == "intact":
            data = io.BytesIO(_bytes(photo, _SMALL))
            page.image(data, x=x, y=y, w=width, h=height, keep_aspect_ratio=True)
        else:
            # taken back by a person, or lost: the report says so and goes on
            told = f"{told} – {say(f'report.file.{state}')}"
        page.set_xy(x, y + height + 0.5)
        page.set_font("body", "", 6.5)
        page.multi_cell(width, 2.9, page.spelled(told), align=page.side)


def _ink(page: _Page, ink: Ink, title: str, say: Phrases) -> None:
    """The line of print where lines begin, what was read in it and who said so beside it.

    A page that begins with marks says first whose they are, `title`.
    """
    page.set_font("body", "", 8)
    arrow = "→" if page.side == "L" else "←"
    value = "" if ink.value in ("", ink.printed) else f" {arrow} {say.apart(ink.value)}"
    told = f"{ink.mark}: “{say.apart(ink.printed)}”{value}"
    more = " – ".join(one for one in (ink.standing, ink.why, ink.on, ink.by) if one)
    text = page.spelled(f"{told}\n{more}")
    width = page.epw - _INK_WIDTH - 4
    height = max(height_of(page, width, 3.8, text), _INK_HEIGHT)
    if page.will_page_break(height + 3):
        page.add_page()
        page.say(f"{title} …", 9.5, "B")
        page.set_font("body", "", 8)
    top = page.get_y()
    if ink.path is not None and ink.path.is_file():
        with Image.open(ink.path) as strip:
            wide = min(_INK_WIDTH, _INK_HEIGHT * strip.width / strip.height)
        # in the column of the text: a short line of print begins where a long one does
        x = page.across(page.c_margin, wide)
        page.image(ink.path, x=x, y=top, w=wide, h=_INK_HEIGHT, keep_aspect_ratio=True)
    else:
        page.set_xy(page.across(0, _INK_WIDTH), top)
        page.cell(_INK_WIDTH, 4, page.spelled(f"({say('front.typed')})"), align=page.side)
    page.set_xy(page.across(_INK_WIDTH + 4, width), top)
    page.multi_cell(width, 3.8, text, align=page.side)
    page.set_xy(page.l_margin, top + height + 2.8)


def _bytes(photo: PhotoFile, widest: int) -> bytes:
    """The photo no wider than a page needs; raises NotFound where its file is not as it was."""
    if file_state(photo.path, photo.sha256) != "intact":
        raise NotFound("photo_file_not_intact", photo=photo.sha256[:12])
    data, _ = smaller(photo.path.read_bytes(), widest)
    return data


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
    if page.will_page_break(20 + 30 * bool(section.inks)):
        page.add_page()
    page.ln(1.5)
    page.say(section.title, 11, "B")
    # the dash of a sentence in English stands where lines of this language begin, too
    dash = "–" if page.side == "L" else "\u200f–"
    for sentence in section.sentences:
        page.say(f"{dash} {page.its_words.apart(sentence)}")
    if section.table is not None and section.table.rows:
        _table(page, section.table)
    for crop in section.crops:
        _crop(page, crop)
    for ink in section.inks:
        _ink(page, ink, section.title, page.its_words)


def _crop(page: _Page, crop: Picture) -> None:
    """A line of print under its words, at most 18 mm high, on one page with them."""
    if page.will_page_break(28):
        page.add_page()
    page.say(crop.says, 8.5, "B")
    page.image(io.BytesIO(crop.data), w=page.epw, h=18, keep_aspect_ratio=True)
    page.ln(2)


#: Room around what stands in a cell, in mm.
_PADDING = 0.8


def _table(page: _Page, table: Table) -> None:
    page.set_font("body", "", 8)
    widths = _widths(page, table)
    turned = slice(None, None, 1 if page.side == "L" else -1)
    with page.table(
        line_height=4.2,
        text_align="LEFT" if page.side == "L" else "RIGHT",
        v_align="TOP",
        col_widths=widths[turned],
        padding=_PADDING,
    ) as drawn:
        for cells in (
            tuple(page.spelled(cell) for cell in table.headings),
            *(part for row in table.rows for part in _fit(page, row, widths)),
        ):
            row = drawn.row()
            for cell in cells[turned]:
                row.cell(cell)
    page.ln(1)


def _fit(page: _Page, cells: Sequence[str], widths: Sequence[int]) -> list[tuple[str, ...]]:
    """A row as the rows it needs: one that is higher than a page cannot be drawn."""
    parts = [
        _parts(page, page.spelled(cell), page.epw * width / sum(widths) - 4)
        for cell, width in zip(cells, widths, strict=True)
    ]
    turns = range(max(len(part) for part in parts))
    return [tuple(part[turn] if turn < len(part) else "" for part in parts) for turn in turns]


def _parts(page: _Page, text: str, width: float) -> list[str]:
    """A cell's text in parts of at most `_MOST_LINES` lines of a column this wide, in mm."""
    if len(text) < 8 * _MOST_LINES:
        return [text]
    lines = page.multi_cell(width, 4.2, text, align="L", dry_run=True, output="LINES")
    assert isinstance(lines, list)
    return [
        "\n".join(lines[start : start + _MOST_LINES]) for start in range(0, len(lines), _MOST_LINES)
    ]


def _widths(page: _Page, table: Table) -> tuple[int, ...]:
    """Tenths of a millimetre: each column holds its longest word, longer texts get more than that.

    A word that would take most of the page, such as a hash in a narrow table, is broken.
    """
    columns = list(zip(table.headings, *table.rows, strict=True))
    least = [min(_longest(page, cells), 0.65 * page.epw) for cells in columns]
    wish = [_width(cells) for cells in columns]
    rest = max(0.0, page.epw - sum(least))
    return tuple(
        max(1, round(10 * (own + rest * more / sum(wish))))
        for own, more in zip(least, wish, strict=True)
    )


def _longest(page: _Page, cells: Sequence[str]) -> float:
    """How wide the longest word of a column is drawn, its heading in bold, with its margins."""
    widths = [0.0]
    for number, cell in enumerate(cells):
        page.set_font("body", "" if number else "B", 8)
        widths += [page.get_string_width(word) for word in page.spelled(cell).split()]
    page.set_font("body", "", 8)
    return max(widths) + 2 * (_PADDING + page.c_margin)


def _width(cells: Sequence[str]) -> int:
    word = max((len(word) for cell in cells for word in cell.split()), default=0)
    text = max(len(cell) for cell in cells)
    # Capitals and digits are wider than the letters of a sentence.
    return max(12, min(60, round(1.6 * word)), min(44, text))
