"""What a sample excludes: the table, a full enumeration of small lots, published intervals."""

from fractions import Fraction
from math import comb

import pytest

from inkwitness.sampling.bounds import (
    fewest_nonconforming,
    fewest_nonconforming_share,
    most_nonconforming,
    most_nonconforming_share,
)
from tests.sampling.published import rows


@pytest.mark.parametrize(
    "row", rows("bounds"), ids=lambda r: "-".join((r["N"], r["n"], r["x"], r["confidence"]))
)
def test_table_of_bounds(row):
    # Computed by scipy and by exact integers; see tables/README.md.
    n, differed, confidence = int(row["n"]), int(row["x"]), row["confidence"]
    if row["N"] == "infinite":
        assert row["upper_fraction"] == f"{most_nonconforming_share(n, differed, confidence):.6f}"
        return
    lot = int(row["N"])
    most = most_nonconforming(lot, n, differed, confidence)
    assert int(row["upper_bad_units"]) == most
    assert row["upper_fraction"] == f"{most / lot:.6f}"
    assert int(row["lower_bad_units"]) == fewest_nonconforming(lot, n, differed, confidence)


@pytest.mark.parametrize(("lot", "n"), [(12, 5), (30, 7)])
@pytest.mark.parametrize("confidence", ["0.9", "0.95"])
def test_both_bounds_hold_as_often_as_they_say_for_every_number_of_nonconforming_units(
    lot, n, confidence
):
    # Full enumeration: the definition of a confidence bound (Neyman 1937).
    for nonconforming in range(lot + 1):
        upper_holds = lower_holds = Fraction(0)
        for x in range(max(0, n - lot + nonconforming), min(n, nonconforming) + 1):
            chance = Fraction(
                comb(nonconforming, x) * comb(lot - nonconforming, n - x), comb(lot, n)
            )
            upper_holds += chance * (most_nonconforming(lot, n, x, confidence) >= nonconforming)
            lower_holds += chance * (fewest_nonconforming(lot, n, x, confidence) <= nonconforming)
        assert upper_holds >= Fraction(confidence)
        assert lower_holds >= Fraction(confidence)


def test_the_bound_is_the_largest_number_that_is_not_excluded():
    # 3 of 10 from 50, 97.5 % on each side. R package samplingbook prints 4 to 32, which are the
    # first excluded values: P(X <= 3 | 32) = 0.0176, P(X >= 3 | 4) = 0.0218.
    assert most_nonconforming(50, 10, 3, "0.975") == 31
    assert fewest_nonconforming(50, 10, 3, "0.975") == 5


def test_a_whole_lot_looked_at_leaves_nothing_open():
    assert most_nonconforming(60, 60, 0, "0.95") == 0
    assert (fewest_nonconforming(60, 60, 4, "0.95"), most_nonconforming(60, 60, 4, "0.95")) == (
        4,
        4,
    )


def test_a_check_that_misses_leaves_something_open_even_then():
    # (1 - 0.5)^4 = 0.0625 is above 0.05, (1 - 0.5)^5 is not
    assert most_nonconforming(60, 60, 0, "0.95", "0.5") == 4


def test_a_tie_is_excluded():
    # 90 of 100, none nonconforming: P(none | 1) = 0.1 exactly, not above 1 - 0.9
    assert most_nonconforming(100, 90, 0, "0.9") == 0
    assert most_nonconforming(100, 89, 0, "0.9") == 1


def test_a_process_bound_with_misses_is_that_of_what_is_noticed_divided_by_the_sensitivity():
    seen = most_nonconforming_share(100, 2, "0.95")
    assert most_nonconforming_share(100, 2, "0.95", "0.8") == pytest.approx(seen / 0.8, rel=1e-12)
    assert most_nonconforming_share(3, 3, "0.95", "0.8") == 1.0
    assert fewest_nonconforming_share(10, 0, "0.95") == 0.0
    # all of n differ: Clopper and Pearson (1934) give (1 - C)^(1/n)
    assert fewest_nonconforming_share(10, 10, "0.95") == pytest.approx(0.05**0.1, rel=1e-12)
