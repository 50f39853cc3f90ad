"""Typed print as a line that was read with certainty.

What a person typed, what another reader read in a script of its own, and the rules' own examples
go the same way as a photo's lines: each letter is one step of probability (nearly) 1.
"""

from functools import lru_cache

import numpy as np

from inkwitness.reading.values import CharSteps, Line, View

#: The augmentation of a view that nobody took of a picture.
TYPED = "typed"
#: Left over for other letters at each step: logarithms need some.
_LEFT_OVER = 1e-6
_NO_PICTURE = np.zeros((1, 1, 3), dtype=np.uint8)


def typed_line(index: int, text: str) -> Line:
    """A line of typed text, its letters certain."""
    return Line(index, (), 0.0, _NO_PICTURE, (_view(text),))


def is_typed(line: Line) -> bool:
    """Whether the line's letters are certain: nobody read them from a picture."""
    return any(view.augmentation == TYPED for view in line.views)


@lru_cache(maxsize=4096)
def _view(text: str) -> View:
    alphabet = "".join(dict.fromkeys(text + " "))
    columns = [1 + alphabet.index(letter) for letter in text]
    steps = np.full((2 * len(text) + 1, len(alphabet) + 2), _LEFT_OVER, dtype=np.float32)
    steps[0::2, 0] = 1.0
    steps[np.arange(1, 2 * len(text), 2), columns] = 1.0
    steps /= steps.sum(axis=1, keepdims=True)
    spans = tuple((2 * at + 1, 2 * at + 2) for at in range(len(text)))
    return View(TYPED, text, spans, 1.0, CharSteps(alphabet, np.log(steps)))
