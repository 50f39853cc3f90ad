"""The same number of units from every carton: what it shows wherever the nonconforming units lie.

Such a draw can be made without a list of units, opens every carton and so sees each carton that is
nonconforming throughout. It is no simple random sample: it misses most when such units lie evenly
over the cartons, because the chance of missing those of one carton is log-concave in their
number. That worst case is computed here, so the claim holds for every arrangement.

All cartons hold the same number of units. Where a lot does not divide evenly, they are taken to be
as full as the fullest: more units that agree only make nonconforming ones harder to find.

>>> every_carton_n(cartons=100, per_carton=400, nonconforming=400, confidence="0.95")
3
>>> round(every_carton_notice(cartons=100, per_carton=400, nonconforming=400, looked_at=3), 4)
0.9513
>>> most_nonconforming_every_carton(cartons=100, per_carton=400, looked_at=3, confidence="0.95")
396
"""

from fractions import Fraction

from inkwitness.sampling import arguments as given
from inkwitness.sampling.arguments import Exact
from inkwitness.sampling.chance import at_most_seen, at_most_seen_exact, exceeds, smallest


def every_carton_notice(
    cartons: int, per_carton: int, nonconforming: int, looked_at: int, sensitivity: Exact = 1
) -> float:
    """P(at least one noticed), at its lowest over all ways they may lie in the cartons."""
    _checked(cartons, per_carton, looked_at)
    given.between(
        nonconforming, 0, cartons * per_carton, "sample_nonconforming", lot=cartons * per_carton
    )
    return 1.0 - _missed(
        cartons, per_carton, nonconforming, looked_at, given.sensitivity(sensitivity)
    )


def every_carton_n(
    cartons: int, per_carton: int, nonconforming: int, confidence: Exact, sensitivity: Exact = 1
) -> int | None:
    """Fewest units to look at in every carton, or None where all of them fall short."""
    _checked(cartons, per_carton, 1)
    given.between(
        nonconforming, 1, cartons * per_carton, "sample_nonconforming", lot=cartons * per_carton
    )
    seen, allowed = given.sensitivity(sensitivity), 1 - given.confidence(confidence)

    def enough(looked_at: int) -> bool:
        return not _misses_too_often(cartons, per_carton, nonconforming, looked_at, seen, allowed)

    return smallest(1, per_carton, enough) if enough(per_carton) else None


def most_nonconforming_every_carton(
    cartons: int, per_carton: int, looked_at: int, confidence: Exact, sensitivity: Exact = 1
) -> int:
    """Most nonconforming units that may be there when `looked_at` in every carton showed none."""
    _checked(cartons, per_carton, looked_at)
    seen, allowed = given.sensitivity(sensitivity), 1 - given.confidence(confidence)
    lot = cartons * per_carton

    def excluded(nonconforming: int) -> bool:
        return not _misses_too_often(cartons, per_carton, nonconforming, looked_at, seen, allowed)

    return smallest(0, lot, excluded) - 1 if excluded(lot) else lot


def _missed(
    cartons: int, per_carton: int, nonconforming: int, looked_at: int, seen: Fraction
) -> float:
    in_each, with_one_more = divmod(nonconforming, cartons)
    missed = at_most_seen(per_carton, in_each, looked_at, 0, float(seen))
    if not with_one_more:
        return missed**cartons
    more = at_most_seen(per_carton, in_each + 1, looked_at, 0, float(seen))
    return float(missed ** (cartons - with_one_more) * more**with_one_more)


def _misses_too_often(
    cartons: int,
    per_carton: int,
    nonconforming: int,
    looked_at: int,
    seen: Fraction,
    allowed: Fraction,
) -> bool:
    def exactly() -> Fraction:
        in_each, with_one_more = divmod(nonconforming, cartons)
        missed = at_most_seen_exact(per_carton, in_each, looked_at, 0, seen)
        if not with_one_more:
            return Fraction(missed**cartons)
        more = at_most_seen_exact(per_carton, in_each + 1, looked_at, 0, seen)
        return Fraction(missed ** (cartons - with_one_more) * more**with_one_more)

    return exceeds(_missed(cartons, per_carton, nonconforming, looked_at, seen), allowed, exactly)


def _checked(cartons: int, per_carton: int, looked_at: int) -> None:
    given.between(cartons, 1, given.LARGEST_LOT, "sample_cartons")
    given.between(per_carton, 1, given.LARGEST_LOT, "sample_per_carton")
    given.lot_size(cartons * per_carton)
    given.between(looked_at, 1, per_carton, "sample_looked_in_carton", per_carton=per_carton)
