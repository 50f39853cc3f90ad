"""Fonts for PDF: DejaVu Sans of the system, and others for scripts that it lacks."""

import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from fontTools.ttLib import TTFont
from fpdf import FPDF

from inkwitness.errors import ReaderMissing
from inkwitness.phrases import left_to_right, reads_right_to_left

_TRUETYPE = Path("/usr/share/fonts/truetype")
_REGULAR = (
    _TRUETYPE / "dejavu" / "DejaVuSans.ttf",
    Path("/usr/share/fonts/dejavu-sans-fonts/DejaVuSans.ttf"),
    Path("/usr/share/fonts/TTF/DejaVuSans.ttf"),
)
_OTHER_SCRIPTS = (
    _TRUETYPE / "lohit-devanagari" / "Lohit-Devanagari.ttf",
    _TRUETYPE / "noto" / "NotoSansDevanagari-Regular.ttf",
    _TRUETYPE / "droid" / "DroidSansFallbackFull.ttf",
)
#: Languages whose letters a font may lack. Their report is not drawn without.
_OF_LANGUAGE = {
    "hi": ("fonts-lohit-deva", _OTHER_SCRIPTS[:2]),
    "ar": ("fonts-dejavu-core", _REGULAR),
}
_RIGHT = "\u200f"
_APART = re.compile("[\u2066\u2069]")
_NOT_DRAWN = frozenset("\n\u2066\u2069")
_DAY = re.compile(r"(?<!\u2066)\d{4}-\d\d-\d\d( \d\d:\d\d UTC)?")
#: Letters that change their form or their place beside others, and marks over letters: Unicode 15.1
#: blocks from Hebrew to Myanmar and from Khmer to Mongolian, combining marks, forms of Arabic.
_FORMED = re.compile("[\u0300-\u036f\u0590-\u109f\u1780-\u18af\ufb1d-\ufdff\ufe70-\ufefc]")
_LISTED = re.compile("(?<=[\u0600-\u06ff]),(?= )")


@dataclass(frozen=True, slots=True)
class Fonts:
    """Font files: regular, bold (the regular one where there is none), and for other scripts."""

    regular: Path
    bold: Path
    others: tuple[Path, ...]

    def spelled(self, text: str) -> str:
        """The text with each letter that no font has as its number, in place of an empty box.

        A line break stays, and so do the signs that set a value apart, which are not drawn.
        """
        known = frozenset.union(*(_letters(path) for path in (self.regular, *self.others)))
        return "".join(
            letter if ord(letter) in known or letter in _NOT_DRAWN else f"‹U+{ord(letter):04X}›"
            for letter in text
        )


@cache
def _letters(path: Path) -> frozenset[int]:
    with TTFont(path, lazy=True) as font:
        return frozenset(font.getBestCmap())


def add_fonts(page: FPDF, fonts: Fonts) -> None:
    """Make the fonts known to a PDF as `body`, with what stands in for letters it lacks."""
    page.add_font("body", "", str(fonts.regular))
    page.add_font("body", "B", str(fonts.bold))
    for number, path in enumerate(fonts.others):
        page.add_font(f"other{number}", "", str(path))
    page.set_fallback_fonts(
        [f"other{number}" for number in range(len(fonts.others))], exact_match=False
    )


def form_letters(page: FPDF, text: str) -> None:
    """From here on letters are formed by those beside them, where a text has such letters.

    Not before: it takes five times as long, and Latin letters stand as well without.
    """
    if page.text_shaping is None and _FORMED.search(text):
        # "fi" stays two letters, for copies
        page.set_text_shaping(True, features={"liga": False})


def laid_out(text: str, *, right_to_left: bool) -> str:
    """A text as the drawing library lays it out in a document of this direction.

    The library takes the direction of a line from its first letter, so one in letters from right to
    left begins with a mark (UAX #9, Unicode 15.1, 2.6). In it a day is set apart beside a name too,
    and items of a list have the comma of those letters.
    """
    if not right_to_left or not reads_right_to_left(text):
        return _APART.sub("", text)
    apart = _DAY.sub(lambda day: left_to_right(day[0]), text)
    listed = _LISTED.sub("\u060c", apart)
    return "\n".join(f"{_RIGHT}{line.removeprefix(_RIGHT)}" for line in listed.split("\n"))


def height_of(page: FPDF, width: float, line: float, text: str) -> float:
    """How high a text would stand in a column of this width, in mm, with the font that is set."""
    lines = page.multi_cell(width, line, text, align="L", dry_run=True, output="LINES")
    assert isinstance(lines, list)
    return line * len(lines)


def find_fonts(chosen: Path | None = None, language: str = "en") -> Fonts:
    """The fonts to draw a report in a language with. Raises ReaderMissing where there is none."""
    places = (chosen,) if chosen is not None else _REGULAR
    regular = next((path for path in places if path.is_file()), None)
    if regular is None:
        looked = ", ".join(str(path) for path in places)
        raise ReaderMissing("no_font", looked=looked)
    package, its_own = _OF_LANGUAGE.get(language, ("", ()))
    if its_own and not any(path.is_file() for path in its_own):
        looked = ", ".join(str(path) for path in its_own)
        raise ReaderMissing("no_font_of_language", looked=looked, package=package)
    bold = regular.with_name(f"{regular.stem}-Bold.ttf")
    others = (*(_REGULAR if chosen is not None else ()), *_OTHER_SCRIPTS)
    return Fonts(
        regular,
        bold if bold.is_file() else regular,
        tuple(path for path in others if path.is_file() and path != regular),
    )
