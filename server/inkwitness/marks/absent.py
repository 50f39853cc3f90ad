"""Marks that a scheme requires and that were not seen where all print was legible."""

from collections.abc import Iterable, Sequence

from inkwitness.marks.values import Mark


def absent_marks(marks: Sequence[Mark], required: Iterable[Iterable[str]]) -> tuple[Mark, ...]:
    """One `absent` mark for each required name (a group a scheme) that no mark bears."""
    have = {mark.mark for mark in marks}
    names = dict.fromkeys(name for group in required for name in group if name not in have)
    return tuple(Mark(name, "", "", "absent", 0.0) for name in names)
