"""Which lines are looked at in more ways: decided from the line alone, before any grammar.

A mark is a code: digits, or a word or two in capitals. A line whose codes are not certain is seen
in all renderings, and one with a number in two more, however certain it is: a number is never taken
from one view alone.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from inkwitness.reading.ctc import RawView
from inkwitness.reading.engines import Recogniser
from inkwitness.reading.renderings import rendered
from inkwitness.reading.values import Line, View

#: Looked at again where a code has less than this probability, letter by letter.
CERTAIN = 0.985
_MORE = ("closer", "wider", "local_contrast", "flattened", "blue_channel", "red_channel")
_TWICE = ("closer", "wider")
_MOST_LINES_AGAIN = 8
#: A word of capitals may be a mark by itself up to this length (an agency, a sign, a claim).
_LONGEST_WORD = 8
_WORD = re.compile(r"\S+")


@dataclass(frozen=True, slots=True)
class _Code:
    """A word that looks like a code: how many digits it has, and how sure its letters are."""

    digits: int
    letters: int
    probability: float

    @property
    def urgency(self) -> int:
        """Numbers first, then what has a digit, then words in capitals."""
        return 0 if self.digits > 2 else 1 if self.digits else 2


def looked_at_again(lines: Sequence[Line], recogniser: Recogniser) -> list[Line]:
    """The lines in their order, those with more views that are not certain or hold a number."""
    codes = {id(line): _codes(line) for line in lines}
    unsure = [line for line in lines if any(c.probability < CERTAIN for c in codes[id(line)])]
    unsure.sort(key=lambda line: _urgency(codes[id(line)]))
    unsure = unsure[:_MOST_LINES_AGAIN]
    numbers = [line for line in lines if line not in unsure and _urgency(codes[id(line)]) == 0]
    wanted = [
        (line, name)
        for some, names in ((unsure, _MORE), (numbers, _TWICE))
        for line in some
        for name in names
        if name not in {view.rendering for view in line.views}
    ]
    answers = recogniser.recognise([rendered(line.strip, name) for line, name in wanted])
    extra: dict[int, list[View]] = {}
    for (line, name), raw in zip(wanted, answers, strict=True):
        extra.setdefault(id(line), []).append(view_of(name, raw))
    return [replace(line, views=(*line.views, *extra.get(id(line), ()))) for line in lines]


def view_of(rendering: str, raw: RawView) -> View:
    """What the recogniser said of one rendering."""
    return View(rendering, raw.text, raw.spans, raw.confidence, raw.steps)


def has_code(line: Line) -> bool:
    """Whether a view of the line shows a word that may be a mark."""
    return bool(_codes(line))


def _codes(line: Line) -> list[_Code]:
    return [code for view in line.views for code in _codes_in(view)]


def _codes_in(view: View) -> Iterable[_Code]:
    for word in _WORD.finditer(view.text):
        signs = [sign for sign in word.group() if sign.isalnum()]
        digits = sum(sign.isdigit() for sign in signs)
        capitals = sum(sign.isupper() for sign in signs)
        short = capitals == len(signs) <= _LONGEST_WORD
        if digits or (signs and short):
            likely = [_sureness(view, at) for at in range(word.start(), word.end())]
            yield _Code(digits, len(signs), float(np.prod(likely)))


def _sureness(view: View, at: int) -> float:
    """Probability of the letter at this place, at the step where it is likeliest."""
    first, last = view.spans[at]
    steps = view.steps
    letter = view.text[at]
    column = 1 + steps.alphabet.find(letter) if letter in steps.alphabet else -1
    return float(np.exp(steps.log_probs[first:last, column].max()))


def _urgency(codes: Iterable[_Code]) -> int:
    return min((code.urgency for code in codes), default=3)
