"""A check that also cries wolf: estimates against published values."""

import pytest

from inkwitness.sampling.false_alarms import estimate


def test_rogan_and_gladen_may_be_negative_and_says_so():
    # R package epiR, manual (read): 6 of 151, Se 0.964, Sp 0.927: -4 %
    found = estimate(151, 6, "0.964", "0.927")
    assert found.share == pytest.approx(-0.04, abs=0.005)
    assert found.low < found.share < found.high
