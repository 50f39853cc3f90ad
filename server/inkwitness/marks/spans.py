"""Where a mark stands: its letters in the text of its line, its share of it, its outline."""

from collections.abc import Mapping, Sequence

import numpy as np

from inkwitness.marks.text import ready
from inkwitness.marks.values import Alternative
from inkwitness.photo.values import Polygon
from inkwitness.reading.values import Line

#: Of each line, by its index, stretches of its text: first letter, one past the last.
Spans = Mapping[int, Sequence[tuple[int, int]]]


def span_in(line: Line, extent: tuple[float, float]) -> tuple[int, int] | None:
    """The letters of the line's own text that stand within an extent (shares of its steps)."""
    if not line.views:
        return None
    view = line.views[0]
    steps = view.steps.log_probs.shape[0]
    middles = [(first + last) / 2 / steps for first, last in view.spans]
    inside = [at for at, middle in enumerate(middles) if extent[0] <= middle <= extent[1]]
    return (inside[0], inside[-1] + 1) if inside else None


def extent_of(line: Line, start: int, end: int) -> tuple[float, float]:
    """The steps of a stretch of the line's own text, as shares of the line."""
    view = line.views[0]
    steps = view.steps.log_probs.shape[0]
    return view.spans[start][0] / steps, view.spans[end - 1][1] / steps


def doubtful_at(
    printed: str, others: Sequence[Alternative], only: Sequence[int]
) -> tuple[int, ...]:
    """Positions in `only` or at which an alternative of the same length differs; else all."""
    own = ready(printed).text
    same = [ready(other.printed).text for other in others if len(other.printed) == len(printed)]
    places = {i for text in same for i in range(len(text)) if i < len(own) and text[i] != own[i]}
    places.update(only)
    return tuple(sorted(places)) if places else tuple(range(len(printed)))


def part_of(polygon: Polygon, extent: tuple[float, float]) -> Polygon:
    """The stretch of a line's polygon between two shares of its length; none of typed print."""
    half = len(polygon) // 2
    if half < 2:
        return polygon
    ring = np.array(polygon)
    top, bottom = ring[:half], ring[half:][::-1]
    where = np.linspace(0.0, 1.0, half)
    first, last = (min(max(share, 0.0), 1.0) for share in extent)
    stretch = np.linspace(first, last, 5)
    sides = [
        np.column_stack([np.interp(stretch, where, side[:, k]) for k in (0, 1)])
        for side in (top, bottom)
    ]
    points = np.vstack([sides[0], sides[1][::-1]])
    return tuple((round(float(x), 1), round(float(y), 1)) for x, y in points)
