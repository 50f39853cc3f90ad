"""MIL-STD-105E (10 May 1989), Tables I, II-A, II-B and II-C, reproduced whole.

Sources and how they are known: tables/README.md.
"""

from itertools import pairwise

import pytest

from inkwitness.sampling.chance import binomial, crossing
from inkwitness.sampling.plans import (
    AQLS,
    INSPECTIONS,
    LETTERS,
    LEVELS,
    PERCENT_AQLS,
    Plan,
    code_letter,
    plan_for_lot,
    printed_cell,
    single_plan,
)
from tests.sampling.published import rows

MASTER = rows("master_single")


@pytest.mark.parametrize("row", rows("code_letters"), ids=lambda row: row["lot_min"])
def test_table_i_gives_every_code_letter_at_both_ends_of_every_lot_range(row):
    smallest, largest = int(row["lot_min"]), int(row["lot_max"] or 1_000_000_000)
    for level in LEVELS:
        assert row[level] == code_letter(smallest, level)
        assert row[level] == code_letter(largest, level)


@pytest.mark.parametrize("inspection", INSPECTIONS)
@pytest.mark.parametrize("letter", LETTERS)
def test_table_ii_gives_every_plan_of_a_letter_for_all_26_aqls(letter, inspection):
    wanted = [r for r in MASTER if (r["letter"], r["inspection"]) == (letter, inspection)]
    assert [row["aql_percent"] for row in wanted] == list(AQLS)
    for row in wanted:
        expected = Plan(letter, int(row["n"]), int(row["Ac"]), int(row["Re"]), row["plan_letter"])
        assert expected == single_plan(letter, row["aql_percent"], inspection)
        cell = printed_cell(letter, row["aql_percent"], inspection)
        assert row["cell_as_printed"] == (cell if isinstance(cell, str) else "plan")


def test_the_tables_cover_every_cell():
    assert len(MASTER) == len(LETTERS) * len(AQLS) * len(INSPECTIONS) == 1248
    assert PERCENT_AQLS[0] == "0.010"
    assert PERCENT_AQLS[-1] == "10"


def test_the_chance_of_acceptance_at_the_aql_is_that_of_the_table():
    # Computed by scipy: binomial up to AQL 10 (convention of Table X, from memory). Above it faults
    # per hundred units are counted, of which nothing is said here.
    for row in MASTER:
        n, accept, aql = int(row["n"]), int(row["Ac"]), float(row["aql_percent"])
        if aql <= 10:
            chance = binomial(n, aql / 100).up_to(accept)
            assert row["Pa_at_AQL"] == f"{chance:.6f}", row


def test_every_plan_answers_through_a_lot_of_that_letter():
    # Lots that reach the letters A, D, N and R; n never exceeds the lot.
    for row in MASTER:
        if row["aql_percent"] not in PERCENT_AQLS:
            continue
        for lot, level in ((2, "I"), (20, "III"), (100_000, "II"), (600_000, "III")):
            if code_letter(lot, level) == row["letter"]:
                plan = plan_for_lot(lot, level, row["aql_percent"], row["inspection"])
                assert plan.n == min(lot, int(row["n"]))
                assert (plan.accept, plan.reject) == (int(row["Ac"]), int(row["Re"]))


@pytest.mark.parametrize(
    ("lot", "level", "aql", "inspection", "n", "accept", "reject"),
    [
        # R package AQLSchemes, vignette, read
        (5000, "II", "1.5", "normal", 200, 7, 8),
        (5000, "II", "1.5", "tightened", 200, 5, 6),
        # Montgomery, worked example, from memory
        (2000, "II", "0.65", "normal", 125, 2, 3),
        (2000, "II", "0.65", "tightened", 125, 1, 2),
        (2000, "II", "0.65", "reduced", 50, 1, 3),
        # figure caption with ISO 2859-1:1999 plans (Jenkins, Peck and Fernando 2023), read
        (100_000, "S-3", "0.65", "normal", 20, 0, 1),
        (100_000, "S-4", "0.40", "normal", 125, 1, 2),
        # 105E: where the plan asks for more than the lot, every unit is inspected, read
        (10, "II", "0.65", "normal", 10, 0, 1),
    ],
)
def test_worked_examples(lot, level, aql, inspection, n, accept, reject):
    plan = plan_for_lot(lot, level, aql, inspection)
    assert (n, accept, reject) == (plan.n, plan.accept, plan.reject)


def test_the_code_letter_stays_that_of_the_lot_when_an_arrow_leads_elsewhere():
    plan = plan_for_lot(100_000, "S-4", "0.40")
    assert (plan.letter, plan.plan_letter) == ("J", "K")


def test_an_aql_may_be_written_in_any_way_that_names_the_same_number():
    expected = plan_for_lot(5000, "II", "1.0")
    assert expected == plan_for_lot(5000, "II", "1")
    assert expected == plan_for_lot(5000, "II", "1.0 %")
    assert expected == plan_for_lot(5000, "II", 1.0)
    # as a percentage of a percentage 1 % would be AQL 0.010
    assert plan_for_lot(5000, "II", "0.010") != expected


@pytest.mark.parametrize("inspection", INSPECTIONS)
def test_acceptance_numbers_never_fall_along_a_row_or_down_a_column(inspection):
    for letter in LETTERS:
        accepts = [single_plan(letter, aql, inspection).accept for aql in AQLS]
        assert all(left <= right for left, right in pairwise(accepts))
    for aql in AQLS:
        accepts = [single_plan(letter, aql, inspection).accept for letter in LETTERS]
        assert all(above <= below for above, below in pairwise(accepts))


@pytest.mark.parametrize("inspection", ["normal", "tightened"])
def test_outside_reduced_inspection_nothing_lies_between_acceptance_and_rejection(inspection):
    for letter in LETTERS:
        for aql in AQLS:
            plan = single_plan(letter, aql, inspection)
            assert plan.reject == plan.accept + 1


def test_tightened_inspection_never_accepts_more_than_normal():
    # Structure of a switching scheme; common practice, no clause.
    for letter in LETTERS:
        for aql in PERCENT_AQLS:
            normal, tight = single_plan(letter, aql), single_plan(letter, aql, "tightened")
            for times in (0.5, 1, 2, 4, 8):
                p = min(1.0, times * float(aql) / 100)
                accepted = binomial(normal.n, p).up_to(normal.accept)
                assert binomial(tight.n, p).up_to(tight.accept) <= accepted + 1e-12


def quality_at(n: int, accept: int, chance: float) -> float:
    """Nonconforming share of a process at which P(at most `accept` of `n`) is `chance`."""
    return crossing(lambda p: binomial(n, p).up_to(accept), chance, 0.0, 1.0)


COLUMNS = ("99", "95", "90", "75", "50", "25", "10", "5", "1")


@pytest.mark.parametrize("row", rows("oc_levels"), ids=lambda r: f"{r['letter']}-{r['Ac']}")
def test_quality_at_nine_chances_of_acceptance(row):
    n, accept = int(row["n"]), int(row["Ac"])
    for column in COLUMNS:
        chance = int(column) / 100
        assert row[f"pct_at_Pa_{column}"] == f"{100 * quality_at(n, accept, chance):.5g}"


def test_limiting_quality_falls_as_the_sample_grows():
    for aql in PERCENT_AQLS:
        plans = {single_plan(letter, aql) for letter in LETTERS}
        sizes = sorted({(plan.n, plan.accept) for plan in plans})
        limits = [quality_at(n, accept, 0.10) for n, accept in sizes]
        assert all(left >= right for left, right in pairwise(limits))
