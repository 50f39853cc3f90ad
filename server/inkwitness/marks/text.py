"""Text made ready for patterns, without losing where each letter came from.

Full-width forms become ASCII, every dash becomes `-`, Latin letters become capitals; Han, kana and
Hangul stay. Look-alike characters are listed by what they look like, not by code point.
"""

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

from inkwitness.reading.values import DASHES

#: Signs that a stylised E (the one of the CE mark) and a plus are taken for; none stands in a mark.
_DRAWN = dict.fromkeys("€∈Єєε", "E") | dict.fromkeys("±†", "+")

#: The drawn C of the CE mark taken for a bracket: only before an E with digits behind it.
_DRAWN_C = re.compile(r"\((?=E[\s:-]{0,2}[0-9]{3})")

#: Signs that differ in name but hardly in ink: a slot decides between them (digits in a number).
LOOK_ALIKE = ("0O", "1IL|")

#: What recognisers take for what on print like this (common practice, no source; the pairs were
#: also counted on made lines). A change along these pairs is never made without a doubt.
CONFUSABLE = {
    "0": "OQDC6",
    "1": "IL|!7T",
    "2": "Z7",
    "3": "8B",
    "4": "A",
    "5": "S6",
    "6": "GB8",
    "7": "1T2",
    "8": "B36S",
    "9": "GQ",
    "A": "4R",
    "B": "8R3",
    "C": "G(O0",
    "D": "O0",
    "E": "FB",
    "F": "EP",
    "G": "C69",
    "H": "NM",
    "I": "1L|T",
    "K": "XR",
    "L": "1I",
    "M": "NHW",
    "N": "HMW",
    "O": "0QD",
    "P": "FR",
    "Q": "O09",
    "R": "AKPN",
    "S": "58",
    "T": "I71",
    "U": "V",
    "V": "UY",
    "W": "NM",
    "X": "K",
    "Y": "V",
    "Z": "2",
}


@dataclass(frozen=True, slots=True)
class Ready:
    """Text for matching; `origin[i]` is the index in the original string of character i."""

    text: str
    origin: tuple[int, ...]

    def original_span(self, start: int, end: int) -> tuple[int, int]:
        """The span of the original string that gave `text[start:end]` (end > start)."""
        return self.origin[start], self.origin[end - 1] + 1


@lru_cache(maxsize=4096)
def ready(text: str) -> Ready:
    """Make text ready for patterns.

    >>> ready("ＫＮ９５ tc–84a").text
    'KN95 TC-84A'
    >>> ready("(€ 2797 (EN 149)").text
    'CE 2797 (EN 149)'
    """
    letters: list[str] = []
    origin: list[int] = []
    for index, letter in enumerate(text):
        plain = "-" if letter in DASHES else unicodedata.normalize("NFKC", letter)
        if plain.isascii() or unicodedata.name(plain[:1], "").startswith("LATIN"):
            plain = plain.upper()
        for piece in _DRAWN.get(plain, plain):
            letters.append("-" if piece in DASHES else piece)
            origin.append(index)
    return Ready(_DRAWN_C.sub("C", "".join(letters)), tuple(origin))


def plain(text: str) -> str:
    """The capitals and digits alone, made ready.

    >>> plain("tc–84a 3057")
    'TC84A3057'
    """
    return "".join(sign for sign in ready(text).text if sign.isalnum())


def look_alike(one: str, other: str) -> bool:
    """True where the two capitals or digits can be the same ink (letter O and zero)."""
    return one == other or any(one in group and other in group for group in LOOK_ALIKE)


def confusable(one: str, other: str) -> bool:
    """True where a recogniser is known to take one for the other, in either direction."""
    return other in CONFUSABLE.get(one, "") or one in CONFUSABLE.get(other, "")
