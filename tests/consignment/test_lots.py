"""A lot of a consignment, decided on by itself: no path releases it while anything stands.

The conditions are decisions of this project (no source): a hold on the whole holds every lot.
"""

import datetime as dt
from dataclasses import replace
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inkwitness import phrases
from inkwitness.consignment.dispositions import RELEASES, Act, Disposition, held
from inkwitness.consignment.draws import Draw
from inkwitness.consignment.gate import Goods, Terms, blocks, evidence
from inkwitness.consignment.lots import (
    leaves,
    lot_of,
    of_lot,
    parted,
    released_lot,
    stays,
    still_declared,
)
from inkwitness.consignment.values import LookUp, PhotoState, UnitState
from inkwitness.findings.outcome import Outcome

ON = dt.date(2031, 3, 18)
NUMBER = "TC-84A-9981"
TERMS = Terms(ON)
LISTED = LookUp(NUMBER, "listed_same", "Ines", ON)
DECLARED = {"A310": 2, "A311": 2}
SIZES: dict[str, int | None] = {**DECLARED}
ASKED = ("ask_holder", "holder_answered")
SAY = phrases.shipped().of("en")


def unit(place: str, outcome: Outcome = "no_conflict_found") -> UnitState:
    photo = PhotoState(f"p-{place}", outcome, "confirmed")
    return UnitState(place, 1, (photo,), place, (NUMBER,), scheme="us-niosh")


def goods(*units: UnitState, acts: tuple[Act, ...] = ()) -> Goods:
    whole, on_lots = parted(acts)
    there, lost = still_declared(on_lots, SIZES)
    draw = Draw(tuple(one.place for one in units), 4, {"A310": 2, "A311": 2})
    return Goods(
        units, whole, {}, (draw,), 4, (LISTED,), lot_acts=there, lost=lost, sizes={**DECLARED}
    )


BOTH = (unit("A310/U1"), unit("A311/U1"))


def keys(found: Goods, lot: str = "", terms: Terms = TERMS) -> list[str]:
    return [one.key for one in blocks(of_lot(found, lot, SIZES) if lot else found, terms)]


def test_a_lot_waits_for_its_own_units_alone() -> None:
    found = goods(BOTH[0], unit("A311/U1", "conflict"))
    assert keys(found, "A310") == []
    assert keys(found, "A311") == ["undecided_conflict"]
    assert keys(found) == ["undecided_conflict"]


def test_a_unit_of_which_no_lot_is_known_stands_in_the_way_of_each() -> None:
    found = goods(*BOTH, unit("C005/U02", "missing"))
    assert keys(found, "A310") == keys(found, "A311") == ["undecided_missing"]


def test_a_lot_of_which_nothing_was_drawn_has_no_plan() -> None:
    assert keys(goods(BOTH[0]), "A311") == ["nothing_looked_at", "no_plan"]


@pytest.mark.parametrize("kind", ["hold", "hold_conflict"])
def test_a_hold_on_the_whole_holds_every_lot_and_one_on_a_lot_the_whole(
    kind: Disposition,
) -> None:
    whole = goods(*BOTH, acts=(Act(kind), Act("lift_hold", lot="A310")))
    assert keys(whole, "A310") == keys(whole, "A311") == ["held_whole"]
    one = goods(*BOTH, acts=(Act(kind, lot="A310"), Act("lift_hold")))
    assert keys(one, "A310") == ["held"]
    assert keys(one, "A311") == []
    assert keys(one) == ["lot_held"]
    for refusal in (*blocks(one, TERMS), *blocks(of_lot(whole, "A310", SIZES), TERMS)):
        assert refusal.says(SAY).endswith(".")
        assert refusal.lift(SAY).endswith(".")


def test_an_answer_awaited_for_the_whole_is_awaited_for_each_lot() -> None:
    asked = goods(*BOTH, acts=(Act("ask_holder"), Act("holder_answered", lot="A310")))
    assert keys(asked, "A310") == keys(asked, "A311") == ["answer_awaited"]


def test_who_agreed_to_the_whole_did_not_agree_to_a_lot_nor_the_other_way() -> None:
    two = replace(TERMS, two_persons=True)
    plain = goods(*BOTH)
    whole = Act("agree", "Bo", "release", evidence=evidence(plain))
    lot = replace(whole, lot="A310", evidence=evidence(of_lot(plain, "A310", SIZES)))
    found = goods(*BOTH, acts=(whole,))
    assert (keys(found, terms=two), keys(found, "A310", two)) == ([], ["second_person"])
    found = goods(*BOTH, acts=(lot,))
    assert (keys(found, "A310", two), keys(found, "A311", two)) == ([], ["second_person"])
    assert keys(found, terms=two) == ["second_person"]
    # a hold on the whole since, lifted again, takes the word on the lot away
    lifted = goods(*BOTH, acts=(lot, Act("hold"), Act("lift_hold")))
    assert keys(lifted, "A310", two) == ["second_person"]


@pytest.mark.parametrize(
    ("place", "lot"), [("A310/C1/U1", "A310"), ("a 310/U1", "A310"), ("C1/U1", ""), ("", "")]
)
def test_the_lot_of_a_place_is_its_first_part(place: str, lot: str) -> None:
    assert lot_of(place, ["A310", "A311"]) == lot


@pytest.mark.parametrize("written", ["A-310", "a 310", "A310"])
def test_a_lot_written_otherwise_is_the_same_lot_with_all_that_was_decided_on_it(
    written: str,
) -> None:
    acts = (Act("hold", lot="A310"), Act("ask_holder", lot="a-310"))
    found = goods(*BOTH, acts=acts)
    sizes: dict[str, int | None] = {written: 2, "A311": 2}
    shut = [one.key for one in blocks(of_lot(found, written, sizes), TERMS)]
    assert shut == ["held", "answer_awaited"]
    assert released_lot((Act("release", lot="A310"), Act("hold", lot="A-310")), written) == ""


def test_what_was_decided_on_a_lot_that_was_split_holds_every_lot_until_it_is_ended_there() -> None:
    acts = (Act("hold", lot="A310"),)
    sizes: dict[str, int | None] = {"A310a": 1, "A310b": 1, "A311": 2}
    whole, on_lots = parted(acts)
    there, lost = still_declared(on_lots, sizes)
    assert (there, list(lost)) == ({}, ["A310"])
    draw = Draw(("A310a/U1", "A310b/U1", "A311/U1"), 4, {"A310a": 1, "A310b": 1, "A311": 2})
    units = tuple(unit(place) for place in draw.places)
    found = Goods(units, whole, {}, (draw,), 4, (LISTED,), lost=lost)
    for lot in sizes:
        shut = [one.key for one in blocks(of_lot(found, lot, sizes), TERMS)]
        assert shut == ["lost_lot_held"]
    assert [one.key for one in blocks(found, TERMS)] == ["lost_lot_held"]
    # of the lot of before itself nothing is released, and its hold can be lifted
    before = of_lot(found, "A310", sizes)
    assert {"lot_gone", "held"} <= {one.key for one in blocks(before, TERMS)}
    assert before.acts == acts
    lifted = replace(found, lost={"A310": (*acts, Act("lift_hold", lot="A310"))})
    assert blocks(of_lot(lifted, "A311", sizes), TERMS) == ()


def test_a_unit_of_no_known_lot_is_not_one_of_those_of_a_lot_that_were_looked_at() -> None:
    found = replace(goods(unit("A310/U1"), unit("shelf 3")), draws=())
    assert keys(found, "A310") == ["no_plan"]
    both = replace(goods(unit("A310/U1"), unit("A310/U2"), unit("shelf 3")), draws=())
    assert keys(both, "A310") == []


def test_a_draw_of_fewer_than_there_are_now_in_the_lot_does_not_cover_it() -> None:
    sizes: dict[str, int | None] = {"A310": 3, "A311": 1}
    shut = [one.key for one in blocks(of_lot(goods(*BOTH), "A310", sizes), TERMS)]
    assert shut == ["plan_of_other_goods"]
    assert blocks(of_lot(goods(*BOTH), "A311", sizes), TERMS) == ()


@pytest.mark.parametrize(
    ("been", "place", "left"),
    [
        (["A310/U1"], "A310/U2", set()),
        (["A310/U1"], "a-310/U2", set()),
        (["A310/U1"], "A311/U2", {"A310"}),
        (["A310/U1"], "torn", set()),
        (["torn"], "A310/U1", set()),
        # by way of no place at all it leaves the lot all the same
        (["A310/U1", "torn"], "A311/U1", {"A310"}),
        # lots may be declared once units lie apart
        (["A999/U1"], "A310/U1", {"A999"}),
    ],
)
def test_a_unit_leaves_the_lots_that_its_places_named(
    been: list[str], place: str, left: set[str]
) -> None:
    assert leaves(been, place, ["A310", "A311"]) == left


def test_a_unit_stays_while_its_goods_are_held_or_asked_about_or_it_is_open_itself() -> None:
    fine, odd = unit("A310/U1"), replace(unit("A310/U1", "conflict"), found="class")
    assert stays(fine, (), [()]) == ""
    assert stays(fine, (), [(), (Act("hold"),)]) == "held"
    assert stays(fine, (), [(Act("ask_holder"),)]) == "asked"
    assert stays(fine, (), [(Act("holder_answered", about="differs"),)]) == "asked"
    assert stays(replace(fine, photos=(PhotoState("p", None, None),)), (), []) == "unread"
    assert stays(replace(fine, photos=()), (), []) == "unread"
    assert stays(odd, (), []) == "undecided"
    kept = Act("keep_in", outcome="conflict", found="class")
    assert stays(odd, (kept,), []) == ""
    assert stays(odd, (replace(kept, found="number"),), []) == "undecided"


_acts = st.builds(
    Act,
    st.sampled_from(sorted(set(get_args(Disposition)) - {"agree", "dispose"})),
    st.just("Bo"),
    st.sampled_from(["agrees", "differs"]),
    lot=st.sampled_from(["", "A310", "A311"]),
)
_outcomes = st.sampled_from(["no_conflict_found", "conflict", "missing", "cannot_tell"])


@settings(max_examples=200)
@given(st.lists(_acts, max_size=12), _outcomes, _outcomes, st.sampled_from(["A310/U1", "U1"]))
def test_no_history_opens_a_lot_while_a_hold_a_question_or_an_open_outcome_stands(
    acts: list[Act], first: Outcome, second: Outcome, place: str
) -> None:
    found = goods(unit(place, first), unit("A311/U1", second), acts=tuple(acts))
    for lot, outcomes in (
        ("A310", {first}),
        ("A311", {second} | ({first} if place == "U1" else set())),
    ):
        mine = [act for act in acts if act.lot in ("", lot)]
        waiting = {
            which: [
                a.kind
                for a in acts
                if a.lot == which and a.kind in ("ask_holder", "holder_answered")
            ]
            for which in ("", lot)
        }
        stands = (
            held([act.kind for act in acts if not act.lot])
            or held([act.kind for act in acts if act.lot == lot])
            or any(kinds and kinds[-1] == "ask_holder" for kinds in waiting.values())
            or outcomes != {"no_conflict_found"}
        )
        for kind in RELEASES:
            shut = blocks(of_lot(replace(found, crisis=True), lot, SIZES), TERMS, kind=kind)
            assert shut or not stands
        if released_lot(acts, lot):
            assert any(act.kind in RELEASES for act in mine)
    if not blocks(replace(found, crisis=True), TERMS):
        assert not any(held([a.kind for a in acts if a.lot == lot]) for lot in ("", *SIZES))
