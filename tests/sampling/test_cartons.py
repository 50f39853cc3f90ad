"""Nonconforming units in whole cartons: the chance for the design that is really used."""

from itertools import product
from math import prod

import pytest

from inkwitness.sampling.cartons import (
    CartonQuestion,
    carton_plan,
    carton_sensitivity,
    concentrated,
    notice_cartons,
    spread,
)
from inkwitness.sampling.discovery import miss, notice
from inkwitness.sampling.every_carton import (
    every_carton_n,
    every_carton_notice,
    most_nonconforming_every_carton,
)
from tests.sampling.published import rows


@pytest.mark.parametrize("row", rows("clusters"), ids=lambda row: "-".join(list(row.values())[:6]))
def test_table_of_clusters(row):
    # Computed by scipy; see tables/README.md.
    cartons, per_carton = int(row["cartons_M"]), int(row["units_per_carton_B"])
    nonconforming_cartons, opened = int(row["bad_cartons_K"]), int(row["cartons_opened_m"])
    looked_at = int(row["units_per_opened_carton_b"])
    nonconforming_inside = round(float(row["bad_fraction_inside"]) * per_carton)
    question = CartonQuestion(cartons, per_carton, nonconforming_cartons, nonconforming_inside)
    found = notice_cartons(question, opened, looked_at)
    assert row["detection_probability"] == f"{found:.6f}"
    units = opened * looked_at
    assert int(row["units_inspected"]) == units
    simple = notice(cartons * per_carton, nonconforming_cartons * nonconforming_inside, units)
    assert row["same_number_by_simple_random_sample"] == f"{simple:.6f}"


@pytest.mark.parametrize(
    ("cartons", "nonconforming_cartons", "opened"),
    # The carton is the unit: the discovery table for lots of 20, 50 and 100. Computed; 1 of 100 is
    # a tie (95 find it with 0.95 exactly), which floats turn into 96.
    [(20, 1, 19), (50, 1, 48), (100, 1, 95), (100, 2, 78), (100, 5, 45), (100, 10, 25)],
)
def test_cartons_to_open_for_95_percent(cartons, nonconforming_cartons, opened):
    plan = carton_plan(CartonQuestion(cartons, 200, nonconforming_cartons), "0.95")
    assert plan is not None
    assert (opened, 1) == (plan.opened, plan.looked_at)


def test_one_unit_from_every_carton_beats_many_from_a_few():
    question = CartonQuestion(cartons=100, per_carton=200, nonconforming_cartons=1)
    assert notice_cartons(question, 100, 1) == 1.0
    assert notice_cartons(question, 6, 50) == pytest.approx(0.06, abs=1e-12)
    few, every = concentrated(question, 300), spread(question, 300)
    assert (few.opened, few.looked_at) == (2, 150)
    assert (every.opened, every.looked_at) == (100, 3)
    assert every.chance > few.chance


@pytest.mark.parametrize("nonconforming_inside", [5, 20, 200])
@pytest.mark.parametrize("sensitivity", ["1", "0.9", "0.5"])
def test_where_a_carton_holds_several_nonconforming_units_more_cartons_notice_more(
    nonconforming_inside, sensitivity
):
    question = CartonQuestion(60, 200, 3, nonconforming_inside, sensitivity)
    chances = [notice_cartons(question, opened, 60 // opened) for opened in (1, 2, 3, 10, 30, 60)]
    assert chances == sorted(chances)


def test_a_partly_odd_carton_is_seen_less_often():
    # 40 nonconforming of 200: 5 looked at show it with 0.676, 10 with 0.899. Computed by scipy.
    assert carton_sensitivity(200, 40, 5) == pytest.approx(0.6764600717534348, abs=1e-9)
    assert carton_sensitivity(200, 40, 10) == pytest.approx(0.899, abs=5e-4)


def test_a_plan_raises_the_number_in_each_carton_only_when_all_are_opened():
    plan = carton_plan(CartonQuestion(100, 200, 5, nonconforming_inside=20), "0.95")
    assert plan is not None
    assert (plan.opened, plan.looked_at) == (96, 6)
    assert notice_cartons(CartonQuestion(100, 200, 5, 20), 100, 5) < 0.95 <= plan.chance


def test_no_carton_plan_where_every_unit_looked_at_falls_short():
    assert carton_plan(CartonQuestion(100, 1, 1, sensitivity="0.9"), "0.95") is None


def test_a_carton_plan_meets_a_tie():
    plan = carton_plan(CartonQuestion(100, 50, 1), "0.90")
    assert plan is not None
    assert (plan.opened, plan.looked_at) == (90, 1)
    assert plan.chance == pytest.approx(0.9, abs=1e-12)


@pytest.mark.parametrize(("cartons", "per_carton"), [(3, 4), (4, 3), (2, 6)])
@pytest.mark.parametrize("sensitivity", [1, 0.9, 0.3])
def test_every_carton_claims_no_more_than_the_worst_arrangement(cartons, per_carton, sensitivity):
    # Full enumeration of all ways in which the nonconforming units may lie in the cartons.
    for looked_at in range(1, per_carton + 1):
        worst: dict[int, float] = {}
        for lies in product(range(per_carton + 1), repeat=cartons):
            missed = prod(
                miss(per_carton, nonconforming, looked_at, sensitivity) for nonconforming in lies
            )
            worst[sum(lies)] = max(worst.get(sum(lies), 0.0), missed)
        for nonconforming, missed in worst.items():
            found = every_carton_notice(cartons, per_carton, nonconforming, looked_at, sensitivity)
            assert found == pytest.approx(1 - missed, abs=1e-12)


def test_every_carton_number_and_bound_invert_each_other():
    for nonconforming in (40, 397, 400, 2000):
        looked_at = every_carton_n(100, 400, nonconforming, "0.95", "0.95")
        assert looked_at is not None
        assert most_nonconforming_every_carton(100, 400, looked_at, "0.95", "0.95") < nonconforming
        if looked_at > 1:
            assert (
                most_nonconforming_every_carton(100, 400, looked_at - 1, "0.95", "0.95")
                >= nonconforming
            )


def test_every_carton_of_one_is_a_plain_sample():
    assert every_carton_n(1, 100, 1, "0.90") == 90
    assert most_nonconforming_every_carton(1, 5000, 200, "0.95") == 72
    assert every_carton_n(1, 100, 1, "0.95", "0.9") is None
