"""Names of firms: whether two are the same firm's name, may be, or are not.

Legal forms (Ltd, GmbH, S.p.A.), accents, scripts, word order, spaces and dashes do not tell firms
apart; a letter does. A short form counts as the holder's name where it is the beginning of it and
holds its own word, as marking rules allow a readily understood abbreviation.
"""

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from anyascii import anyascii
from rapidfuzz import fuzz

Likeness = Literal["same", "short", "resembles", "differs"]

#: Likeness of two names (0-100) from which they resemble each other. Chosen on the labelled pairs
#: in tests/holders/name_pairs.csv; `test_names.py` prints precision and recall and holds them.
RESEMBLES = 84.0

# Words for the legal form of a firm, without dots and in capitals of no script (common practice,
# no source; the forms of the countries whose schemes are in the rule book, and their neighbours).
_LEGAL_WORDS = (
    "ab ag aps as asa bv bvba co coltd company corp corporation doo eirl eurl gesellschaft gesmbh "
    "gmbh inc incorporated jsc kft kg kk kommanditgesellschaft lda limited limitada llc llp lp ltd "
    "ltda mbh nv oao ooo ood oy oyj plc pllc pte pty pvt private sa sab sae sarl sas sasu sdn bhd "
    "se sia sl slu snc spa spk spolka spzoo sro srl sti tbk uab ug vof yk zao zoo zrt"
)
# Words that say what a firm does, not which firm it is (common practice, no source).
_TRADE_WORDS = (
    "breathing care equipment filter filters filtration group health healthcare holding holdings "
    "industrial industrie industries industry international manufacturing mask masks medical "
    "mill mills ppe products protection protective respiration respirator respirators respiratory "
    "respire safety supplies supply systems technologies technology textiel textile textiles trade "
    "trading works"
)
_LEGAL = frozenset(_LEGAL_WORDS.split())
_TRADE = frozenset(_TRADE_WORDS.split())
_DOTTED = re.compile(r"\b(?:ges\.\s?)?(?:[a-z][./]\s?)+[a-z]\b\.?")
_POLISH = re.compile(r"\bsp\.?\s?z\s?o\.?\s?o\b\.?")
_SIGNS = str.maketrans("", "", "®™©℠")
_SPLIT = re.compile(r"[^a-z0-9]+")


@dataclass(frozen=True, slots=True)
class NameKey:
    """A name made ready: its words in order without legal forms, and those that are its own."""

    words: tuple[str, ...]
    own: tuple[str, ...]


@lru_cache(maxsize=65_536)
def key_of(name: str) -> NameKey:
    """The words of a name in Latin letters, without case, accents, signs and legal forms."""
    plain = anyascii(name.translate(_SIGNS)).casefold().replace("&", " and ")
    plain = _POLISH.sub("spzoo ", plain)
    plain = _DOTTED.sub(lambda hit: re.sub(r"[./\s]", "", hit.group()) + " ", plain)
    plain = re.sub(r"['`]", "", plain)
    words = tuple(word for word in _SPLIT.split(plain) if word and word not in ("and", "the"))
    kept = tuple(word for word in words if word not in _LEGAL) or words
    own = tuple(word for word in kept if word not in _TRADE) or kept
    return NameKey(kept, own)


def telling(name: str) -> bool:
    """Whether a name has a word of its own: one that only says what a firm does tells none apart.

    >>> telling("Vexholm Filtration Works"), telling("Mask Company")
    (True, False)
    """
    return any(word not in _TRADE and word not in _LEGAL for word in key_of(name).words)


def score(one: str, other: str) -> float:
    """How alike two names are, 0 to 100, whatever their word order and spaces."""
    left, right = key_of(one).words, key_of(other).words
    if not left or not right:
        return 0.0
    spaced = fuzz.ratio(" ".join(sorted(left)), " ".join(sorted(right)))
    return max(spaced, fuzz.ratio("".join(left), "".join(right)))


def likeness(printed: str, listed: str) -> Likeness:
    """Whether a printed name is a listed one (`same`, `short`), may be (`resembles`), or is not."""
    left, right = key_of(printed), key_of(listed)
    if not left.words or not right.words:
        return "differs"
    if sorted(left.words) == sorted(right.words) or "".join(left.words) == "".join(right.words):
        return "same"
    if len(left.words) < len(right.words) and _begins(left, right):
        return "short"
    return "resembles" if score(printed, listed) >= RESEMBLES or _shares(left, right) else "differs"


def _begins(printed: NameKey, listed: NameKey) -> bool:
    """The printed words begin the listed name and hold all that is its own, or its first word."""
    count = len(printed.words)
    return listed.words[:count] == printed.words and listed.own[0] in printed.words


def _shares(left: NameKey, right: NameKey) -> bool:
    """Both hold the same word of their own: perhaps a sister firm, a question either way."""
    return any(len(word) > 3 and word in right.own for word in left.own)
