"""A class by its parts: what protects (FFP2), and the signs behind it (NR or R, D).

EN 149:2001+A1:2009, clause 9, has the class marked with NR or R, and with D where the clogging
test was passed; EN 149:1991 had S or SL. One who writes FFP2 of goods that bear FFP2 NR D names
no other class: what one side leaves out is told, and contradicts nothing.
"""

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from inkwitness.holders.compare import class_core

#: Signs of which a respirator bears one: for one shift or for more, solids or liquids as well.
_EITHER = (frozenset({"NR", "R"}), frozenset({"S", "SL"}))


@dataclass(frozen=True, slots=True)
class ClassParts:
    """The class itself in normal form, and the signs behind it."""

    level: str
    signs: frozenset[str]


@dataclass(frozen=True, slots=True)
class PartsBeside:
    """Two sides by their parts. `first_alone` and `second_alone`: signs of one side only."""

    differ: bool
    first_alone: tuple[str, ...] = ()
    second_alone: tuple[str, ...] = ()


def parts_of(text: str, behind: Collection[str], more: Iterable[str] = ()) -> ClassParts:
    """The parts of a class as written; `more` are signs that stand as marks of their own.

    >>> parts_of("FFP2 NR D", {"NR", "R", "D"}).level
    'FFP2'
    """
    words = [word for one in (text, *more) for word in one.upper().replace("/", " ").split()]
    return ClassParts(class_core(text, behind), frozenset(words) & frozenset(behind))


def compare(first: ClassParts, second: ClassParts) -> PartsBeside:
    """Whether two sides name another class or signs that exclude each other, and what one adds."""
    if first.level != second.level:
        return PartsBeside(differ=True)
    if any(
        first.signs & either and second.signs & either and not first.signs & second.signs & either
        for either in _EITHER
    ):
        return PartsBeside(differ=True)
    alone = (first.signs - second.signs, second.signs - first.signs)
    return PartsBeside(False, *(tuple(sorted(one)) for one in alone))
