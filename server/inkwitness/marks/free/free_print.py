"""Print that no grammar read, as what it may be: maker, model, lot or date, named by its place.

Heuristics (common practice, no source): a maker's name is among the largest print that no everyday
word explains; a model is a code, next to the maker or the class; a lot is a code with many digits
or the shape of a date. Sentences, addresses, counts and slogans are none of them (`print.yaml`).
These are only offers: a person says what the ink is.
"""

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from inkwitness.marks.dates import readings
from inkwitness.marks.free.pieces import (
    DATE_SHAPE,
    FreeLine,
    Piece,
    is_other_print,
    pieces_of,
    sentences,
)
from inkwitness.marks.text import ready
from inkwitness.marks.vocabulary import Vocabulary, any_of

#: The shape of a code that dates or counts what was made: 25C119, 0425-17, GN-18-03-21.
_LOT_SHAPE = re.compile(
    r"[0-9]{2}[A-Z][0-9]{2,5}[A-Z]?|[0-9]{3,6}-[0-9]{1,4}|[0-9]{4}-?W[0-9]{2}|"
    r"(?:[A-Z]{1,3}-?)?[0-9]{2,4}[-/.][0-9]{2}[-/.][0-9]{2,4}|[A-Z]{0,2}[0-9]{6,12}[A-Z]?"
)
#: What a halving of the letters' height costs a name, and at most.
_HALF_AS_HIGH, _LEAST_HIGH = 5.0, -8.0
# What signs are worth, in points; a weak sign (first on the item, alone on its line) is worth one
# or half of one. Only their order within one mark matters: the best pieces are offered first.
#: Maker: an ending of company names; the name printed again; two letters with nothing to bear
#: them out.
_COMPANY_ENDING, _PRINTED_AGAIN, _TWO_LETTERS = 3.0, 1.5, 3.0
#: Model that is a word: what it lacks against a code, and more where it is the likeliest maker.
_WORD, _MAKERS_WORD = 4.0, 6.0
#: Model that is a code: with letters, of digits only; printed again or with a class in it; behind a
#: name on its line; in the shape of a lot.
_WITH_LETTERS, _DIGITS_ONLY = 2.0, 1.5
_AGAIN_OR_CLASS, _BEHIND_NAME, _LIKE_A_LOT = 1.5, 1.5, 2.5
#: Lot: in the shape of one; the same print as the likeliest model.
_SHAPE_OF_LOT, _IS_THE_MODEL = 3.0, 3.0


@dataclass(frozen=True, slots=True)
class FreePiece:
    """A piece of free print and a mark that it may be; `others` are other cuts of the same ink."""

    mark: str
    line: int
    start: int
    end: int
    printed: str
    others: tuple[str, ...] = ()


def free_print(lines: Sequence[FreeLine], vocabulary: Vocabulary) -> tuple[FreePiece, ...]:
    """The free pieces of print of an item, for each mark the likeliest first.

    The same piece may be offered as several marks.
    """
    told = sentences(lines, vocabulary)
    pieces = [
        piece
        for number, line in enumerate(lines)
        if number not in told and not is_other_print(lines, number, vocabulary)
        for piece in pieces_of(line, vocabulary)
    ]
    highest = max((piece.line.height for piece in pieces), default=0.0)
    text = " ".join(ready(line.text).text for line in lines)
    makers = _ranked(
        (piece, _as_maker(piece, pieces, highest, text, vocabulary)) for piece in pieces
    )
    first_maker = makers[0] if makers else None
    classes = any_of(vocabulary.printing.class_in_code)
    models = _ranked(
        (piece, _as_model(piece, pieces, first_maker, highest, classes)) for piece in pieces
    )
    first_model = models[0] if models else None
    lots = _ranked((piece, _as_lot(piece, first_model, len(lines))) for piece in pieces)
    dates = [piece for piece in pieces if piece.is_code and DATE_SHAPE.fullmatch(_code(piece))]
    dates = [piece for piece in dates if readings(piece.printed)]
    return tuple(
        FreePiece(mark, p.line.index, p.start, p.end, p.printed, p.others)
        for mark, ranked in (
            ("manufacturer", makers),
            ("model", models),
            ("lot", lots),
            ("manufacture_date", dates),
            ("expiry_date", dates),
        )
        for p in _each_once(ranked)
    )


def _ranked(scored: Iterable[tuple[Piece, float | None]]) -> list[Piece]:
    """The pieces that have a score, the best first."""
    kept = [(score, number, piece) for number, (piece, score) in enumerate(scored)
            if score is not None]  # fmt: skip
    return [piece for _, _, piece in sorted(kept, key=lambda one: (-one[0], one[1]))]


def _each_once(pieces: Sequence[Piece]) -> list[Piece]:
    """Print that stands there twice is offered once."""
    return list({piece.plain: piece for piece in reversed(pieces)}.values())[::-1]


def _height(piece: Piece, highest: float) -> float:
    """What the height of the letters says for a name: 0 for the highest print, less below."""
    if piece.line.height <= 0 or highest <= 0:
        return 0.0
    return max(_LEAST_HIGH, _HALF_AS_HIGH * math.log2(piece.line.height / highest))


def _as_maker(
    piece: Piece, pieces: Sequence[Piece], highest: float, text: str, vocabulary: Vocabulary
) -> float | None:
    if piece.is_code:
        return None
    letters = len(piece.plain)
    score = _height(piece, highest) + min(letters, 8) / 8
    endings = [word.text in vocabulary.name_endings for word in piece.words]
    score += _COMPANY_ENDING * (any(endings) or _has_ending(piece, vocabulary))
    score += 1.0 * piece.alone + (1.0 if piece.line.index == 0 else 0.0)
    again = len(
        re.findall(rf"(?<![A-Z0-9]){re.escape(ready(piece.printed).text)}(?![A-Z0-9])", text)
    )
    score += _PRINTED_AGAIN * (again > 1)
    behind = [p for p in pieces if p.is_code and p.line is piece.line and p.start >= piece.end]
    score += 1.0 * bool(behind)
    if letters <= 2 and not piece.alone and not behind and again < 2:
        score -= _TWO_LETTERS
    return score


def _has_ending(piece: Piece, vocabulary: Vocabulary) -> bool:
    return any(ending in piece.printed for ending in vocabulary.other_script_endings)


def _code(piece: Piece) -> str:
    return piece.words[-1].text


def _as_model(
    piece: Piece, pieces: Sequence[Piece], maker: Piece | None, highest: float, classes: str
) -> float | None:
    """A code; behind these a word that is not the likeliest maker (a model may be a word)."""
    near = _height(piece, highest) / 4
    again = sum(other.plain == piece.plain for other in pieces) > 1
    if not piece.is_code:
        names = {other.plain for other in pieces if not other.is_code}
        if len(piece.plain) < 3 or (piece is maker and len(names) < 2):
            return None
        return near - (_MAKERS_WORD if piece is maker else _WORD)
    code = _code(piece)
    if DATE_SHAPE.fullmatch(code):
        return None
    letters = any(sign.isalpha() for sign in piece.plain)
    score = near + (_WITH_LETTERS if letters else _DIGITS_ONLY) + 0.5 * ("-" in code or "+" in code)
    score += _AGAIN_OR_CLASS * (again or re.search(classes, code) is not None)
    before = [p for p in pieces if p.line is piece.line and p.end <= piece.start]
    named = any(not p.is_code for p in before)
    score += _BEHIND_NAME * named - 1.0 * any(p.is_code for p in before)
    score += 1.0 * bool(piece.line.taken) + 0.5 * piece.alone
    score -= _LIKE_A_LOT * (_LOT_SHAPE.fullmatch(code) is not None and not piece.others)
    score -= 1.0 * (len(piece.plain) < 3)
    return score


def _as_lot(piece: Piece, model: Piece | None, count: int) -> float | None:
    if not piece.is_code or DATE_SHAPE.fullmatch(_code(piece)):
        return None
    digits = sum(sign.isdigit() for sign in piece.plain)
    if digits < 3:
        return None
    shape = _SHAPE_OF_LOT * (_LOT_SHAPE.fullmatch(_code(piece)) is not None)
    later = piece.line.index / max(count, 1)
    same = model is not None and piece.plain == model.plain
    return shape + later + 0.5 * piece.alone - _IS_THE_MODEL * same
