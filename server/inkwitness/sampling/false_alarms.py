"""A check whose flags are not confirmed one by one: it misses some and cries wolf at others.

The recommended design confirms every flag, which leaves misses only (`discovery`). Where that
cannot be done, the modified hypergeometric of Cameron and Baldock (1998) chooses a sample and the
most flags that may still pass, and the estimator of Rogan and Gladen (1978) corrects a share of
flags for both error rates.
"""

from dataclasses import dataclass
from math import fsum

from inkwitness.sampling import arguments as given
from inkwitness.sampling.arguments import Exact
from inkwitness.sampling.bounds import fewest_odd_share, most_odd_share
from inkwitness.sampling.chance import Weights, binomial, hypergeometric, smallest

_TOO_RARE = 1e-18


@dataclass(frozen=True, slots=True)
class TwoSidedDesign:
    """Look at `n`; more than `most_flags` flags speak for odd units, fewer against them.

    `detect` is P(more flags) with the odd units there, `clean_pass` P(no more flags) without any.
    """

    n: int
    most_flags: int
    detect: float
    clean_pass: float


@dataclass(frozen=True, slots=True)
class Estimate:
    """Odd share behind a share of flags. `share` may be negative: fewer flags than false alarms.

    `low` and `high` carry the Clopper-Pearson ends through the same map, `confidence` two-sided.
    """

    share: float
    low: float
    high: float


def few_flags(
    lot: int, odd: int, n: int, most: int, sensitivity: Exact, specificity: Exact
) -> float:
    """P(at most `most` flags among `n` of a lot with `odd` odd units)."""
    given.sample_size(n, given.lot_size(lot))
    given.between(odd, 0, lot, "odd", lot=lot)
    return _few_flags(hypergeometric(lot, odd, n), n, most, sensitivity, specificity)


def few_flags_process(
    odd_share: Exact, n: int, most: int, sensitivity: Exact, specificity: Exact
) -> float:
    """The same where the odd share, not the number of odd units, is fixed."""
    drawn = binomial(n, float(given.share(odd_share)))
    return _few_flags(drawn, n, most, sensitivity, specificity)


def clean_pass(n: int, most: int, specificity: Exact) -> float:
    """P(at most `most` flags among `n` units of which none is odd)."""
    return binomial(n, float(1 - given.specificity(specificity))).up_to(most)


def two_sided_design(
    lot: int,
    odd: int,
    sensitivity: Exact,
    specificity: Exact,
    *,
    detect: Exact = "0.95",
    pass_clean: Exact = "0.95",
) -> TwoSidedDesign | None:
    """Smallest sample with both chances reached, or None where the lot is too small for it.

    For a fixed number of flags a larger sample detects more and passes a clean lot less, so each
    number of flags has a smallest sample that detects; the first number whose smallest sample
    still passes a clean lot often enough is the design.
    """
    given.lot_size(lot)
    given.between(odd, 1, lot, "odd", lot=lot)
    missed = float(1 - given.confidence(detect))
    passed = float(given.confidence(pass_clean))
    most = 0
    while most < lot:
        if few_flags(lot, odd, lot, most, sensitivity, specificity) > missed:
            return None
        allowed = most

        def detects(n: int, allowed: int = allowed) -> bool:
            return few_flags(lot, odd, n, allowed, sensitivity, specificity) <= missed

        n = smallest(1, lot, detects)
        clean = clean_pass(n, most, specificity)
        if clean >= passed:
            seen = 1.0 - few_flags(lot, odd, n, most, sensitivity, specificity)
            return TwoSidedDesign(n, most, seen, clean)
        most += 1
    return None


def estimate(
    looked_at: int,
    flagged: int,
    sensitivity: Exact,
    specificity: Exact,
    confidence: Exact = "0.95",
) -> Estimate:
    """Rogan and Gladen: (share of flags + Sp - 1) / (Se + Sp - 1)."""
    seen, spared = given.sensitivity(sensitivity), given.specificity(specificity)
    if seen + spared <= 1:
        raise given.bad(
            "no_information", sensitivity=given.plain(seen), specificity=given.plain(spared)
        )
    each_side = (1 + given.confidence(confidence)) / 2
    slope, offset = float(seen + spared - 1), float(spared - 1)
    low = fewest_odd_share(looked_at, flagged, each_side)
    high = most_odd_share(looked_at, flagged, each_side)
    return Estimate(
        (flagged / looked_at + offset) / slope, (low + offset) / slope, (high + offset) / slope
    )


def _few_flags(drawn: Weights, n: int, most: int, sensitivity: Exact, specificity: Exact) -> float:
    seen = float(given.sensitivity(sensitivity))
    false_alarm = float(1 - given.specificity(specificity))
    total = []
    for k, weight in drawn.items():
        if weight < _TOO_RARE:
            continue
        alarms = binomial(n - k, false_alarm)
        noticed = binomial(k, seen)
        total.append(
            weight * fsum(noticed.at(i) * alarms.up_to(most - i) for i in range(min(k, most) + 1))
        )
    return min(1.0, fsum(total))
