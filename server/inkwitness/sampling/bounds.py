"""What a sample excludes: exact bounds on a lot's nonconforming units or on a process's share.

Conventions. Each bound is one-sided: a two-sided 95 % interval takes 0.975 on each side. The upper
bound is the largest number that is *not* excluded: P(at most x noticed) is still above 1 - C.
It counts the units looked at too. Hypergeometric for a lot, Clopper and Pearson (1934) for a
process.

>>> most_nonconforming(5000, 200, 0, "0.95")
72
>>> most_nonconforming(1000, 64, 0, "0.95", "0.9")
49
>>> round(most_nonconforming_share(125, 0, "0.95"), 8)
0.02368096
"""

from fractions import Fraction
from math import expm1, log

from inkwitness.sampling import arguments as given
from inkwitness.sampling.arguments import Exact
from inkwitness.sampling.chance import (
    at_most_seen,
    at_most_seen_exact,
    binomial,
    crossing,
    exceeds,
    none_drawn_exact,
    smallest,
)


def most_nonconforming(
    lot: int, looked_at: int, differed: int, confidence: Exact, sensitivity: Exact = 1
) -> int:
    """Most nonconforming units: the largest D with P(noticed <= differed | D) > 1 - C."""
    seen, allowed = _checked(lot, looked_at, differed, confidence, sensitivity)
    # Units looked at that agreed cannot be nonconforming, unless the check overlooks some.
    high = lot - (looked_at - differed) if seen == 1 else lot

    def excluded(nonconforming: int) -> bool:
        return not _noticed_over(lot, nonconforming, looked_at, differed, seen, allowed)

    if not excluded(high):
        return high
    return smallest(differed, high, excluded) - 1


def fewest_nonconforming(
    lot: int, looked_at: int, differed: int, confidence: Exact, sensitivity: Exact = 1
) -> int:
    """Fewest nonconforming units: the smallest D with P(noticed >= differed | D) > 1 - C."""
    seen, allowed = _checked(lot, looked_at, differed, confidence, sensitivity)
    if differed == 0:
        return 0
    high = lot - (looked_at - differed) if seen == 1 else lot

    def possible(nonconforming: int) -> bool:
        # P(at least x) > a is P(at most x - 1) < 1 - a; a tie is excluded.
        return not _noticed_over(
            lot, nonconforming, looked_at, differed - 1, seen, 1 - allowed, tie_counts=True
        )

    return smallest(differed, high, possible)


def most_nonconforming_share(
    looked_at: int, differed: int, confidence: Exact, sensitivity: Exact = 1
) -> float:
    """Largest nonconforming share of a process: Clopper-Pearson for the noticed, divided by Se."""
    seen, allowed = _checked(None, looked_at, differed, confidence, sensitivity)
    if differed == looked_at:
        return 1.0
    level = float(allowed)
    if differed == 0:
        noticed = -expm1(log(level) / looked_at)
    else:
        noticed = crossing(lambda p: binomial(looked_at, p).up_to(differed), level, 0.0, 1.0)
    return min(1.0, noticed / float(seen))


def fewest_nonconforming_share(
    looked_at: int, differed: int, confidence: Exact, sensitivity: Exact = 1
) -> float:
    """Smallest nonconforming share of a process: Clopper-Pearson, divided by Se."""
    seen, allowed = _checked(None, looked_at, differed, confidence, sensitivity)
    if differed == 0:
        return 0.0
    # The units that agreed, seen from the other side, keep the digits that 1 - C would lose.
    agreed = looked_at - differed
    noticed = crossing(lambda p: -_at_least(looked_at, p, agreed), -float(allowed), 0.0, 1.0)
    return min(1.0, noticed / float(seen))


def _at_least(n: int, p: float, agreed: int) -> float:
    """P(at least n - agreed events), as P(at most `agreed` non-events)."""
    return binomial(n, 1.0 - p).up_to(agreed)


def _noticed_over(
    lot: int,
    nonconforming: int,
    n: int,
    most: int,
    seen: Fraction,
    limit: Fraction,
    *,
    tie_counts: bool = False,
) -> bool:
    """Whether P(at most `most` noticed) lies above `limit`, or on it where ties count."""

    def exactly() -> Fraction:
        if seen == 1 and most == 0:
            return none_drawn_exact(lot, nonconforming, n)
        return at_most_seen_exact(lot, nonconforming, n, most, seen)

    chance = at_most_seen(lot, nonconforming, n, most, float(seen))
    return exceeds(chance, limit, exactly, tie_counts=tie_counts)


def _checked(
    lot: int | None, looked_at: int, differed: int, confidence: Exact, sensitivity: Exact
) -> tuple[Fraction, Fraction]:
    """Sensitivity and the allowed risk 1 - C, after every argument was looked at."""
    given.looked_at_size(looked_at, None if lot is None else given.lot_size(lot))
    given.between(differed, 0, looked_at, "sample_differed", looked_at=looked_at)
    return given.sensitivity(sensitivity), 1 - given.confidence(confidence)
