"""Many units together: the worst is the outcome, groups stay out of the sample, no score."""

import itertools

import pytest

from inkwitness.check.values import Basis
from inkwitness.consignment.roll_up import roll_up
from inkwitness.consignment.values import PhotoState, UnitState, worst
from inkwitness.findings.outcome import WORST_FIRST, Outcome

NUMBER = "TC-84A-9981"


def unit(
    outcome: Outcome | None,
    basis: Basis | None = "confirmed",
    *,
    count: int = 1,
    place: str = "",
) -> UnitState:
    photo = PhotoState("p", outcome, basis if outcome else None)
    return UnitState("u", count, (photo,), place, (NUMBER,))


@pytest.mark.parametrize("pair", list(itertools.combinations(WORST_FIRST, 2)))
def test_the_worst_outcome_is_the_outcome(pair: tuple[Outcome, Outcome]) -> None:
    assert worst(pair) == worst(pair[::-1]) == pair[0]


def test_nothing_looked_at_has_no_outcome() -> None:
    assert worst([None, None]) is None
    assert roll_up([]).outcome is None
    assert roll_up([unit(None)]).by_outcome == {"not_looked_at": 1}


def test_one_conflict_among_many_is_the_outcome_of_all() -> None:
    counted = roll_up([unit("no_conflict_found")] * 999 + [unit("conflict")])
    assert counted.outcome == "conflict"
    assert counted.by_outcome == {"no_conflict_found": 999, "conflict": 1}


def test_a_group_counts_once_as_a_group_and_its_count_as_pieces() -> None:
    counted = roll_up([unit("missing", count=30), unit("missing")])
    assert (counted.units, counted.groups, counted.pieces) == (1, 1, 31)
    assert counted.pieces_by_outcome == {"missing": 31}
    assert counted.looked_at == 1


def test_a_drawn_place_counts_once_and_only_for_a_single_unit_that_was_read() -> None:
    drawn = ["A", "B", "C", "D"]
    members = [
        unit("no_conflict_found", place="A"),
        unit("no_conflict_found", place="A"),
        unit("conflict", place="B"),
        unit("no_conflict_found", place="C", count=2),
        unit(None, place="D"),
        unit("no_conflict_found", place="elsewhere"),
    ]
    counted = roll_up(members, drawn)
    assert (counted.drawn, counted.drawn_looked_at, counted.drawn_differed) == (4, 2, 1)


def test_a_unit_is_confirmed_only_when_each_photo_is() -> None:
    both = (PhotoState("a", "missing", "confirmed"), PhotoState("b", "missing", "reading"))
    assert UnitState("u", 1, both).basis == "reading"
    assert UnitState("u", 1, both[:1]).basis == "confirmed"
    assert UnitState("u", 1, ()).basis is None
