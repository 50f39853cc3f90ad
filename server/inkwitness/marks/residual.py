"""Print that no grammar reads: the maker's name and an unlabelled model or part number.

Heuristics (common practice, no source): a name is letters in words that are not everyday words; a
model is one token with a digit in it. Both are only offered where nothing else took the letters.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from inkwitness.marks.text import ready
from inkwitness.marks.vocabulary import Vocabulary

_TOKEN = re.compile(r"\S+")
_EDGE = " \t.,:;|/\\-_*()[]{}®™'\"#=+~<>"


@dataclass(frozen=True, slots=True)
class Residual:
    """A candidate: mark name, line index, span in the original line, and the ink there."""

    mark: Literal["manufacturer", "model"]
    line: int
    start: int
    end: int
    printed: str


def residual_marks(
    lines: Sequence[str], taken: Sequence[tuple[int, int, int]], vocabulary: Vocabulary
) -> tuple[Residual, ...]:
    """The likely maker's name and model, at most one of each, in that order.

    `taken` are (line index, start, end) of what grammars read, in the original lines.
    """
    pieces = [
        (index, start, end)
        for index, line in enumerate(lines)
        for start, end in _free(line, [(s, e) for number, s, e in taken if number == index])
    ]
    names = [name for piece in pieces if (name := _name(lines, piece, vocabulary)) is not None]
    models = [m for piece in pieces for m in _models(lines, piece, vocabulary)]
    found: list[Residual] = []
    if names:
        found.append(max(names, key=lambda scored: scored[0])[1])
    if models:
        found.append(max(models, key=lambda scored: scored[0])[1])
    return tuple(found)


def _free(line: str, taken: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """The stretches of a line that nothing took."""
    free, at = [], 0
    for start, end in sorted(taken):
        if start > at:
            free.append((at, start))
        at = max(at, end)
    if at < len(line):
        free.append((at, len(line)))
    return free


def _words(lines: Sequence[str], piece: tuple[int, int, int]) -> list[tuple[int, int, str]]:
    """(start, end, capitals) of each word of a stretch, edges of punctuation cut off."""
    index, start, end = piece
    words = []
    for hit in _TOKEN.finditer(lines[index][start:end]):
        raw = hit.group(0)
        left = len(raw) - len(raw.lstrip(_EDGE))
        right = len(raw.rstrip(_EDGE))
        if right > left:
            at = start + hit.start()
            words.append((at + left, at + right, ready(raw[left:right]).text))
    return words


def _name(
    lines: Sequence[str], piece: tuple[int, int, int], vocabulary: Vocabulary
) -> tuple[float, Residual] | None:
    """The longest run of name words in a stretch, scored."""
    runs: list[list[tuple[int, int, str]]] = [[]]
    words = _words(lines, piece)
    for number, word in enumerate(words):
        follows = words[number + 1][2] if number + 1 < len(words) else ""
        joins = bool(runs[-1]) and word[2].isalpha() and follows in vocabulary.name_endings
        if joins or _name_word(word[2], vocabulary):
            runs[-1].append(word)
        else:
            runs.append([])
    run = max(runs, key=lambda words: sum(len(w[2]) for w in words))
    while run and run[-1][2] in ("&", "AND", "Y", "E", "ET", "DE"):
        run = run[:-1]
    letters = sum(sum(c.isalpha() for c in word[2]) for word in run)
    if (
        not run
        or (letters < 3 and not _other_script(run))
        or all(word[2] in vocabulary.common_words for word in run)
    ):
        return None
    ending = any(word[2] in vocabulary.name_endings for word in run)
    index = piece[0]
    score = (8.0 if ending else 0.0) + min(letters, 24) / 4 + (2.0 if index == 0 else 0.0)
    start, end = run[0][0], run[-1][1]
    return score, Residual("manufacturer", index, start, end, lines[index][start:end])


def _other_script(run: list[tuple[int, int, str]]) -> bool:
    return any(not c.isascii() and c.isalpha() for word in run for c in word[2])


def _name_word(word: str, vocabulary: Vocabulary) -> bool:
    if any(c.isdigit() for c in word):
        return False
    if word == "&":
        return True
    bare = word.replace(".", "").replace("'", "")
    if not bare.replace("-", "").replace("&", "").isalpha():
        return False
    if word in vocabulary.name_endings or bare in vocabulary.name_endings:
        return True
    return (
        len(bare) > 1
        and word not in vocabulary.common_words
        and bare not in (vocabulary.common_words)
    )


def _models(
    lines: Sequence[str], piece: tuple[int, int, int], vocabulary: Vocabulary
) -> list[tuple[float, Residual]]:
    found = []
    words = _words(lines, piece)
    for number, (start, end, word) in enumerate(words):
        if not 2 <= len(word) <= 15 or not any(c.isdigit() for c in word):
            continue
        if (
            not word.isascii()
            or not word.replace("-", "").replace("/", "").replace(".", "").isalnum()
        ):
            continue
        before = words[number - 1] if number else None
        pair = (
            before is not None
            and word[0].isdigit()
            and len(before[2]) <= 3
            and before[2].isalpha()
            and before[2] not in vocabulary.common_words
            and before[2] not in vocabulary.name_endings
            and start - before[1] == 1
        )
        if pair and before is not None:
            start = before[0]  # two pieces: `QM 22`
        elif any(re.fullmatch(pattern, word) for pattern in vocabulary.never_models):
            continue
        letters = sum(c.isalpha() for c in word)
        alone = 2.0 if len(words) == 1 else 0.0
        score = alone + (1.5 if letters else 0.0) + (1.0 if "-" in word else 0.0) - 0.01 * piece[0]
        printed = lines[piece[0]][start:end]
        found.append((score, Residual("model", piece[0], start, end, printed)))
    return found
