"""The same ink told in other words: where a recogniser drops a space or takes O for 0 in a word.

The ink stays: only where words end, and what a label in front of a mark says, is told anew.
"""

import re
from dataclasses import dataclass

import numpy as np

from inkwitness.marks.vocabulary import Printing, any_of
from inkwitness.reading.values import View

#: A space is told where the recogniser gave it this much at some step between two letters ...
_SPACE = 0.04
#: ... or where two letters stand this much further apart than usual in their line.
_WIDE = 1.75
_ZERO = re.compile(r"(?<=[A-Za-z])0(?=[A-Za-z])")


@dataclass(frozen=True, slots=True)
class Told:
    """A text and the step range of each of its characters."""

    text: str
    spans: tuple[tuple[int, int], ...]


def ways_told(view: View, printing: Printing) -> tuple[Told, ...]:
    """The view's own text first, then with words parted, then with O for a zero inside a word."""
    own = Told(view.text, view.spans)
    told = [own, _parted(view), _parted_words(own, printing)]
    told += [Told(_ZERO.sub("O", one.text), one.spans) for one in told]
    return tuple({one.text: one for one in reversed(told)}.values())[::-1]


def _parted(view: View) -> Told:
    """Spaces put in where the steps between two letters speak for one."""
    if len(view.spans) < 3:
        return Told(view.text, view.spans)
    space = np.exp(view.steps.log_probs[:, 1 + view.steps.alphabet.index(" ")])
    middles = np.array([(first + last) / 2 for first, last in view.spans])
    usual = float(np.median(np.diff(middles)))
    letters: list[str] = [view.text[0]]
    spans = [view.spans[0]]
    for i in range(1, len(view.text)):
        first, last = view.spans[i - 1][1], view.spans[i][0]
        between = space[first - 1 : last + 1]
        wide = middles[i] - middles[i - 1] > _WIDE * usual and last - first >= 2
        if " " not in view.text[i - 1 : i + 1] and (wide or bool((between > _SPACE).any())):
            letters.append(" ")
            spans.append((first, max(first, last)))
        letters.append(view.text[i])
        spans.append(view.spans[i])
    return Told("".join(letters), tuple(spans))


def _parted_words(told: Told, printing: Printing) -> Told:
    """Spaces put in between words that are known to stand against each other."""
    between = re.finditer(any_of(printing.parted), told.text, re.IGNORECASE)
    places = [match.start() for match in between]
    text, spans = told.text, list(told.spans)
    for place in sorted(places, reverse=True):
        if 0 < place < len(text):
            text = text[:place] + " " + text[place:]
            at = spans[place - 1][1]
            spans.insert(place, (at, at))
    return Told(text, tuple(spans))
