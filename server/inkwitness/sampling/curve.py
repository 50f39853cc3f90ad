"""The operating characteristic: the chance of a quiet sample for every nonconforming number.

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
    """`nonconforming` units, their share, and the chance that at most `accept` are noticed."""

    nonconforming: int
    share: float
    chance: float


@dataclass(frozen=True, slots=True)
class Curve:
    """Points from none nonconforming to where the chance is next to nothing; `marked` stand out."""

    lot: int
    n: int
    accept: int
    sensitivity: float
    points: tuple[Point, ...]
    marked: tuple[Point, ...]


def oc_curve(
    lot: int, n: int, accept: int = 0, sensitivity: Exact = 1, *, marks: tuple[int, ...] = ()
) -> Curve:
    """About sixty points of the curve. `marks` are nonconforming numbers to be shown on it."""
    _checked(lot, n, accept)
    seen = float(given.sensitivity(sensitivity))
    for nonconforming in marks:
        given.between(nonconforming, 1, lot, "sample_nonconforming", lot=lot)

    def point(nonconforming: int) -> Point:
        return Point(
            nonconforming, nonconforming / lot, at_most_seen(lot, nonconforming, n, accept, seen)
        )

    def rare(nonconforming: int) -> bool:
        return (
            nonconforming == lot
            or at_most_seen(lot, nonconforming, n, accept, seen) < _ALMOST_NEVER
        )

    last = max(smallest(0, lot, rare), *marks, 1)
    step = max(1, last // _STEPS)
    where = sorted({*range(0, last + 1, step), last, *marks})
    return Curve(
        lot,
        n,
        accept,
        seen,
        tuple(point(nonconforming) for nonconforming in where),
        tuple(point(nonconforming) for nonconforming in sorted(set(marks))),
    )


def first_below(curve: Curve, level: float) -> Point:
    """The first nonconforming number whose chance is `level` or less, else the whole lot."""

    def quiet(nonconforming: int) -> float:
        return at_most_seen(curve.lot, nonconforming, curve.n, curve.accept, curve.sensitivity)

    nonconforming = smallest(
        0,
        curve.lot,
        lambda nonconforming: nonconforming == curve.lot or quiet(nonconforming) <= level,
    )
    return Point(nonconforming, nonconforming / curve.lot, quiet(nonconforming))


def _checked(lot: int, n: int, accept: int) -> None:
    given.sample_size(n, given.lot_size(lot))
    most = min(n - 1, _LARGEST_ACCEPT)
    given.between(accept, 0, most, "sample_accept", n=n, most=most)
