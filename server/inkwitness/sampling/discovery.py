"""Discovery sampling: would a sample have shown at least one, if so many were nonconforming?

The acceptance number is 0. With D of N units nonconforming, a sample of n drawn without replacement
misses all of them with probability C(N - D, n) / C(N, n); when one that was drawn is noticed only
with probability Se, with the sum over y of P(y drawn) (1 - Se)^y.

>>> discovery_n(5000, 50, "0.95"), discovery_n(20000, 200, "0.95", "0.95")
(290, 312)
>>> discovery_n(100, 1, "0.90")
90
>>> discovery_n(100, 1, "0.95", "0.9") is None
True
"""

from fractions import Fraction
from math import ceil, exp, log, log1p

from inkwitness.sampling import arguments as given
from inkwitness.sampling.arguments import Exact, nonconforming_units, nonconforming_wanted
from inkwitness.sampling.chance import (
    at_most_seen,
    at_most_seen_exact,
    exceeds,
    none_drawn_exact,
    smallest,
)

__all__ = [
    "discovery_n",
    "discovery_n_process",
    "miss",
    "nonconforming_units",
    "nonconforming_wanted",
    "notice",
]

# (1 - p)^n of a decimal p has more decimals than n: no decimal confidence can tie with it.
_NO_TIE_BEYOND = 1000


def miss(lot: int, nonconforming: int, n: int, sensitivity: Exact = 1) -> float:
    """P(a sample of `n` shows none of `nonconforming` nonconforming units among `lot`)."""
    given.lot_size(lot)
    given.between(nonconforming, 0, lot, "sample_nonconforming", lot=lot)
    given.sample_size(n, lot)
    return at_most_seen(lot, nonconforming, n, 0, float(given.sensitivity(sensitivity)))


def notice(lot: int, nonconforming: int, n: int, sensitivity: Exact = 1) -> float:
    """P(a sample of `n` shows at least one of them)."""
    return 1.0 - miss(lot, nonconforming, n, sensitivity)


def discovery_n(
    lot: int, nonconforming: int, confidence: Exact, sensitivity: Exact = 1
) -> int | None:
    """Smallest sample that shows at least one of `nonconforming` with probability `confidence`.

    None where even the whole lot looked at falls short. Ties count as reached: 90 of 100 find one
    nonconforming unit with probability 0.90 exactly.
    """
    given.lot_size(lot)
    given.between(nonconforming, 1, lot, "sample_nonconforming", lot=lot)
    allowed = 1 - given.confidence(confidence)
    seen = given.sensitivity(sensitivity)

    def enough(n: int) -> bool:
        return not misses_too_often(lot, nonconforming, n, seen, allowed)

    return smallest(1, lot, enough) if enough(lot) else None


def misses_too_often(
    lot: int, nonconforming: int, n: int, seen: Fraction, allowed: Fraction
) -> bool:
    """Whether P(miss) is above `allowed`, decided exactly."""

    def exactly() -> Fraction:
        if seen == 1:
            return none_drawn_exact(lot, nonconforming, n)
        return at_most_seen_exact(lot, nonconforming, n, 0, seen)

    return exceeds(at_most_seen(lot, nonconforming, n, 0, float(seen)), allowed, exactly)


def discovery_n_process(
    nonconforming_share: Exact, confidence: Exact, sensitivity: Exact = 1
) -> int:
    """The same for a process or a lot without end: smallest n with (1 - share Se)^n <= 1 - C."""
    found = given.share(nonconforming_share) * given.sensitivity(sensitivity)
    allowed = 1 - given.confidence(confidence)
    if found == 1:
        return 1
    n = max(1, ceil(log(allowed) / log1p(-float(found))))
    # The logarithms may be off by one at a tie; powers of rationals decide.
    while n > 1 and not _over(found, n - 1, allowed):
        n -= 1
    while _over(found, n, allowed):
        n += 1
    return n


def _over(found: Fraction, n: int, allowed: Fraction) -> bool:
    missed = exp(n * log1p(-float(found)))
    if n > _NO_TIE_BEYOND:
        return missed > float(allowed)
    return exceeds(missed, allowed, lambda: (1 - found) ** n)
