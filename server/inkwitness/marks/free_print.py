"""Print that no grammar read, as what it may be: maker, model, lot or date, named by its place.

Heuristics (common practice, no source): a maker's name is among the largest print that no everyday
word explains; a model is a code, next to the maker or the class; a lot is a code with many digits
or the shape of a date. Sentences, addresses, counts and slogans are none of them (`print.yaml`).
These are only offers: a person says what the ink is.
"""

import math
import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from rapidfuzz import process
from rapidfuzz.distance import Levenshtein

from inkwitness.marks.dates import readings
from inkwitness.marks.text import ready
from inkwitness.marks.vocabulary import Vocabulary

_TOKEN = re.compile(r"[^\s,;|·•:]+")
_EDGE = " \t.,:;|/\\-_*()[]{}<>®™'\"#=~!?«»“”"
#: A name of two signs, one of them a digit.
_TWO_SIGNS = re.compile(r"[0-9][A-Z]|[A-Z][0-9]")
_CODE = re.compile(r"(?=.*[0-9])[A-Z0-9][A-Z0-9./+_\-]{0,18}[A-Z0-9+]")
#: The shape of a code that dates or counts what was made: 25C119, 0425-17, GN-18-03-21.
_LOT_SHAPE = re.compile(
    r"[0-9]{2}[A-Z][0-9]{2,5}[A-Z]?|[0-9]{3,6}-[0-9]{1,4}|[0-9]{4}-?W[0-9]{2}|"
    r"(?:[A-Z]{1,3}-?)?[0-9]{2,4}[-/.][0-9]{2}[-/.][0-9]{2,4}|[A-Z]{0,2}[0-9]{6,12}[A-Z]?"
)
_CLASS_IN = re.compile(r"(?<![A-Z])K?[NPR](?:95|99|100)|FFP[123]|KF(?:80|94|99)|P[123]$")
#: A reuse letter joined to the code behind it.
_JOINED = re.compile(r"(?:NR|NRD)-(?=[A-Z0-9]{4})")
_DATE_SHAPE = re.compile(r"[0-9]{1,2}[-/.](?:19|20)[0-9]{2}|(?:19|20)[0-9]{2}[-/.][0-9]{1,2}")
#: Sentences: function words among at least so many words.
_SENTENCE = ((2, 3), (1, 3))
#: A word this long is nearly an everyday one with one letter misread, a long one with two.
_LEAST_NEARLY, _LONG = 5, 9
_LONGEST_NAME = 5
_LEAST_LETTERS = 2
_LONGEST_OTHER_SCRIPT = 8
#: What a halving of the letters' height costs a name, and at most.
_HALF_AS_HIGH, _LEAST_HIGH = 5.0, -8.0


@dataclass(frozen=True, slots=True)
class FreeLine:
    """A line's text, the height of its letters (pixels; 0: not known), and the spans of its
    letters that marks and their labels take. Where the letters are not `sure`, a word that is
    nearly an everyday one counts as that.
    """

    index: int
    text: str
    height: float = 0.0
    taken: tuple[tuple[int, int], ...] = ()
    sure: bool = True


@dataclass(frozen=True, slots=True)
class FreePiece:
    """A piece of free print and a mark that it may be; `others` are other cuts of the same ink."""

    mark: str
    line: int
    start: int
    end: int
    printed: str
    others: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Word:
    start: int
    end: int
    text: str


@dataclass(frozen=True, slots=True)
class _Piece:
    """A stretch of free print: a `name` of words, or a `code` with a digit."""

    line: FreeLine
    start: int
    end: int
    words: tuple[_Word, ...]
    is_code: bool
    alone: bool
    others: tuple[str, ...] = ()

    @property
    def printed(self) -> str:
        return self.line.text[self.start : self.end]

    @property
    def plain(self) -> str:
        return "".join(c for c in ready(self.printed).text if c.isalnum())


def free_print(lines: Sequence[FreeLine], vocabulary: Vocabulary) -> tuple[FreePiece, ...]:
    """The free pieces of print of an item, for each mark the likeliest first.

    The same piece may be offered as several marks.
    """
    sentences = _sentences(lines, vocabulary)
    pieces = [
        piece
        for number, line in enumerate(lines)
        if number not in sentences and not _is_other(lines, number, vocabulary)
        for piece in _pieces(line, vocabulary)
    ]
    highest = max((piece.line.height for piece in pieces), default=0.0)
    text = " ".join(ready(line.text).text for line in lines)
    makers = _ranked(
        (piece, _as_maker(piece, pieces, highest, text, vocabulary)) for piece in pieces
    )
    first_maker = makers[0] if makers else None
    models = _ranked((piece, _as_model(piece, pieces, first_maker, highest)) for piece in pieces)
    first_model = models[0] if models else None
    lots = _ranked((piece, _as_lot(piece, first_model, len(lines))) for piece in pieces)
    dates = [piece for piece in pieces if piece.is_code and _DATE_SHAPE.fullmatch(_code(piece))]
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


def _ranked(scored: Iterator[tuple[_Piece, float | None]] | Sequence[tuple[_Piece, float | None]]
            ) -> list[_Piece]:  # fmt: skip
    kept = [(score, number, piece) for number, (piece, score) in enumerate(scored)
            if score is not None]  # fmt: skip
    return [piece for _, _, piece in sorted(kept, key=lambda one: (-one[0], one[1]))]


def _each_once(pieces: Sequence[_Piece]) -> list[_Piece]:
    """Print that stands there twice is offered once."""
    return list({piece.plain: piece for piece in reversed(pieces)}.values())[::-1]


def _sentences(lines: Sequence[FreeLine], vocabulary: Vocabulary) -> set[int]:
    """The lines that are sentences, or the rest of one."""
    found: set[int] = set()
    for number, line in enumerate(lines):
        free = _free(len(line.text), _hidden(line, vocabulary))
        words = [word.text for stretch in free for word in _words(line.text, *stretch)]
        letters = [word for word in words if any(sign.isalpha() for sign in word)]
        held = sum(word in vocabulary.function_words for word in letters)
        legal = any(word in vocabulary.legal_endings for word in letters)
        long = any(held >= least and len(letters) >= many for least, many in _SENTENCE)
        goes_on = number - 1 in found and not lines[number - 1].text.rstrip().endswith((".", "!"))
        goes_on = goes_on and (held > 0 or line.text[:1].islower()) and not line.taken
        ends = line.text.rstrip().endswith(".") and len(letters) >= 3 and held > 0
        if (long and not (legal and held < 3)) or goes_on or ends:
            found.add(number)
    return found


def _is_other(lines: Sequence[FreeLine], number: int, vocabulary: Vocabulary) -> bool:
    """Whether it is an address, an importer, a statement, or the street over a post code."""
    text = ready(lines[number].text).text
    if any(re.search(pattern, text) for pattern in vocabulary.other_lines):
        return True
    below = ready(lines[number + 1].text).text if number + 1 < len(lines) else ""
    street = re.fullmatch(r"\s*[^\W\d_]{4,}[ -][0-9]{1,3}[A-Z]?\s*", text) is not None
    town = re.match(r"\s*(?:[A-Z]{1,2}-)?[0-9]{4,5} [^\W\d_]{3,}", below) is not None
    return street and town


def _pieces(line: FreeLine, vocabulary: Vocabulary) -> Iterator[_Piece]:
    stretches = list(_free(len(line.text), _hidden(line, vocabulary)))
    words = [word for stretch in stretches for word in _words(line.text, *stretch)]
    free = [word for word in words if not _is_known(word.text, vocabulary, sure=line.sure)]
    for start, end in stretches:
        inside = [word for word in words if start <= word.start and word.end <= end]
        yield from _names(line, inside, len(free), vocabulary)
        yield from _codes(line, inside, len(free), vocabulary)


def _hidden(line: FreeLine, vocabulary: Vocabulary) -> list[tuple[int, int]]:
    """What marks take, and print within the line that is none."""
    text = ready(line.text)
    hits = [hit for regex in vocabulary.no_mark for hit in re.finditer(regex, text.text)]
    return [*line.taken, *(text.original_span(*hit.span()) for hit in hits if hit.group())]


def _free(length: int, taken: Sequence[tuple[int, int]]) -> Iterator[tuple[int, int]]:
    """The stretches of a line that nothing takes."""
    at = 0
    for start, end in sorted(taken):
        if start > at:
            yield at, start
        at = max(at, end)
    if at < length:
        yield at, length


def _words(text: str, start: int, end: int) -> list[_Word]:
    """The words of a stretch, edges of punctuation cut off."""
    found = []
    for hit in _TOKEN.finditer(text[start:end]):
        raw = hit.group(0)
        left = len(raw) - len(raw.lstrip(_EDGE))
        right = len(raw.rstrip(_EDGE))
        if right > left:
            at = start + hit.start()
            found.append(_Word(at + left, at + right, ready(raw[left:right]).text))
    return found


def _names(
    line: FreeLine, words: Sequence[_Word], free: int, vocabulary: Vocabulary
) -> Iterator[_Piece]:
    """Runs of words, with at least one that is no everyday word, and names of two signs."""
    runs: list[list[_Word]] = [[]]
    for number, word in enumerate(words):
        parted = number and line.text[words[number - 1].end : word.start].strip(" &.'-")
        if parted or not _may_name(word.text):
            runs.append([])
        if _may_name(word.text):
            runs[-1].append(word)
    for run in runs:
        whole = [_whole(word, line.text) for word in run]
        own = [not _is_known(word, vocabulary, sure=line.sure) for word in whole]
        if not any(own):
            continue
        first, last = own.index(True), len(own) - 1 - own[::-1].index(True)
        # Everyday words around it belong to a name only where they end a company's.
        while last + 1 < len(run) and run[last + 1].text in vocabulary.name_endings:
            last += 1
        kept = run[first : last + 1]
        letters = sum(sum(sign.isalpha() for sign in word.text) for word in kept)
        if len(kept) <= _LONGEST_NAME and letters >= _LEAST_LETTERS:
            yield _piece(line, kept, len(kept) >= free, is_code=False)
    for number, word in enumerate(words):
        follows = words[number + 1].text if number + 1 < len(words) else ""
        if _TWO_SIGNS.fullmatch(word.text) and (free == 1 or len(follows) > 2 or number == 0):
            yield _piece(line, [word], free == 1, is_code=False)


def _codes(
    line: FreeLine, words: Sequence[_Word], free: int, vocabulary: Vocabulary
) -> Iterator[_Piece]:
    for number, word in enumerate(words):
        joined = _JOINED.match(word.text)
        if joined:
            word = _Word(word.start + joined.end(), word.end, word.text[joined.end() :])
        if not _CODE.fullmatch(word.text) or _TWO_SIGNS.fullmatch(word.text):
            continue
        before = words[number - 1] if number else None
        pair = before is not None and _pairs(before, word, line.text, vocabulary)
        dated = _DATE_SHAPE.fullmatch(word.text) is not None
        never = any(re.fullmatch(pattern, word.text) for pattern in vocabulary.never_models)
        if never and not pair and not dated:
            continue
        if pair and before is not None:
            # A model of two pieces, or a code behind a short name: both are offered.
            alone = (line.text[word.start : word.end],) if not never else ()
            yield _piece(line, [before, word], free <= 2, is_code=True, others=alone)
        else:
            yield _piece(line, [word], free == 1, is_code=True)


def _pairs(before: _Word, word: _Word, text: str, vocabulary: Vocabulary) -> bool:
    """Whether a short word and the code behind it may be one model (`QM 22`)."""
    short = len(before.text) <= 3 and before.text.isalpha() and before.text.isascii()
    known = before.text in vocabulary.known_words | vocabulary.name_endings
    return short and not known and text[before.end : word.start] == " " and word.text[0].isdigit()


def _piece(
    line: FreeLine,
    words: Sequence[_Word],
    alone: bool,
    *,
    is_code: bool,
    others: tuple[str, ...] = (),
) -> _Piece:
    start, end = words[0].start, words[-1].end
    return _Piece(line, start, end, tuple(words), is_code, alone, others)


def _may_name(word: str) -> bool:
    bare = word.replace(".", "").replace("'", "").replace("-", "").replace("&", "")
    return word == "&" or bare.isalpha()


def _is_known(word: str, vocabulary: Vocabulary, *, sure: bool = True) -> bool:
    """Whether it is an everyday word, a word with its plural, or of a script without spaces one
    that holds such a word; of letters that are not sure, also nearly such a word.
    """
    if not sure and len(word) >= _LEAST_NEARLY and _nearly_known(word, vocabulary.known_words):
        return True
    bare = word.replace(".", "").replace("'", "")
    if word.isascii() or any("LATIN" in _script(sign) for sign in word[:1]):
        known = vocabulary.known_words | vocabulary.function_words
        pieces = [piece for piece in re.split(r"[-/&]", bare) if piece]
        return word == "&" or all(
            piece in known or piece.removesuffix("S") in known or len(piece) == 1
            for piece in pieces
        )
    if any(piece in word for piece in vocabulary.other_script_endings):
        return False
    known_piece = any(piece in word for piece in vocabulary.other_script_words)
    return known_piece or len(word) > _LONGEST_OTHER_SCRIPT or bare in vocabulary.known_words


def _whole(word: _Word, text: str) -> str:
    """The word; in a script without spaces all of it, where a mark takes some of its signs."""
    if word.text.isascii():
        return word.text
    around = (hit for hit in _TOKEN.finditer(text) if hit.start() <= word.start < hit.end())
    return ready(next(around).group()).text


@lru_cache(maxsize=4096)
def _nearly_known(word: str, known: frozenset[str]) -> bool:
    most = 1 if len(word) < _LONG else 2
    found = process.extractOne(word, known, scorer=Levenshtein.distance, score_cutoff=most)
    return found is not None


def _script(sign: str) -> str:
    return unicodedata.name(sign, "")


def _height(piece: _Piece, highest: float) -> float:
    """What the height of the letters says for a name: 0 for the highest print, less below."""
    if piece.line.height <= 0 or highest <= 0:
        return 0.0
    return max(_LEAST_HIGH, _HALF_AS_HIGH * math.log2(piece.line.height / highest))


def _as_maker(
    piece: _Piece, pieces: Sequence[_Piece], highest: float, text: str, vocabulary: Vocabulary
) -> float | None:
    if piece.is_code:
        return None
    letters = len(piece.plain)
    score = _height(piece, highest) + min(letters, 8) / 8
    endings = [word.text in vocabulary.name_endings for word in piece.words]
    score += 3.0 * (any(endings) or _has_ending(piece, vocabulary))
    score += 1.0 * piece.alone + (1.0 if piece.line.index == 0 else 0.0)
    again = len(
        re.findall(rf"(?<![A-Z0-9]){re.escape(ready(piece.printed).text)}(?![A-Z0-9])", text)
    )
    score += 1.5 * (again > 1)
    behind = [p for p in pieces if p.is_code and p.line is piece.line and p.start >= piece.end]
    score += 1.0 * bool(behind)
    if letters <= 2 and not piece.alone and not behind and again < 2:
        score -= 3.0
    return score


def _has_ending(piece: _Piece, vocabulary: Vocabulary) -> bool:
    return any(ending in piece.printed for ending in vocabulary.other_script_endings)


def _code(piece: _Piece) -> str:
    return piece.words[-1].text


def _as_model(
    piece: _Piece, pieces: Sequence[_Piece], maker: _Piece | None, highest: float
) -> float | None:
    """A code; behind these a word that is not the likeliest maker (a model may be a word)."""
    near = _height(piece, highest) / 4
    again = sum(other.plain == piece.plain for other in pieces) > 1
    if not piece.is_code:
        names = {other.plain for other in pieces if not other.is_code}
        if len(piece.plain) < 3 or (piece is maker and len(names) < 2):
            return None
        return near - (6.0 if piece is maker else 4.0)
    code = _code(piece)
    if _DATE_SHAPE.fullmatch(code):
        return None
    letters = any(sign.isalpha() for sign in piece.plain)
    score = near + (2.0 if letters else 1.5) + 0.5 * ("-" in code or "+" in code)
    score += 1.5 * (again or _CLASS_IN.search(code) is not None)
    before = [p for p in pieces if p.line is piece.line and p.end <= piece.start]
    score += 1.5 * any(not p.is_code for p in before) - 1.0 * any(p.is_code for p in before)
    score += 1.0 * bool(piece.line.taken) + 0.5 * piece.alone
    score -= 2.5 * (_LOT_SHAPE.fullmatch(code) is not None and not piece.others)
    score -= 1.0 * (len(piece.plain) < 3)
    return score


def _as_lot(piece: _Piece, model: _Piece | None, count: int) -> float | None:
    if not piece.is_code or _DATE_SHAPE.fullmatch(_code(piece)):
        return None
    digits = sum(sign.isdigit() for sign in piece.plain)
    if digits < 3:
        return None
    shape = 3.0 * (_LOT_SHAPE.fullmatch(_code(piece)) is not None)
    later = piece.line.index / max(count, 1)
    same = model is not None and piece.plain == model.plain
    return shape + later + 0.5 * piece.alone - 3.0 * same
