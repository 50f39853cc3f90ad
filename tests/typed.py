"""Readings of typed lines, where a test is about what follows reading."""

from collections.abc import Sequence

from inkwitness.check.values import ItemRead, LineRead, Reading
from inkwitness.marks.values import Mark

SQUARE = ((0.0, 0.0), (20.0, 0.0), (20.0, 20.0), (0.0, 20.0))


def item_of(lines: Sequence[str], marks: Sequence[Mark], first: int = 0) -> ItemRead:
    """An item with these lines, numbered from `first`, and these marks on them."""
    read = tuple(
        LineRead(first + at, text, 0.97, x_height_px=14.0) for at, text in enumerate(lines)
    )
    return ItemRead(SQUARE, read, tuple(marks))


def reading_of(*items: ItemRead, name: str = "typed", readers: Sequence[str] = ()) -> Reading:
    """A reading of these items."""
    return Reading(
        photo=name,
        sha256="0" * 64,
        width=20,
        height=20,
        turn=0.0,
        quality=(),
        items=items,
        readers=tuple(readers),
        notes=(),
        milliseconds=7,
        rules_edition="rules-test",
    )
