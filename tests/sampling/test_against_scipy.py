"""scipy agrees within 1e-9, for arguments of every size."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from inkwitness.sampling.bounds import fewest_nonconforming_share, most_nonconforming_share
from inkwitness.sampling.chance import (
    at_most_seen,
    at_most_seen_exact,
    binomial,
    crossing,
    hypergeometric,
    none_drawn,
)
from inkwitness.sampling.discovery import miss


@st.composite
def _lots(draw: st.DrawFn, largest: int = 100_000) -> tuple[int, int, int]:
    lot = draw(st.integers(1, largest))
    return lot, draw(st.integers(0, lot)), draw(st.integers(1, min(lot, 5000)))


@settings(max_examples=300)
@given(_lots(), st.integers(0, 50))
def test_hypergeometric(case, most):
    lot, nonconforming, n = case
    expected = stats.hypergeom(lot, nonconforming, n)
    assert hypergeometric(lot, nonconforming, n).up_to(most) == pytest.approx(
        expected.cdf(most), abs=1e-9
    )
    assert hypergeometric(lot, nonconforming, n).at(most) == pytest.approx(
        expected.pmf(most), abs=1e-9
    )
    assert none_drawn(lot, nonconforming, n) == pytest.approx(expected.pmf(0), abs=1e-9)
    assert miss(lot, nonconforming, n) == none_drawn(lot, nonconforming, n)


@settings(max_examples=150)
@given(_lots(3000), st.integers(0, 20), st.sampled_from([0.3, 0.5, 0.9, 0.95, 0.99]))
def test_a_check_that_misses(case, most, sensitivity):
    lot, nonconforming, n = case
    drawn = stats.hypergeom(lot, nonconforming, n)
    low, high = max(0, n - lot + nonconforming), min(n, nonconforming)
    k = range(low, high + 1)
    expected = float((drawn.pmf(k) * stats.binom.cdf(most, k, sensitivity)).sum())
    assert at_most_seen(lot, nonconforming, n, most, sensitivity) == pytest.approx(
        expected, abs=1e-9
    )


@settings(max_examples=150)
@given(_lots(120), st.integers(0, 6), st.sampled_from(["1", "0.9", "0.5"]))
def test_floats_agree_with_exact_rationals(case, most, sensitivity):
    from fractions import Fraction

    lot, nonconforming, n = case
    exactly = at_most_seen_exact(lot, nonconforming, n, most, Fraction(sensitivity))
    found = at_most_seen(lot, nonconforming, n, most, float(sensitivity))
    assert found == pytest.approx(float(exactly), rel=1e-11, abs=1e-59)


@settings(max_examples=200)
@given(st.integers(1, 5000), st.floats(0, 1), st.integers(0, 60))
def test_binomial(n, p, most):
    assert binomial(n, p).up_to(most) == pytest.approx(stats.binom.cdf(most, n, p), abs=1e-9)


@settings(max_examples=200)
@given(st.integers(1, 3000), st.data(), st.sampled_from(["0.9", "0.95", "0.975", "0.99"]))
def test_clopper_and_pearson(n, data, confidence):
    x, level = data.draw(st.integers(0, n)), float(confidence)
    upper = 1.0 if x == n else stats.beta.ppf(level, x + 1, n - x)
    lower = 0.0 if x == 0 else stats.beta.ppf(1 - level, x, n - x + 1)
    assert most_nonconforming_share(n, x, confidence) == pytest.approx(upper, abs=1e-9)
    assert fewest_nonconforming_share(n, x, confidence) == pytest.approx(lower, abs=1e-9)


@settings(max_examples=150)
@given(st.integers(1, 3000), st.data(), st.floats(0.001, 0.999))
def test_quality_at_a_chance_of_acceptance(n, data, chance):
    accept = data.draw(st.integers(0, min(n - 1, 50)))
    expected = stats.beta.ppf(1 - chance, accept + 1, n - accept)
    share = crossing(lambda p: binomial(n, p).up_to(accept), chance, 0.0, 1.0)
    assert share == pytest.approx(expected, abs=1e-9)
