"""A class by its parts: what protects (FFP2), and the signs behind it (NR or R, D).

Which signs stand behind a class, and which of them exclude each other, says the file of the scheme
that prints them. One who writes FFP2 of goods that bear FFP2 NR D names no other class: what one
side leaves out is told, and contradicts nothing.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from inkwitness.holders.compare import class_core
from inkwitness.marks.vocabulary import Printing


@dataclass(frozen=True, slots=True)
class PartsBeside:
    """Two sides by their parts. `first_alone` and `second_alone`: signs of one side only."""

    differ: bool
    first_alone: tuple[str, ...] = ()
    second_alone: tuple[str, ...] = ()


def compare(
    first: str, second: str, printing: Printing, of_second: Iterable[str] = ()
) -> PartsBeside:
    """Whether two sides name another class or signs that exclude each other, and what one adds.

    `of_second` are signs of the second side that stand as marks of their own.

    >>> compare("FFP2", "FFP2 NR D", Printing(behind_class=("NR", "R", "D"))).second_alone
    ('D', 'NR')
    """
    behind = printing.behind_class
    one, other = _signs((first,), printing), _signs((second, *of_second), printing)
    if class_core(first, behind) != class_core(second, behind) or any(
        one & either and other & either and not one & other & either
        for either in map(frozenset, printing.either_behind)
    ):
        return PartsBeside(differ=True)
    return PartsBeside(False, tuple(sorted(one - other)), tuple(sorted(other - one)))


def _signs(texts: Iterable[str], printing: Printing) -> frozenset[str]:
    words = (word for text in texts for word in text.upper().replace("/", " ").split())
    return frozenset(words) & frozenset(printing.behind_class)
