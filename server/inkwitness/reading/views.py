"""Which lines are looked at in more ways: decided from the line alone, before any grammar.

A mark is a code: digits, or a word or two in capitals. A line whose codes are not certain is seen
in all augmentations, and one with a number in two more, however certain it is: a number is never
taken from one view alone.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from inkwitness.photo.values import Pixels
from inkwitness.reading.augmentations import augmented
from inkwitness.reading.readers.engines import Recogniser
from inkwitness.reading.values import Line, View

#: Looked at again where a code has less than this probability, letter by letter.
CERTAIN = 0.985
_MORE = ("closer", "wider", "local_contrast", "flattened", "blue_channel", "red_channel")
_TWICE = ("closer", "wider")
#: Where the channels hardly differ (grey values on average), they show nothing of their own.
_CHANNELS = ("blue_channel", "red_channel")
_GREY = 1.0
#: Lines that are looked at again, those with numbers first: each costs a reading of every view.
_MOST_LINES_AGAIN = 6
#: A word of capitals may be a mark by itself from this length to that (an agency, a sign, a claim),
#: in a line of not more words than this: more are a sentence.
_SHORTEST_WORD, _LONGEST_WORD = 2, 8
_FEW_WORDS = 3
_WORD = re.compile(r"\S+")
#: What a class looks like in any scheme: a letter or two before 80 to 100, or more before 1 to 3.
_CLASS = re.compile(
    r"(?<![A-Z0-9])(?:(?:K[NPF]|[NRP])[ -]?(?:80|9[0459]|100)|(?:F?FP|P|PFF|D[SL])[ -]?[123])"
    r"(?![0-9])"
)
#: Digits as a number has them, parted by a dash or not.
_NUMBER = re.compile(r"[0-9]{2}[A-Z]?-[0-9]{3}|[0-9]{4}")


@dataclass(frozen=True, slots=True)
class _Code:
    """A word that looks like a code: how many digits it has, and how sure its letters are."""

    digits: int
    probability: float

    @property
    def urgency(self) -> int:
        """Numbers first, then what has a digit, then words in capitals."""
        return 0 if self.digits > 2 else 1 if self.digits else 2


def looked_at_again(lines: Sequence[Line], recogniser: Recogniser) -> list[Line]:
    """The lines in their order, those with more views that are not certain or hold a number."""
    codes = {id(line): list(_codes_in(line.views[0])) for line in lines}
    unsure = [line for line in lines if any(c.probability < CERTAIN for c in codes[id(line)])]
    unsure.sort(key=lambda line: _urgency(codes[id(line)]))
    unsure = unsure[:_MOST_LINES_AGAIN]
    numbers = [line for line in lines if line not in unsure and _urgency(codes[id(line)]) == 0]
    wanted = [
        (line, name)
        for some, names in ((unsure, _MORE), (numbers, _TWICE))
        for line in some
        for name in names
        if name not in {view.augmentation for view in line.views}
        and not (name in _CHANNELS and _is_grey(line.image))
    ]
    answers = recogniser.recognise([augmented(line.image, name) for line, name in wanted])
    extra: dict[int, list[View]] = {}
    for (line, name), raw in zip(wanted, answers, strict=True):
        extra.setdefault(id(line), []).append(replace(raw, augmentation=name))
    return [replace(line, views=(*line.views, *extra.get(id(line), ()))) for line in lines]


def _is_grey(image: Pixels) -> bool:
    """Whether the blue and the red of a line image differ by hardly more than its mean colour
    does.
    """
    apart = image[:, :, 0].astype(np.float32) - image[:, :, 2]
    return float(np.abs(apart - np.median(apart)).mean()) < _GREY


def has_code(line: Line) -> bool:
    """Whether a view of the line shows a word that may be a mark."""
    return any(True for view in line.views for _ in _codes_in(view))


def looks_like_class(text: str) -> bool:
    """Whether the text has a word shaped like a filter class, whatever scheme it is of."""
    return bool(_CLASS.search(text.upper()))


def looks_like_number(text: str) -> bool:
    """Whether the text has digits enough for a number of an approval, a body or a standard."""
    return bool(_NUMBER.search(text))


def _codes_in(view: View) -> Iterable[_Code]:
    words = list(_WORD.finditer(view.text))
    for word in words:
        signs = [sign for sign in word.group() if sign.isalnum()]
        digits = sum(sign.isdigit() for sign in signs)
        capitals = sum(sign.isupper() for sign in signs)
        short = capitals == len(signs) and _SHORTEST_WORD <= len(signs) <= _LONGEST_WORD
        if digits or (short and len(words) <= _FEW_WORDS):
            likely = [_sureness(view, at) for at in range(word.start(), word.end())]
            yield _Code(digits, float(np.prod(likely)))


def _sureness(view: View, at: int) -> float:
    """Probability of the letter at this place, at the step where it is likeliest."""
    first, last = view.spans[at]
    steps = view.steps
    letter = view.text[at]
    column = 1 + steps.alphabet.find(letter) if letter in steps.alphabet else -1
    return float(np.exp(steps.log_probs[first:last, column].max()))


def _urgency(codes: Iterable[_Code]) -> int:
    return min((code.urgency for code in codes), default=3)
