"""Numbers and models: their normal form, and how far two of them are apart letter by letter.

A number is equal to another only where the normal forms are equal, letter for letter. Everything
else is a distance, which shows a person where to look and never makes a match.
"""

import re
from dataclasses import dataclass

from inkwitness.marks.text import LOOK_ALIKE, confusable, look_alike, ready

# Signs that stand between the parts of a number and are never evidence by themselves. A plus or a
# star tells two models apart, so it stays.
_SEPARATORS = re.compile(r"[\s\-.:#/_,;()'\"\\]+")
_NOT_BETWEEN_DIGITS = re.compile(r"(?<![0-9])-|-(?![0-9])")

SEPARATOR_COST = 0.05
LOOK_ALIKE_COST = 0.2
CONFUSABLE_COST = 0.45
CHANGE_COST = 1.0
#: Near is: one letter wrong, missing, added or swapped with the next, or two taken for others they
#: are known to be taken for; signs between the parts and O for 0 weigh little. The labelled pairs
#: in tests/holders show what this finds and what it lets through.
NEAR_LIMIT = 1.25

_FOLD = str.maketrans({other: group[0] for group in LOOK_ALIKE for other in group[1:]})


@dataclass(frozen=True, slots=True)
class Pair:
    """One step of an alignment: a letter of each side, or None where one side has none."""

    left: str | None
    right: str | None


def normal_form(text: str) -> str:
    """The normal form of an approval number, certificate number or model.

    Capitals, one kind of dash; signs between the parts fall away, except that two digits they kept
    apart stay apart with `-`.

    >>> normal_form("tc 84a-9981"), normal_form("ZK/31/0457"), normal_form("VX 910")
    ('TC84A9981', 'ZK31-0457', 'VX910')
    """
    return _NOT_BETWEEN_DIGITS.sub("", spaced_form(text))


def spaced_form(text: str) -> str:
    """Capitals, with one dash wherever signs stand between the parts: for showing, not comparing.

    >>> spaced_form("tc 84a.9981")
    'TC-84A-9981'
    """
    plain = text.upper() if text.isascii() else ready(text).text
    return _SEPARATORS.sub("-", plain).strip("-")


def folded(normal: str) -> str:
    """A normal form without dashes, look-alike letters made one (O and 0, I, L and 1)."""
    return normal.replace("-", "").translate(_FOLD)


def change_cost(one: str, other: str) -> float:
    """The cost of reading one letter for the other, 0 to 1."""
    if one == other:
        return 0.0
    if look_alike(one, other):
        return LOOK_ALIKE_COST
    return CONFUSABLE_COST if confusable(one, other) else CHANGE_COST


def distance(left: str, right: str) -> float:
    """The weighted edit distance between two normal forms; 0 only where they are equal.

    Letters changed (weighted by what is taken for what), added, lost, or swapped with the next:
    the optimal string alignment of Damerau (1964) with weights.
    """
    return _table(left, right)[-1][-1]


def align(left: str, right: str) -> tuple[Pair, ...]:
    """The letters of two spaced or normal forms side by side, along a cheapest path.

    Swapped letters show as two changes.
    """
    table = _table(left, right)
    pairs: list[Pair] = []
    i, j = len(left), len(right)
    while i or j:
        here = table[i][j]
        if i and j and here == table[i - 1][j - 1] + _replace(left[i - 1], right[j - 1]):
            pairs.append(Pair(left[i - 1], right[j - 1]))
            i, j = i - 1, j - 1
        elif _swapped(left, right, i, j) and here == table[i - 2][j - 2] + CHANGE_COST:
            pairs += [Pair(left[i - 1], right[j - 1]), Pair(left[i - 2], right[j - 2])]
            i, j = i - 2, j - 2
        elif i and here == table[i - 1][j] + _alone(left[i - 1]):
            pairs.append(Pair(left[i - 1], None))
            i -= 1
        else:
            pairs.append(Pair(None, right[j - 1]))
            j -= 1
    return tuple(reversed(pairs))


def _table(left: str, right: str) -> list[list[float]]:
    """Cheapest cost of turning the first i letters of left into the first j of right."""
    table = [[0.0] * (len(right) + 1) for _ in range(len(left) + 1)]
    for i in range(1, len(left) + 1):
        table[i][0] = table[i - 1][0] + _alone(left[i - 1])
    for j in range(1, len(right) + 1):
        table[0][j] = table[0][j - 1] + _alone(right[j - 1])
    for i in range(1, len(left) + 1):
        for j in range(1, len(right) + 1):
            best = min(
                table[i - 1][j - 1] + _replace(left[i - 1], right[j - 1]),
                table[i - 1][j] + _alone(left[i - 1]),
                table[i][j - 1] + _alone(right[j - 1]),
            )
            if _swapped(left, right, i, j):
                best = min(best, table[i - 2][j - 2] + CHANGE_COST)
            table[i][j] = best
    return table


def _alone(letter: str) -> float:
    return SEPARATOR_COST if letter == "-" else CHANGE_COST


def _replace(one: str, other: str) -> float:
    if one != other and "-" in (one, other):
        return CHANGE_COST + SEPARATOR_COST
    return change_cost(one, other)


def _swapped(left: str, right: str, i: int, j: int) -> bool:
    return (
        i > 1
        and j > 1
        and left[i - 1] == right[j - 2]
        and left[i - 2] == right[j - 1]
        and left[i - 1] != right[j - 1]
    )
