"""What must hold for every lot: the direction in which each answer moves, and inverses."""

from hypothesis import assume, given
from hypothesis import strategies as st

from inkwitness.sampling.bounds import fewest_nonconforming, most_nonconforming
from inkwitness.sampling.discovery import discovery_n, discovery_n_process, miss

CONFIDENCES = ("0.5", "0.8", "0.9", "0.95", "0.99", "0.999")
SENSITIVITIES = ("1", "0.98", "0.9", "0.5")

lots = st.integers(2, 5000)
confidences = st.sampled_from(CONFIDENCES)
sensitivities = st.sampled_from(SENSITIVITIES)


def _size(n: int | None, lot: int) -> int:
    """No sample size can do it: more than any lot."""
    return lot + 1 if n is None else n


@st.composite
def _odd_lots(draw: st.DrawFn) -> tuple[int, int]:
    lot = draw(lots)
    return lot, draw(st.integers(1, lot))


@given(_odd_lots(), confidences, sensitivities)
def test_a_larger_lot_with_as_many_nonconforming_units_never_needs_fewer(
    case, confidence, sensitivity
):
    lot, nonconforming = case
    here = discovery_n(lot, nonconforming, confidence, sensitivity)
    there = discovery_n(lot + 1, nonconforming, confidence, sensitivity)
    # "impossible" depends on the nonconforming units alone, not on the lot
    assert (here is None) == (there is None)
    if here is not None and there is not None:
        assert here <= there


@given(_odd_lots(), confidences, sensitivities)
def test_more_nonconforming_units_never_need_more(case, confidence, sensitivity):
    lot, nonconforming = case
    assume(nonconforming < lot)
    fewer = discovery_n(lot, nonconforming, confidence, sensitivity)
    more = discovery_n(lot, nonconforming + 1, confidence, sensitivity)
    assert _size(more, lot) <= _size(fewer, lot)


@given(_odd_lots(), sensitivities)
def test_more_confidence_never_needs_fewer(case, sensitivity):
    lot, nonconforming = case
    sizes = [_size(discovery_n(lot, nonconforming, c, sensitivity), lot) for c in CONFIDENCES]
    assert sizes == sorted(sizes)


@given(_odd_lots(), confidences)
def test_a_better_check_never_needs_more(case, confidence):
    lot, nonconforming = case
    sizes = [_size(discovery_n(lot, nonconforming, confidence, se), lot) for se in SENSITIVITIES]
    assert sizes == sorted(sizes)


@given(_odd_lots(), confidences, sensitivities)
def test_discovery_and_bound_invert_each_other(case, confidence, sensitivity):
    lot, nonconforming = case
    n = discovery_n(lot, nonconforming, confidence, sensitivity)
    if n is None:
        assert most_nonconforming(lot, lot, 0, confidence, sensitivity) >= nonconforming
        return
    # a sample of n without a difference excludes `nonconforming`, one unit fewer does not
    assert most_nonconforming(lot, n, 0, confidence, sensitivity) < nonconforming
    if n > 1:
        assert most_nonconforming(lot, n - 1, 0, confidence, sensitivity) >= nonconforming


@given(lots, st.data(), confidences, sensitivities)
def test_bound_and_discovery_invert_each_other(lot, data, confidence, sensitivity):
    n = data.draw(st.integers(1, lot))
    left = most_nonconforming(lot, n, 0, confidence, sensitivity)
    if left > 0:
        assert _size(discovery_n(lot, left, confidence, sensitivity), lot) > n
    if left < lot:
        needed = discovery_n(lot, left + 1, confidence, sensitivity)
        assert needed is not None
        assert needed <= n


@given(st.integers(2, 2000), st.data(), confidences, sensitivities)
def test_bounds_enclose_what_was_seen_and_move_with_it(lot, data, confidence, sensitivity):
    n = data.draw(st.integers(1, lot))
    x = data.draw(st.integers(0, n))
    least = fewest_nonconforming(lot, n, x, confidence, sensitivity)
    most = most_nonconforming(lot, n, x, confidence, sensitivity)
    assert x <= most <= lot
    assert x <= least
    if confidence != "0.5":
        assert least <= most
    if x < n:
        assert most <= most_nonconforming(lot, n, x + 1, confidence, sensitivity)
        assert least <= fewest_nonconforming(lot, n, x + 1, confidence, sensitivity)


@given(_odd_lots(), confidences, sensitivities)
def test_a_lot_never_needs_more_than_a_process(case, confidence, sensitivity):
    from fractions import Fraction

    lot, nonconforming = case
    n = discovery_n(lot, nonconforming, confidence, sensitivity)
    endless = discovery_n_process(Fraction(nonconforming, lot), confidence, sensitivity)
    if n is not None:
        assert n <= endless


@given(_odd_lots(), st.data(), sensitivities)
def test_a_larger_sample_never_misses_more(case, data, sensitivity):
    lot, nonconforming = case
    n = data.draw(st.integers(1, lot - 1))
    assert (
        miss(lot, nonconforming, n + 1, sensitivity)
        <= miss(lot, nonconforming, n, sensitivity) + 1e-15
    )
