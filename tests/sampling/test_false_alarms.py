"""A check that also cries wolf: designs and estimates against published values."""

import pytest

from inkwitness.sampling.false_alarms import clean_pass, estimate, few_flags, two_sided_design
from tests.sampling.published import rows


@pytest.mark.parametrize(
    "row", rows("imperfect_two_sided"), ids=lambda row: "-".join(list(row.values())[:4])
)
def test_table_of_two_sided_designs(row):
    # Modified hypergeometric (Cameron and Baldock 1998); computed by scipy.
    design = two_sided_design(
        int(row["N"]),
        int(row["D"]),
        row["sensitivity"],
        row["specificity"],
        detect=row["target_detect"],
        pass_clean=row["target_clean_pass"],
    )
    if row["n"] == "impossible":
        assert design is None
    else:
        assert design is not None
        assert int(row["n"]) == design.n
        assert int(row["accept_at_most_flagged"]) == design.most_flags
        assert row["detect"] == f"{design.detect:.6f}"
        assert row["clean_pass"] == f"{design.clean_pass:.6f}"


def test_a_raw_flag_is_not_a_finding():
    # Specificity 0.99: a lot without odd units flags at least one of 296 with 95 %; 0.999: 26 %.
    assert 1 - clean_pass(296, 0, "0.99") == pytest.approx(0.95, abs=0.005)
    assert 1 - clean_pass(296, 0, "0.999") == pytest.approx(0.26, abs=0.005)


def test_the_chances_of_a_published_design():
    # R package epiR, surveillance vignette (read): N 5,000, D 250, Se 0.9, Sp 0.98, n 221; 9 or
    # more flags speak for odd units
    assert 1 - few_flags(5000, 250, 221, 8, "0.9", "0.98") == pytest.approx(0.9500932, abs=5e-8)
    assert clean_pass(221, 8, "0.98") == pytest.approx(0.9648964, abs=5e-8)


def test_rogan_and_gladen_may_be_negative_and_says_so():
    # R package epiR, manual (read): 6 of 151, Se 0.964, Sp 0.927: -4 %
    found = estimate(151, 6, "0.964", "0.927")
    assert found.share == pytest.approx(-0.04, abs=0.005)
    assert found.low < found.share < found.high
