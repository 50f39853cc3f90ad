"""A check whose flags are not confirmed one by one: it misses some and cries wolf at others.

The recommended design confirms every flag, which leaves misses only (`discovery`). Where that
cannot be done, the estimator of Rogan and Gladen (1978) corrects a share of flags for both error
rates.
"""

from dataclasses import dataclass

from inkwitness.errors import BadInput
from inkwitness.sampling import arguments as given
from inkwitness.sampling.arguments import Exact
from inkwitness.sampling.bounds import fewest_nonconforming_share, most_nonconforming_share


@dataclass(frozen=True, slots=True)
class Estimate:
    """Nonconforming share behind flags. `share` may be negative: fewer flags than false alarms.

    `low` and `high` carry the Clopper-Pearson ends through the same map, `confidence` two-sided.
    """

    share: float
    low: float
    high: float


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
        raise BadInput(
            "sample_no_information", sensitivity=given.plain(seen), specificity=given.plain(spared)
        )
    each_side = (1 + given.confidence(confidence)) / 2
    slope, offset = float(seen + spared - 1), float(spared - 1)
    low = fewest_nonconforming_share(looked_at, flagged, each_side)
    high = most_nonconforming_share(looked_at, flagged, each_side)
    return Estimate(
        (flagged / looked_at + offset) / slope, (low + offset) / slope, (high + offset) / slope
    )
