"""Hypergeometric and binomial chances, in floats that are exact where it matters.

A distribution is built from its mode outwards by the ratio of neighbours and then normalised: no
logarithm of a factorial loses digits, and a term is right to about 1e-13 of itself. Whether a
chance lies above a limit is decided by `exceeds`, which turns to rationals when floats are too
near to the limit to say.
"""

from collections.abc import Callable
from fractions import Fraction
from math import comb, floor, fsum, perm
from operator import mul

# Terms below this part of the largest one are left out; no limit that can be asked for is near it.
_SMALLEST = 1e-60
_LOG_SMALLEST = 139.0
_NEAR = 1e-9


class Weights:
    """Probabilities of `start, start + 1, ...`; outside them the probability is 0."""

    __slots__ = ("probabilities", "start")

    def __init__(self, start: int, probabilities: list[float]) -> None:
        self.start = start
        self.probabilities = probabilities

    def at(self, k: int) -> float:
        """P(X = k)."""
        i = k - self.start
        return self.probabilities[i] if 0 <= i < len(self.probabilities) else 0.0

    def up_to(self, k: int) -> float:
        """P(X <= k)."""
        i = k - self.start + 1
        if i <= 0:
            return 0.0
        return 1.0 if i >= len(self.probabilities) else min(1.0, fsum(self.probabilities[:i]))

    def items(self) -> list[tuple[int, float]]:
        """Pairs of k and P(X = k)."""
        return list(enumerate(self.probabilities, self.start))


def _from_mode(mode: int, low: int, high: float, step: Callable[[int], float]) -> Weights:
    """Weights whose neighbours stand as `step(k)` = P(k + 1) / P(k)."""
    above: list[float] = []
    k, weight = mode, 1.0
    while k < high:
        weight *= step(k)
        if weight < _SMALLEST:
            break
        above.append(weight)
        k += 1
    below: list[float] = []
    k, weight = mode, 1.0
    while k > low:
        weight /= step(k - 1)
        if weight < _SMALLEST:
            break
        below.append(weight)
        k -= 1
    weights = [*reversed(below), 1.0, *above]
    total = fsum(weights)
    return Weights(mode - len(below), [weight / total for weight in weights])


def hypergeometric(lot: int, nonconforming: int, n: int) -> Weights:
    """How many of the `nonconforming` in `lot` are among `n` drawn without replacement."""
    low, high = max(0, n - (lot - nonconforming)), min(n, nonconforming)
    mode = min(max((n + 1) * (nonconforming + 1) // (lot + 2), low), high)
    rest = lot - nonconforming - n + 1
    return _from_mode(
        mode, low, high, lambda k: (nonconforming - k) * (n - k) / ((k + 1) * (rest + k))
    )


def binomial(n: int, p: float) -> Weights:
    """Events in `n` independent trials of chance `p`."""
    if p <= 0.0 or n == 0:
        return Weights(0, [1.0])
    if p >= 1.0:
        return Weights(n, [1.0])
    mode = min(floor((n + 1) * p), n)
    odds = p / (1.0 - p)
    return _from_mode(mode, 0, n, lambda k: (n - k) / (k + 1) * odds)


def none_drawn(lot: int, nonconforming: int, n: int) -> float:
    """P(none among `n`): a product of min(nonconforming, n) factors, 0 where it is below 1e-60."""
    few, many = min(nonconforming, n), max(nonconforming, n)
    if few > lot - many:
        return 0.0
    product = 1.0
    for i in range(few):
        product *= (lot - many - i) / (lot - i)
        if product < _SMALLEST:
            return 0.0
    return product


def none_drawn_exact(lot: int, nonconforming: int, n: int) -> Fraction:
    """`none_drawn` as a rational."""
    few, many = min(nonconforming, n), max(nonconforming, n)
    return Fraction(perm(lot - many, few), perm(lot, few)) if few <= lot - many else Fraction(0)


def at_most_seen(lot: int, nonconforming: int, n: int, most: int, sensitivity: float) -> float:
    """P(at most `most` are noticed) when each one drawn is noticed with `sensitivity`."""
    expected = n * nonconforming / lot * sensitivity
    # Chernoff: P(X <= x) < exp(-(mean - x)^2 / (2 mean)), for draws without replacement too.
    if expected > most and (expected - most) ** 2 > 2 * expected * _LOG_SMALLEST:
        return 0.0
    if sensitivity >= 1.0:
        if most == 0:
            return none_drawn(lot, nonconforming, n)
        return hypergeometric(lot, nonconforming, n).up_to(most)
    drawn = hypergeometric(lot, nonconforming, n)
    if most == 0:
        return fsum(weight * (1.0 - sensitivity) ** k for k, weight in drawn.items())
    few = _few_noticed(drawn.start, len(drawn.probabilities), most, sensitivity)
    return min(1.0, fsum(map(mul, drawn.probabilities, few)))


def _few_noticed(low: int, count: int, most: int, p: float) -> list[float]:
    """P(at most `most` events in k trials) for k = low, low + 1, ...

    From k + 1 trials to k the chance grows by p P(`most` events in k): sums of positive terms,
    which lose no digits.
    """
    high = low + count - 1
    first = max(low, most)
    if high <= most:
        return [1.0] * count
    anchor = min(max(first, floor(most / p)), high)
    exactly = {anchor: binomial(anchor, p).at(most)}
    for k in range(anchor, high):
        exactly[k + 1] = exactly[k] * (k + 1) / (k + 1 - most) * (1.0 - p)
    for k in range(anchor, first, -1):
        exactly[k - 1] = exactly[k] * (k - most) / (k * (1.0 - p))
    chance = binomial(high, p).up_to(most)
    chances = [chance]
    for k in range(high - 1, first - 1, -1):
        chance += p * exactly[k]
        chances.append(chance)
    chances.extend([1.0] * (first - low))
    return chances[::-1]


def at_most_seen_exact(
    lot: int, nonconforming: int, n: int, most: int, sensitivity: Fraction
) -> Fraction:
    """`at_most_seen` as a rational; the cost grows with min(nonconforming, n)."""
    few, many = min(nonconforming, n), max(nonconforming, n)
    seen, whole = sensitivity.numerator, sensitivity.denominator
    total = 0
    for k in range(max(0, few - (lot - many)), few + 1):
        # P(at most `most` of k are noticed), times whole ** k
        noticed = sum(
            comb(k, i) * seen**i * (whole - seen) ** (k - i) for i in range(min(k, most) + 1)
        )
        total += comb(many, k) * comb(lot - many, few - k) * noticed * whole ** (few - k)
    return Fraction(total, comb(lot, few) * whole**few)


def exceeds(
    value: float, limit: Fraction, exactly: Callable[[], Fraction], *, tie_counts: bool = False
) -> bool:
    """Whether `value`, a float near the rational that `exactly` computes, lies above `limit`.

    With `tie_counts` a value equal to the limit counts as above.
    """
    bound = float(limit)
    if abs(value - bound) > _NEAR * bound:
        return value > bound
    rational = exactly()
    return rational >= limit if tie_counts else rational > limit


def smallest(low: int, high: int, holds: Callable[[int], bool]) -> int:
    """Smallest whole number in `low..high` for which `holds`, known to hold at `high`."""
    while low < high:
        middle = (low + high) // 2
        if holds(middle):
            high = middle
        else:
            low = middle + 1
    return low


def crossing(falling: Callable[[float], float], level: float, low: float, high: float) -> float:
    """Where a falling function meets `level`, to the last float between `low` and `high`."""
    while True:
        middle = (low + high) / 2
        if middle in (low, high):
            return middle
        if falling(middle) > level:
            low = middle
        else:
            high = middle
