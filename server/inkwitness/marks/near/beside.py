"""Lines beside a sign that is drawn two lines high: four digits beside CE may be its body's number.

Which signs: the rules. Where a line stands is no label, so it is only ever asked about.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inkwitness.marks.vocabulary import Vocabulary
from inkwitness.reading.values import Line

#: The sign is at least so many times as high as the line beside it.
_LARGER = 1.4
#: In heights of the sign: the line's middle is this near to the sign's own middle line, and the
#: line begins at most so far behind the sign's end, and not before it ends.
_ASIDE, _BEHIND, _INTO = 0.7, 1.2, 0.3


@dataclass(frozen=True, slots=True, eq=False)
class Beside:
    """A line that stands beside a large sign, and what the sign reads."""

    line: Line
    label: str


def lines_beside(lines: Sequence[Line], vocabulary: Vocabulary) -> Iterator[Beside]:
    """The lines that stand beside a large sign, each with the first of these signs."""
    signs = [(line, label) for line in lines if (label := vocabulary.label_beside(line.text))]
    for line in lines:
        label = next((label for sign, label in signs if _stands_beside(line, sign)), "")
        if label:
            yield Beside(line, label)


def _stands_beside(line: Line, sign: Line) -> bool:
    if line is sign or not line.polygon or not sign.polygon:
        return False
    start, end, height = _ends(sign)
    first, last, own = _ends(line)
    if height < _LARGER * own:
        return False
    along = (end - start) / max(float(np.hypot(*(end - start))), 1e-6)
    across = np.array([-along[1], along[0]])
    middle = (first + last) / 2 - end
    gap = float((first - end) @ along)
    same_way = float((last - first) @ along) > 0
    near = abs(float(middle @ across)) < _ASIDE * height
    return same_way and near and -_INTO * height < gap < _BEHIND * height


def _ends(line: Line) -> tuple[NDArray[np.float64], NDArray[np.float64], float]:
    """Both ends of a line's middle, and the height of its outline (photo pixels)."""
    ring = np.array(line.polygon, float)
    half = len(ring) // 2
    top, bottom = ring[:half], ring[half:][::-1]
    height = float(np.hypot(*(bottom - top).T).mean())
    middle = (top + bottom) / 2
    return middle[0], middle[-1], height
