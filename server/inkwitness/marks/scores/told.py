"""The same ink told in other words: where a recogniser drops a space or takes O for 0 in a word.

The ink stays: only where words end, and what a label in front of a mark says, is told anew.
"""

import re
from dataclasses import replace

import numpy as np

from inkwitness.marks.vocabulary import Printing, any_of
from inkwitness.reading.values import View

#: A space is told where the recogniser gave it this much at some step between two letters ...
_SPACE = 0.04
#: ... or where two letters stand this much further apart than usual in their line.
_WIDE = 1.75
_ZERO = re.compile(r"(?<=[A-Za-z])0(?=[A-Za-z])")


def ways_told(view: View, printing: Printing) -> tuple[View, ...]:
    """The view itself first, then with words parted, then with O for a zero inside a word."""
    told = [view, _parted(view), _parted_words(view, printing)]
    told += [replace(one, text=_ZERO.sub("O", one.text)) for one in told]
    return tuple({one.text: one for one in reversed(told)}.values())[::-1]


def _parted(view: View) -> View:
    """Spaces put in where the steps between two letters speak for one."""
    if len(view.spans) < 3:
        return view
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
    return replace(view, text="".join(letters), spans=tuple(spans))


def _parted_words(view: View, printing: Printing) -> View:
    """Spaces put in between words that are known to stand against each other."""
    between = re.finditer(any_of(printing.parted), view.text, re.IGNORECASE)
    places = [match.start() for match in between]
    text, spans = view.text, list(view.spans)
    for place in sorted(places, reverse=True):
        if 0 < place < len(text):
            text = text[:place] + " " + text[place:]
            at = spans[place - 1][1]
            spans.insert(place, (at, at))
    return replace(view, text=text, spans=tuple(spans))
