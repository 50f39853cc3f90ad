"""What was drawn from what: the draws that count for goods, and whether one covers them.

A draw speaks for what it was drawn from. Goods that were added since, or put into another lot, were
never in it. These are decisions of this project (no source).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from inkwitness.holders.numbers import normal_form

#: Letters of a reason at least: less says nothing to whoever reads it later.
SHORTEST_REASON = 3


@lru_cache(maxsize=65_536)
def lot_form(lot: str) -> str:
    """What two spellings of one lot have in common: spaces and dashes do not tell lots apart.

    Asked for of every lot in store whenever one is looked for.

    >>> lot_form("A-310") == lot_form("a 310"), lot_form("A310") == lot_form("A310b")
    (True, False)
    """
    return normal_form(lot) or lot.strip().casefold()


@dataclass(frozen=True, slots=True)
class Draw:
    """One draw as the gate sees it: the places that it drew, and what they were drawn from.

    `size` is the number of units that could be drawn, `lots` how many of them each lot had, by the
    first part of their names; empty where the names tell no lot. Of one lot by itself `size` is 0
    where none of it was drawn.
    """

    places: tuple[str, ...]
    size: int
    lots: Mapping[str, int] = field(default_factory=dict)


def first_that_counts(reasons: Sequence[str]) -> int:
    """Which of these draws is the first that counts, from why each took the place of those before.

    A draw is added to the earlier ones; it takes their place only where a person wrote down why
    they no longer hold.

    >>> first_that_counts(["", "", "the lots were split", ""]), first_that_counts(["", "x"])
    (2, 0)
    """
    instead = [place for place, why in enumerate(reasons) if len(why.strip()) >= SHORTEST_REASON]
    return instead[-1] if instead else 0


def covers(draw: Draw, units: int, sizes: Mapping[str, int]) -> bool:
    """Whether a draw was made from so many units at least, and from so many of each lot."""
    there: dict[str, int] = {}
    for lot, n in draw.lots.items():
        there[lot_form(lot)] = there.get(lot_form(lot), 0) + n
    return draw.size >= units and all(there.get(lot_form(lot), 0) >= n for lot, n in sizes.items())
