"""How likely each way to read a piece of a line is: one distribution from all that was seen.

For a piece of a line (the place of a mark) every view gives character probabilities step by step.
Transcription strings are the likeliest of each view; each is scored in every view by the forward
algorithm, so that strings that a grammar allows and strings that it does not are measured alike.
What no transcription accounts for stays in the denominator as `rest`. Views of one line share its
ink and are far from independent: their logarithms are averaged and weighted, not summed.

The holder list is no input here, and nothing about a wanted value is.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from inkwitness.marks.text import confusable, look_alike, ready
from inkwitness.reading.values import SecondReading, View

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

#: Views count together as at most this many independent ones (chosen on made lines).
INDEPENDENT_VIEWS = 1.6
#: Weight of the second reader's edit likelihood (chosen on made lines).
SECOND_WEIGHT = 0.35
#: Beam search: prefixes that are kept at a step, strings that come out, letters that are tried at a
#: step, and the least probability of one. More find rarer strings and cost time.
_BEAM, _KEPT = 10, 8
_LETTERS_TRIED, _LEAST_LETTER = 6, 1e-4
#: Share of views that are of no use: a fixed part, and more where a view reads poorly.
_IDLE, _POOR = 0.02, 0.9
#: Probability that a view of no use gives to any string.
_UNTOLD = 0.02
#: What `rest` loses (natural logarithm) where there is more than one view.
_DISAGREE = 2.0
#: Costs (natural logarithm) of the second reader's errors: look-alike, confusable, other, gap.
_EDIT = (0.3, 2.0, 4.5, 3.5)
#: Cost of a dash, colon or full stop that it leaves out, and most errors (as costs of `other`) that
#: are counted.
_SMALL_GAP, _MOST_ERRORS = 1.0, 3


@dataclass(frozen=True, slots=True)
class Transcription:
    """A way to read the piece (capitals), its share of all probability (0-1), and the
    probability that each view alone gives it.
    """

    text: str
    probability: float
    by_view: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """The steps of one view that cover a piece of a line."""

    view: View
    first: int
    last: int


@dataclass(frozen=True, slots=True, eq=False)
class Letters:
    """Step probabilities with upper and lower case folded, and the letters of its columns."""

    signs: tuple[str, ...]
    steps: Floats


def transcriptions(
    pieces: Sequence[Piece], more: Sequence[str], second: Sequence[SecondReading]
) -> tuple[Transcription, ...]:
    """The distribution over the ways to read a piece, the likeliest first.

    `more` are strings to score besides the likeliest of each view (a grammar's own guess). The
    probabilities sum to less than 1: the rest belongs to strings that were not scored.
    """
    seen = [letters_of(piece) for piece in pieces]
    texts = list(dict.fromkeys(text for one in seen for text in likeliest(one)))
    texts += [text for text in dict.fromkeys(more) if text not in texts]
    texts = [text for text in texts if text]
    if not texts:
        return ()
    shares = np.array([likelihoods(one, texts) for one in seen])
    rest = np.maximum(1.0 - shares.sum(axis=1, keepdims=True), 0.0)
    # A view can be of no use (the channel without the ink): then it says nothing, not "other".
    idle = np.array([[_IDLE + _POOR * (1.0 - piece.view.confidence)] for piece in pieces])
    scores = np.log((1.0 - idle) * np.hstack([shares, rest]) + idle * _UNTOLD)
    total = scores.sum(axis=0) * (min(INDEPENDENT_VIEWS, len(seen)) / len(seen))
    # Views that miss all transcriptions rarely mean the same other string.
    total[-1] -= _DISAGREE * (len(seen) > 1)
    for answer in second:
        agreed = np.array([_told(text, ready(answer.text).text) for text in texts])
        # A string that nobody scored explains the second reader no better than the average one.
        agreed = np.append(agreed, agreed.mean())
        total += SECOND_WEIGHT * answer.confidence * agreed
    share = np.exp(total - total.max())
    share /= share.sum()
    alone = [tuple(float(p) for p in column) for column in shares.T]
    found = [
        Transcription(text, float(p), by_view)
        for text, p, by_view in zip(texts, share, alone, strict=False)
    ]
    return tuple(sorted(found, key=lambda one: -one.probability))


def letters_of(piece: Piece) -> Letters:
    """The piece's steps, case folded."""
    signs, columns, starts = _folding(piece.view.steps.alphabet)
    steps = np.exp(piece.view.steps.log_probs[piece.first : piece.last].astype(np.float64))
    steps = np.add.reduceat(steps[:, columns], starts, axis=1)
    return Letters(signs, steps)


def likeliest(letters: Letters, beam: int = _BEAM, kept: int = _KEPT) -> list[str]:
    """The likeliest strings of a piece by prefix beam search.

    Source: Hannun et al., "First-Pass Large Vocabulary Continuous Speech Recognition using
    Bi-Directional Recurrent DNNs", arXiv 1408.2873, 2014, algorithm 1 (without a language model).
    """
    other = len(letters.signs) - 1
    ending: dict[tuple[int, ...], tuple[float, float]] = {(): (1.0, 0.0)}
    for row in letters.steps:
        likely = [
            int(c)
            for c in np.argsort(row)[-_LETTERS_TRIED:]
            if row[c] > _LEAST_LETTER and c not in (0, other)
        ]
        new: dict[tuple[int, ...], list[float]] = {}
        for prefix, (blank, letter) in ending.items():
            same = new.setdefault(prefix, [0.0, 0.0])
            same[0] += (blank + letter) * row[0]
            if prefix:
                same[1] += letter * row[prefix[-1]]
            for column in likely:
                longer = new.setdefault((*prefix, column), [0.0, 0.0])
                repeated = prefix and prefix[-1] == column
                longer[1] += (blank if repeated else blank + letter) * row[column]
        best = sorted(new.items(), key=lambda item: -(item[1][0] + item[1][1]))[:beam]
        ending = {prefix: (b, n) for prefix, (b, n) in best}
    ordered = sorted(ending.items(), key=lambda item: -(item[1][0] + item[1][1]))
    found = ("".join(letters.signs[c] for c in prefix).strip() for prefix, _ in ordered)
    return list(dict.fromkeys(found))[:kept]


def likelihoods(letters: Letters, texts: Sequence[str]) -> list[float]:
    """Probability of exactly each of these strings (none empty) over the piece: the forward
    algorithm, leading and trailing spaces free. 0 for one with a letter that the alphabet lacks.
    """
    column = {sign: number for number, sign in enumerate(letters.signs)}
    spelled = [text for text in texts if all(sign in column for sign in text)]
    if not spelled:
        return [0.0] * len(texts)
    # One row a string: blank, letter, blank, letter, ... blank; a column of nothing fills it up.
    nothing = len(letters.signs)
    last = 2 * np.array([len(text) for text in spelled])
    states = np.full((len(spelled), int(last.max()) + 1), nothing)
    for row, text in zip(states, spelled, strict=True):
        row[: 2 * len(text) + 1 : 2] = 0
        row[1 : 2 * len(text) : 2] = [column[sign] for sign in text]
    every = np.arange(len(spelled))
    emit = np.hstack([letters.steps, np.zeros((len(letters.steps), 1))])[:, states]
    # A space before or after the piece is no difference in ink.
    edge = letters.steps[:, 0] + letters.steps[:, column[" "]]
    emit[:, :, 0] = edge[:, None]
    emit[:, every, last] = edge[:, None]
    # Two letters may follow each other without a blank, unless they are the same.
    skip = np.zeros(states.shape)
    skip[:, 3::2] = states[:, 3::2] != states[:, 1:-2:2]
    alpha = np.zeros(states.shape)
    alpha[:, :2] = emit[0, :, :2]
    for row in emit[1:]:
        moved = alpha.copy()
        moved[:, 1:] += alpha[:, :-1]
        moved[:, 2:] += skip[:, 2:] * alpha[:, :-2]
        alpha = moved * row
    found = dict(zip(spelled, alpha[every, last] + alpha[every, last - 1], strict=True))
    return [float(found.get(text, 0.0)) for text in texts]


def _told(text: str, answer: str) -> float:
    """Log-likelihood (up to a constant) that the second reader says `answer` over this string.

    The string may stand anywhere in the answer: what surrounds it costs nothing.
    """
    same, near, other, gap = 0.0, _EDIT[1], _EDIT[2], _EDIT[3]
    wanted = text.replace(" ", "")
    said = answer.replace(" ", "")
    row = [0.0] * (len(said) + 1)
    for sign in wanted:
        cost = [row[0] + (_SMALL_GAP if sign in "-:." else gap)]
        for j, heard in enumerate(said, start=1):
            if sign == heard:
                change = same
            elif look_alike(sign, heard):
                change = _EDIT[0]
            else:
                change = near if confusable(sign, heard) else other
            miss = row[j] + (_SMALL_GAP if sign in "-:." else gap)
            cost.append(min(row[j - 1] + change, miss, cost[j - 1] + gap))
        row = cost
    # Beyond a few errors the second reader simply did not see the line.
    return -min(min(row), _MOST_ERRORS * other)


@cache
def _folding(alphabet: str) -> tuple[tuple[str, ...], Indices, Indices]:
    """Letters of the folded columns (blank first, everything else last); the columns in their
    order, and where each folded one starts among them.
    """
    folded = [ready(letter).text if letter != " " else " " for letter in alphabet]
    pairs = zip(folded, alphabet, strict=True)
    folded = [sign if len(sign) == 1 else letter for sign, letter in pairs]
    signs = ("", *dict.fromkeys(folded), "\ufffd")
    column = {sign: number for number, sign in enumerate(signs)}
    owners = np.array([0, *(column[sign] for sign in folded), len(signs) - 1])
    order = np.argsort(owners, kind="stable")
    return signs, order, np.searchsorted(owners[order], np.arange(len(signs)))
