"""The operating characteristic: the chance of a quiet sample for every number of odd units.

For a lot of known size the exact curve is hypergeometric, and that one is drawn. (The tables of
MIL-STD-105E, Table X, give the binomial and Poisson curves of a process.)

>>> [round(p.chance, 3) for p in oc_curve(5000, 200, 5, marks=(25, 50, 100, 250)).marked]
[1.0, 0.986, 0.79, 0.059]
"""

from dataclasses import dataclass

from inkwitness.sampling import arguments as given
from inkwitness.sampling.arguments import Exact
from inkwitness.sampling.chance import at_most_seen, smallest

_STEPS = 60
_LARGEST_ACCEPT = 1000
_ALMOST_NEVER = 0.002


@dataclass(frozen=True, slots=True)
class Point:
    """`odd` units in the lot, their share, and the chance that at most `accept` are noticed."""

    odd: int
    share: float
    chance: float


@dataclass(frozen=True, slots=True)
class Curve:
    """Points from 0 odd units to where the chance is next to nothing; `marked` ones stand out."""

    lot: int
    n: int
    accept: int
    sensitivity: float
    points: tuple[Point, ...]
    marked: tuple[Point, ...]


def oc_curve(
    lot: int, n: int, accept: int = 0, sensitivity: Exact = 1, *, marks: tuple[int, ...] = ()
) -> Curve:
    """About sixty points of the curve. `marks` are numbers of odd units to be shown on it."""
    _checked(lot, n, accept)
    seen = float(given.sensitivity(sensitivity))
    for odd in marks:
        given.between(odd, 1, lot, "sample_nonconforming", lot=lot)

    def point(odd: int) -> Point:
        return Point(odd, odd / lot, at_most_seen(lot, odd, n, accept, seen))

    def rare(odd: int) -> bool:
        return odd == lot or at_most_seen(lot, odd, n, accept, seen) < _ALMOST_NEVER

    last = max(smallest(0, lot, rare), *marks, 1)
    step = max(1, last // _STEPS)
    where = sorted({*range(0, last + 1, step), last, *marks})
    return Curve(
        lot,
        n,
        accept,
        seen,
        tuple(point(odd) for odd in where),
        tuple(point(odd) for odd in sorted(set(marks))),
    )


def first_below(curve: Curve, level: float) -> Point:
    """The first number of odd units whose chance is `level` or less, else all of them odd."""

    def quiet(odd: int) -> float:
        return at_most_seen(curve.lot, odd, curve.n, curve.accept, curve.sensitivity)

    odd = smallest(0, curve.lot, lambda odd: odd == curve.lot or quiet(odd) <= level)
    return Point(odd, odd / curve.lot, quiet(odd))


def _checked(lot: int, n: int, accept: int) -> None:
    given.sample_size(n, given.lot_size(lot))
    most = min(n - 1, _LARGEST_ACCEPT)
    given.between(accept, 0, most, "sample_accept", n=n, most=most)
