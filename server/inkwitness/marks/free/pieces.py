"""The free stretches of print of an item: what no mark takes and nothing else explains.

Sentences, addresses, counts and slogans are other print (`rules/print.yaml`). What is left is cut
into names, runs of words with one that is no everyday word, and codes, words with a digit.
"""

import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from rapidfuzz import process
from rapidfuzz.distance import Levenshtein

from inkwitness.marks.text import plain, ready
from inkwitness.marks.vocabulary import Vocabulary, any_of

_TOKEN = re.compile(r"[^\s,;|·•:]+")
_EDGE = " \t.,:;|/\\-_*()[]{}<>®™'\"#=~!?«»“”"
#: A name of two signs, one of them a digit.
_TWO_SIGNS = re.compile(r"[0-9][A-Z]|[A-Z][0-9]")
_CODE = re.compile(r"(?=.*[0-9])[A-Z0-9][A-Z0-9./+_\-]{0,18}[A-Z0-9+]")
#: A sentence has a function word, and at least so many words.
_SHORTEST_SENTENCE = 3
#: A word this long is nearly an everyday one with one letter misread, a long one with two.
_LEAST_NEARLY, _LONG = 5, 9
#: Words of the longest name, and letters of the shortest: beyond these it is a slogan or a scrap.
_LONGEST_NAME = 5
_LEAST_LETTERS = 2
#: A longer word of another script is several words, or a sentence.
_LONGEST_OTHER_SCRIPT = 8
#: A year and a month, or a month and a year.
DATE_SHAPE = re.compile(r"[0-9]{1,2}[-/.](?:19|20)[0-9]{2}|(?:19|20)[0-9]{2}[-/.][0-9]{1,2}")


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
class Word:
    start: int
    end: int
    text: str


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of free print: a `name` of words, or a `code` with a digit."""

    line: FreeLine
    start: int
    end: int
    words: tuple[Word, ...]
    is_code: bool
    alone: bool
    others: tuple[str, ...] = ()

    @property
    def printed(self) -> str:
        return self.line.text[self.start : self.end]

    @property
    def plain(self) -> str:
        return plain(self.printed)


def sentences(lines: Sequence[FreeLine], vocabulary: Vocabulary) -> set[int]:
    """The lines that are sentences, or the rest of one."""
    found: set[int] = set()
    for number, line in enumerate(lines):
        free = _free(len(line.text), _hidden(line, vocabulary))
        words = [word.text for stretch in free for word in _words(line.text, *stretch)]
        letters = [word for word in words if any(sign.isalpha() for sign in word)]
        held = sum(word in vocabulary.function_words for word in letters)
        legal = any(word in vocabulary.legal_endings for word in letters)
        long = held > 0 and len(letters) >= _SHORTEST_SENTENCE
        goes_on = number - 1 in found and not lines[number - 1].text.rstrip().endswith((".", "!"))
        goes_on = goes_on and (held > 0 or line.text[:1].islower()) and not line.taken
        ends = line.text.rstrip().endswith(".")
        if (long and (ends or not legal or held > 2)) or goes_on:
            found.add(number)
    return found


def is_other_print(lines: Sequence[FreeLine], number: int, vocabulary: Vocabulary) -> bool:
    """Whether it is an address, an importer, a statement, or the street over a post code."""
    text = ready(lines[number].text).text
    if any(re.search(pattern, text) for pattern in vocabulary.other_lines):
        return True
    below = ready(lines[number + 1].text).text if number + 1 < len(lines) else ""
    street = re.fullmatch(r"\s*[^\W\d_]{4,}[ -][0-9]{1,3}[A-Z]?\s*", text) is not None
    town = re.match(r"\s*(?:[A-Z]{1,2}-)?[0-9]{4,5} [^\W\d_]{3,}", below) is not None
    return street and town


def pieces_of(line: FreeLine, vocabulary: Vocabulary) -> Iterator[Piece]:
    """The pieces of a line that no mark and no known word takes, from left to right."""
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


def _words(text: str, start: int, end: int) -> list[Word]:
    """The words of a stretch, edges of punctuation cut off."""
    found = []
    for hit in _TOKEN.finditer(text[start:end]):
        raw = hit.group(0)
        left = len(raw) - len(raw.lstrip(_EDGE))
        right = len(raw.rstrip(_EDGE))
        if right > left:
            at = start + hit.start()
            found.append(Word(at + left, at + right, ready(raw[left:right]).text))
    return found


def _names(
    line: FreeLine, words: Sequence[Word], free: int, vocabulary: Vocabulary
) -> Iterator[Piece]:
    """Runs of words, with at least one that is no everyday word, and names of two signs."""
    runs: list[list[Word]] = [[]]
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
    line: FreeLine, words: Sequence[Word], free: int, vocabulary: Vocabulary
) -> Iterator[Piece]:
    for number, word in enumerate(words):
        joined = re.match(any_of(vocabulary.printing.before_code), word.text)
        if joined:
            word = Word(word.start + joined.end(), word.end, word.text[joined.end() :])
        if not _CODE.fullmatch(word.text) or _TWO_SIGNS.fullmatch(word.text):
            continue
        before = words[number - 1] if number else None
        pair = before is not None and _pairs(before, word, line.text, vocabulary)
        dated = DATE_SHAPE.fullmatch(word.text) is not None
        never = any(re.fullmatch(pattern, word.text) for pattern in vocabulary.never_models)
        if never and not pair and not dated:
            continue
        if pair and before is not None:
            # A model of two pieces, or a code behind a short name: both are offered.
            alone = (line.text[word.start : word.end],) if not never else ()
            yield _piece(line, [before, word], free <= 2, is_code=True, others=alone)
        else:
            yield _piece(line, [word], free == 1, is_code=True)


def _pairs(before: Word, word: Word, text: str, vocabulary: Vocabulary) -> bool:
    """Whether a short word and the code behind it may be one model (`QM 22`)."""
    short = len(before.text) <= 3 and before.text.isalpha() and before.text.isascii()
    known = before.text in vocabulary.known_words or before.text in vocabulary.name_endings
    return short and not known and text[before.end : word.start] == " " and word.text[0].isdigit()


def _piece(
    line: FreeLine,
    words: Sequence[Word],
    alone: bool,
    *,
    is_code: bool,
    others: tuple[str, ...] = (),
) -> Piece:
    start, end = words[0].start, words[-1].end
    return Piece(line, start, end, tuple(words), is_code, alone, others)


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
    if word.isascii() or "LATIN" in unicodedata.name(word[0], ""):
        every = (vocabulary.known_words, vocabulary.function_words)
        pieces = [piece for piece in re.split(r"[-/&]", bare) if piece]
        return word == "&" or all(
            len(piece) == 1 or any(piece in w or piece.removesuffix("S") in w for w in every)
            for piece in pieces
        )
    if any(piece in word for piece in vocabulary.other_script_endings):
        return False
    known_piece = any(piece in word for piece in vocabulary.other_script_words)
    return known_piece or len(word) > _LONGEST_OTHER_SCRIPT or bare in vocabulary.known_words


def _whole(word: Word, text: str) -> str:
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
