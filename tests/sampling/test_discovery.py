"""Discovery samples: the tables, the published values, and the pitfalls of floats."""

import pytest

from inkwitness.sampling.bounds import most_nonconforming
from inkwitness.sampling.discovery import (
    discovery_n,
    discovery_n_process,
    miss,
    nonconforming_units,
    notice,
)
from tests.sampling.published import (
    cannon_roe,
    imperfect_shortcut,
    percent_of,
    poisson_rule,
    rows,
)

# Computed by scipy and by exact integers, two ways that agree; see tables/README.md.
DISCOVERY = rows("discovery")
IMPERFECT = rows("imperfect_discovery")


def _case(row: dict[str, str]) -> str:
    return "-".join(row[key] for key in ("N", "prevalence", "confidence"))


@pytest.mark.parametrize("row", [row for row in DISCOVERY if row["N"] != "infinite"], ids=_case)
def test_discovery_table(row):
    lot, nonconforming = int(row["N"]), nonconforming_units(int(row["N"]), row["prevalence"])
    n = discovery_n(lot, nonconforming, row["confidence"])
    assert int(row["D"]) == nonconforming
    assert int(row["n_exact"]) == n
    assert row["achieved"] == f"{notice(lot, nonconforming, n):.6f}"
    left = most_nonconforming(lot, n, 0, row["confidence"])
    assert row["claim_if_none_found"] == f"at most {left} bad units of {lot}"
    assert left < nonconforming


@pytest.mark.parametrize("row", DISCOVERY, ids=_case)
def test_discovery_without_a_lot_and_the_published_shortcuts(row):
    share, confidence = row["prevalence"], row["confidence"]
    process = discovery_n_process(share, confidence)
    assert int(row["n_binomial"]) == process
    assert int(row["n_poisson_rule"]) == poisson_rule(float(share), float(confidence)) >= process
    if row["N"] == "infinite":
        assert int(row["n_exact"]) == process
        assert row["achieved"] == f"{1 - (1 - float(share)) ** process:.6f}"
    else:
        lot, nonconforming = int(row["N"]), int(row["D"])
        shortcut = cannon_roe(lot, nonconforming, float(confidence))
        assert abs(int(row["n_cannon_roe"]) - shortcut) < 1
        # Cannon and Roe (1982) is an approximation: near the exact number, never the answer.
        exact = discovery_n(lot, nonconforming, confidence)
        assert exact is not None
        assert abs(exact - shortcut) < 3


@pytest.mark.parametrize("row", IMPERFECT, ids=lambda row: f"{_case(row)}-{row['sensitivity']}")
def test_discovery_table_for_a_check_that_misses(row):
    lot, nonconforming = int(row["N"]), int(row["D"])
    n = discovery_n(lot, nonconforming, row["confidence"], row["sensitivity"])
    assert row["n_exact"] == ("impossible" if n is None else str(n))
    share = row["prevalence"]
    assert int(row["n_infinite"]) == discovery_n_process(
        share, row["confidence"], row["sensitivity"]
    )
    shortcut = imperfect_shortcut(
        lot, nonconforming, float(row["confidence"]), float(row["sensitivity"])
    )
    assert row["n_approx_N/Se"] == ("exceeds N" if shortcut > lot else str(shortcut))


ISPM = [row for row in rows("published_comparison") if row["source"].startswith("ISPM 31")]


@pytest.mark.parametrize("row", ISPM, ids=lambda row: row["inputs"])
def test_ispm_31_appendix_table(row):
    # ISPM 31, appendix, 95 %; remembered. It rounds the number of nonconforming units down.
    size, share = row["inputs"].split()
    lot = int(size.removeprefix("N="))
    nonconforming = max(1, int(lot * percent_of(share.removeprefix("p="))))
    assert int(row["published"]) == discovery_n(lot, nonconforming, "0.95")


AUDIT = [row for row in rows("published_comparison") if row["source"].startswith("Audit")]


@pytest.mark.parametrize("row", AUDIT, ids=lambda row: row["inputs"])
def test_audit_sampling_guide(row):
    # 5 % risk, no deviation expected, large population; remembered.
    share = percent_of(row["inputs"].removeprefix("p="))
    assert int(row["published"]) == discovery_n_process(share, "0.95")


def test_cannon_and_roe_workbook_page():
    # N 1,600, 1 %, 99 %: 399; read on a workbook page.
    assert discovery_n(1600, nonconforming_units(1600, "0.01"), "0.99") == 399


def test_food_microbiology_plans_reach_their_purpose():
    # Two-class plans with c = 0: n = 60, 30, 15, 5 find 5, 10, 20, 50 % with 95 %; remembered.
    for n, share in ((60, "0.05"), (30, "0.1"), (15, "0.2"), (5, "0.5")):
        assert discovery_n_process(share, "0.95") <= n


def test_a_share_of_a_lot_is_counted_exactly():
    assert 100 * 0.07 > 7  # what floats make of it
    assert nonconforming_units(100, 0.07) == 7
    assert nonconforming_units(100, "7 %") == 7
    assert nonconforming_units(300, "0.005") == 2
    assert nonconforming_units(50, "0.001") == 1


def test_a_tie_counts_as_reached():
    # 90 of 100 find one unit with probability 0.90 exactly; 1 - 0.90 in floats asks for 91.
    assert discovery_n(100, 1, "0.90") == 90
    assert discovery_n(100, 1, 0.9) == 90
    assert discovery_n(1000, 1, "0.95") == 950
    # one nonconforming unit, sensitivity 0.9: all 100 looked at give 0.90 exactly
    assert discovery_n(100, 1, "0.90", "0.9") == 100


def test_no_sample_size_can_do_it_is_an_answer_of_its_own():
    assert discovery_n(100, 1, "0.95", "0.9") is None
    assert notice(100, 1, 100, "0.9") == pytest.approx(0.9, abs=1e-12)


def test_nothing_is_missed_in_a_whole_lot_by_a_check_that_misses_nothing():
    assert miss(100, 1, 100) == 0.0
    assert miss(1000, 1, 750) == pytest.approx(0.25, abs=1e-12)


def test_a_lot_of_one_is_looked_at():
    assert discovery_n(1, 1, "0.95") == 1
