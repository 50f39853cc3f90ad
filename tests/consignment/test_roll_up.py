"""Many units together: the worst is the outcome, groups stay out of the sample, no score."""

import itertools

import pytest

from inkwitness.check.contract import Basis, Outcome
from inkwitness.consignment.release import held, refusals
from inkwitness.consignment.roll_up import roll_up
from inkwitness.consignment.values import LookUp, PhotoState, UnitState, worst
from inkwitness.findings.outcome import WORST_FIRST

NUMBER = "TC-84A-9981"
ANSWERED = LookUp(NUMBER, "listed: Vexholm Filtration Works, VX-910, N95", "Ines", "2031-03-18")


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


def test_nothing_stands_in_the_way_of_confirmed_units_that_were_looked_up() -> None:
    assert refusals([unit("no_conflict_found")] * 3, [ANSWERED]) == ()


@pytest.mark.parametrize(
    ("members", "look_ups", "keys"),
    [
        ([], [ANSWERED], ["nothing_looked_at"]),
        ([unit("conflict")], [ANSWERED], ["conflict"]),
        ([unit("no_conflict_found"), unit(None)], [ANSWERED], ["not_read"]),
        ([unit("no_conflict_found", "reading")], [ANSWERED], ["to_be_confirmed"]),
        ([unit("no_conflict_found")], [], ["no_official_look_up"]),
        ([unit("no_conflict_found")], [LookUp(NUMBER, "", "I", "")], ["no_official_look_up"]),
        (
            [unit("no_conflict_found")],
            [LookUp("TC-84A-9918", "listed", "I", "")],
            ["no_official_look_up"],
        ),
    ],
)
def test_each_thing_in_the_way_is_named(
    members: list[UnitState], look_ups: list[LookUp], keys: list[str]
) -> None:
    assert [refusal.key for refusal in refusals(members, look_ups)] == keys


def test_a_unit_without_anything_to_look_up_is_not_released_on_anothers_look_up() -> None:
    photo = PhotoState("p", "no_conflict_found", "confirmed")
    nameless = UnitState("u", 1, (photo,))
    found = refusals([unit("no_conflict_found"), nameless], [ANSWERED])
    assert [refusal.key for refusal in found] == ["nothing_to_look_up"]


def test_the_number_that_was_not_looked_up_is_named() -> None:
    (refusal,) = refusals([unit("no_conflict_found")], [LookUp("TC-84A-9918", "x", "I", "")])
    assert NUMBER in refusal.says


@pytest.mark.parametrize(
    ("taken", "on_hold"),
    [
        ([], False),
        (["hold"], True),
        (["hold", "ask_holder", "laboratory"], True),
        (["hold", "lift_hold"], False),
        (["hold", "lift_hold", "hold"], True),
        (["hold", "return"], False),
    ],
)
def test_a_hold_stays_until_a_person_lifts_it(taken: list[str], on_hold: bool) -> None:
    assert held(taken) is on_hold
