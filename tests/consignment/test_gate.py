"""Release is a gate, not a button: what blocks it, each by itself. Histories: `test_histories`.

The conditions are decisions of this project; the dispositions D0 to D10 are the job map's (common
practice, no source).
"""

import datetime as dt
from dataclasses import replace
from typing import Any, get_args

import pytest

from inkwitness import phrases
from inkwitness.consignment.dispositions import (
    CODES,
    RELEASES,
    SETTLES,
    Act,
    Disposition,
    held,
    released,
    role_for,
)
from inkwitness.consignment.draws import Draw
from inkwitness.consignment.gate import Goods, Terms, agreed, blocks, evidence
from inkwitness.consignment.values import LookUp, PhotoState, UnitState
from inkwitness.findings.outcome import Outcome

ON = dt.date(2031, 3, 18)
NUMBER = "TC-84A-9981"
EN_KEY = "HALCYRA RESPIRE HR-F2 2999"
TERMS = Terms(ON, without_list=frozenset({"eu-en149"}))
LISTED = LookUp(NUMBER, "listed_same", "Ines", ON)


SAY = phrases.shipped().of("en")


def unit(
    outcome: Outcome | None = "no_conflict_found",
    *,
    id_: str = "u",
    place: str = "",
    confirmed: bool = True,
    count: int = 1,
    declared: tuple[str, ...] = (),
    keys: tuple[str, ...] = (NUMBER,),
    scheme: str = "us-niosh",
) -> UnitState:
    basis = None if outcome is None else "confirmed" if confirmed else "reading"
    photo = PhotoState(f"p-{id_}", outcome, basis)  # type: ignore[arg-type]
    return UnitState(id_, count, (photo,), place, keys, scheme=scheme, declared=declared, label=id_)


OPEN = Goods((unit(),), declared=1, look_ups=(LISTED,))


def keys(goods: Goods, terms: Terms = TERMS, **more: object) -> list[str]:
    return [one.key for one in blocks(goods, terms, **more)]  # type: ignore[arg-type]


def settled(kind: Disposition, outcome: Outcome) -> dict[str, tuple[Act, ...]]:
    return {"u": (Act(kind, "Bo", outcome=outcome),)}


def test_goods_of_which_everything_is_done_are_open() -> None:
    assert blocks(OPEN, TERMS) == ()


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        ({"units": ()}, ["nothing_looked_at", "no_plan"]),
        ({"draws": (Draw(("A/U1",), 1),)}, ["drawn_not_looked_at"]),
        ({"declared": 2}, ["no_plan"]),
        ({"declared": None}, ["no_plan"]),
        ({"declared": 2, "draws": (Draw((), 1),)}, ["plan_of_other_goods"]),
        ({"declared": 2, "draws": (Draw((), 1), Draw((), 2))}, []),
        ({"declared": None, "draws": (Draw((), 9),)}, ["plan_of_unknown"]),
        ({"declared": 2, "draws": (Draw((), 2),), "sizes": {"A": 2}}, ["plan_of_other_goods"]),
        (
            {"declared": 2, "draws": (Draw((), 2, {"A": 1}),), "sizes": {"A": 2}},
            ["plan_of_other_goods"],
        ),
        ({"declared": 2, "draws": (Draw((), 2, {"a": 2}),), "sizes": {"A": 2}}, []),
        ({"units": (unit(count=30),), "declared": 30}, ["no_plan"]),
        ({"units": (unit(), unit(None, id_="v")), "declared": 1}, ["no_plan", "not_read"]),
        ({"units": (unit(confirmed=False),)}, ["to_be_confirmed"]),
        ({"units": (unit("conflict"),)}, ["undecided_conflict"]),
        ({"units": (unit("missing"),)}, ["undecided_missing"]),
        ({"units": (unit("cannot_tell"),)}, ["undecided_cannot_tell"]),
        ({"acts": (Act("hold"),)}, ["held"]),
        ({"acts": (Act("hold_conflict"),)}, ["held"]),
        ({"acts": (Act("hold"), Act("return"))}, ["held"]),
        ({"acts": (Act("hold"), Act("destroy"))}, ["held"]),
        ({"acts": (Act("hold"), Act("lift_hold"))}, []),
        ({"unit_acts": {"u": (Act("hold"),)}}, ["unit_held"]),
        ({"acts": (Act("ask_holder"),)}, ["answer_awaited"]),
        ({"unit_acts": {"u": (Act("ask_holder"),)}}, ["answer_awaited"]),
        ({"acts": (Act("ask_holder"), Act("holder_answered", about="agrees"))}, []),
        (
            {"acts": (Act("ask_holder"), Act("holder_answered", about="differs"))},
            ["answer_differs"],
        ),
        ({"units": (unit(keys=()),)}, ["nothing_to_look_up"]),
        ({"look_ups": ()}, ["no_official_look_up"]),
        ({"look_ups": (replace(LISTED, looked_up="TC-84A-9918"),)}, ["no_official_look_up"]),
        ({"look_ups": (replace(LISTED, answer="no_answer"),)}, ["no_official_look_up"]),
        ({"look_ups": (replace(LISTED, source="certificate"),)}, ["no_official_look_up"]),
        ({"look_ups": (LISTED, replace(LISTED, answer="not_listed"))}, ["look_up_says_other"]),
        ({"look_ups": (replace(LISTED, on=ON - dt.timedelta(days=7)),)}, []),
        ({"look_ups": (replace(LISTED, on=ON - dt.timedelta(days=8)),)}, ["look_up_too_old"]),
        ({"units": (unit(declared=("loose",)),)}, ["loose"]),
        ({"units": (unit(declared=("worn",)),)}, ["worn"]),
        ({"lost": {"A310": (Act("hold"),)}}, ["lost_lot_held"]),
        ({"lost": {"A310": (Act("ask_holder"),)}}, ["answer_awaited"]),
        ({"gone": True}, ["lot_gone"]),
        ({"papers_open": ("p-expired",)}, ["papers_open"]),
        ({"papers_open": ("p-expired",), "papers": "digest"}, ["unit_papers_open"]),
    ],
)
def test_each_thing_blocks_by_itself_and_by_its_own_name(
    change: dict[str, object], expected: list[str]
) -> None:
    found = blocks(replace(OPEN, **change), TERMS)  # type: ignore[arg-type]
    assert [one.key for one in found] == expected
    for one in found:
        assert one.says(SAY).endswith(".")
        assert one.lift(SAY).endswith(".")
        assert "{" not in one.says(SAY) + one.lift(SAY)


def test_where_no_list_of_goods_is_public_a_paper_is_looked_at_for_maker_model_and_body() -> None:
    """EN 149: the public register holds bodies; Regulation (EU) 2016/425, articles 15 and 24, has
    the declaration of conformity and the body's certificate instead."""
    mask = replace(OPEN, units=(unit(keys=(EN_KEY,), scheme="eu-en149"),))
    on_list = LookUp(EN_KEY, "listed_same", "Ines", ON)
    assert keys(replace(mask, look_ups=(on_list,))) == ["no_papers_look_up"]
    for source in ("certificate", "declaration"):
        paper = replace(on_list, source=source)
        assert keys(replace(mask, look_ups=(paper,))) == []
        of_other_body = replace(paper, looked_up=EN_KEY.replace("2999", "2998"))
        assert keys(replace(mask, look_ups=(of_other_body,))) == ["no_papers_look_up"]


@pytest.mark.parametrize("outcome", ["conflict", "missing", "cannot_tell"])
@pytest.mark.parametrize("kind", sorted(SETTLES))
def test_a_persons_decision_on_the_unit_settles_the_outcome_that_it_saw(
    outcome: Outcome, kind: Disposition
) -> None:
    goods = replace(OPEN, units=(unit(outcome),))
    assert keys(replace(goods, unit_acts=settled(kind, outcome))) == []
    worse: Outcome = "missing" if outcome == "conflict" else "conflict"
    assert keys(replace(goods, unit_acts=settled(kind, worse))) == [f"undecided_{outcome}"]


@pytest.mark.parametrize("outcome", ["conflict", "missing", "cannot_tell"])
def test_a_decision_settles_what_was_found_then_and_no_other_finding_of_the_same_outcome(
    outcome: Outcome,
) -> None:
    """A decision of before, which says nothing of what was found, settles nothing."""
    goods = replace(OPEN, units=(replace(unit(outcome), found="class"),))
    kept = Act("keep_in", "Bo", outcome=outcome, found="class")
    assert keys(replace(goods, unit_acts={"u": (kept,)})) == []
    for other in (replace(kept, found="number"), replace(kept, found="")):
        assert keys(replace(goods, unit_acts={"u": (other,)})) == [f"undecided_{outcome}"]


def test_a_hold_or_a_question_on_the_unit_settles_nothing() -> None:
    goods = replace(OPEN, units=(unit("conflict"),), unit_acts=settled("laboratory", "conflict"))
    assert keys(goods) == ["undecided_conflict"]


def test_a_drawn_place_is_looked_at_only_by_a_single_unit_that_was_read() -> None:
    goods = replace(OPEN, draws=(Draw(("A/U1",), 4),))
    assert keys(replace(goods, units=(unit(place="A/U1", count=4),))) == ["drawn_not_looked_at"]
    assert keys(replace(goods, units=(unit(place="A/U1"),))) == []


def second(goods: Goods, by: str, about: Disposition = "release") -> Goods:
    act = Act("agree", by, about, evidence=evidence(goods))
    return replace(goods, acts=(*goods.acts, act))


def test_with_two_persons_another_one_agrees_to_this_and_to_what_is_known_now() -> None:
    terms = replace(TERMS, two_persons=True)
    assert keys(OPEN, terms, by="Ines") == ["second_person"]
    assert keys(second(OPEN, "Ines"), terms, by="Ines") == ["second_person"]
    both = second(OPEN, "Bo")
    assert keys(both, terms, by="Ines") == []
    assert keys(both, terms, by="Ines", kind="release_limited") == ["second_person"]
    assert keys(replace(both, units=(unit("no_conflict_found", id_="w"),)), terms, by="Ines") == [
        "second_person"
    ]
    for later in (Act("dissent", "Bo", "release"), Act("ask_holder", "Ines")):
        gone = replace(both, acts=(*both.acts, later, Act("holder_answered", about="agrees")))
        assert "second_person" in keys(gone, terms, by="Ines")


def test_an_agreement_is_not_void_for_a_look_up_of_other_goods() -> None:
    both = second(OPEN, "Bo")
    other = replace(LISTED, looked_up="TC-84A-1111")
    assert agreed(replace(both, look_ups=(*both.look_ups, other)), "release", "Ines")


@pytest.mark.parametrize(
    "change",
    [
        {"declared": 9, "draws": (Draw((), 9),)},
        {"units": (replace(OPEN.units[0], found="other"),)},
        {"unit_acts": {"u": (Act("keep_in", "Ines"),)}},
        {"lost": {"A310": (Act("hold"), Act("lift_hold"))}},
    ],
)
def test_an_agreement_ends_with_another_quantity_another_finding_and_another_decision(
    change: dict[str, Any],
) -> None:
    both = second(OPEN, "Bo")
    assert agreed(both, "release", "Ines")
    assert not agreed(replace(both, **change), "release", "Ines")


def test_who_agreed_to_limits_agreed_to_these_alone() -> None:
    two = replace(TERMS, two_persons=True)
    word = Act("agree", "Bo", "release_limited", evidence=evidence(OPEN), limits="only  Training")
    goods = replace(OPEN, acts=(replace(word, until="2031-04-30"),))

    def shut(limits: str, until: str) -> list[str]:
        return keys(goods, two, kind="release_limited", by="Ines", bounds=(limits, until))

    assert shut("only training", "2031-04-30") == []
    assert shut("all wards", "2031-04-30") == ["second_person_bounds"]
    assert shut("only training", "") == ["second_person_bounds"]
    # a word of before, without its limits, is one on no limits
    bare = replace(OPEN, acts=(replace(word, limits=""),))
    bounds = ("only training", "")
    assert keys(bare, two, kind="release_limited", by="Ines", bounds=bounds) == [
        "second_person_bounds"
    ]
    # a plain release may be narrower than what was agreed to, and never wider
    plain = second(OPEN, "Bo")
    assert keys(plain, two, by="Ines", bounds=("ward 3", "2031-04-30")) == []
    narrow = replace(OPEN, acts=(replace(word, about="release"),))
    assert keys(narrow, two, by="Ines", bounds=("", "")) == ["second_person_bounds"]


def test_a_crisis_reserve_needs_a_declared_crisis() -> None:
    assert keys(OPEN, kind="crisis_reserve") == ["no_declared_crisis"]
    assert keys(replace(OPEN, crisis=True), kind="crisis_reserve") == []
    # one that ended shuts it again: need P04
    ended = replace(OPEN, crisis_ended="2031-03-17")
    assert keys(ended, kind="crisis_reserve") == ["crisis_ended"]


def test_a_down_graded_mask_needs_no_list_but_everything_else() -> None:
    loose = replace(OPEN, units=(unit(declared=("loose",)),), look_ups=())
    assert keys(loose, kind="downgrade") == []
    worn = replace(loose, units=(unit("conflict", declared=("worn",)),))
    assert keys(worn, kind="downgrade") == ["undecided_conflict", "worn"]


@pytest.mark.parametrize(
    ("taken", "on_hold", "out"),
    [
        ([], False, ""),
        (["hold"], True, ""),
        (["hold", "ask_holder", "laboratory"], True, ""),
        (["hold", "lift_hold"], False, ""),
        (["hold", "lift_hold", "hold_conflict"], True, ""),
        (["hold", "return"], True, ""),
        (["hold", "dispose"], True, ""),
        (["hold", "hand_over", "destroy"], True, ""),
        (["release"], False, "release"),
        (["release", "hold"], True, ""),
        (["release", "hold", "lift_hold"], False, ""),
        (["release_limited", "return"], False, ""),
    ],
)
def test_only_lifting_ends_a_hold_and_a_hold_ends_a_release(
    taken: list[str], on_hold: bool, out: str
) -> None:
    assert held(taken) is on_hold
    assert released(taken) == out


def test_the_dispositions_are_the_eleven_of_the_job_map() -> None:
    assert sorted(CODES.values(), key=lambda code: int(code[1:])) == [f"D{n}" for n in range(11)]
    assert {CODES[kind] for kind in RELEASES} == {"D1", "D2", "D3", "D4"}
    assert set(CODES) <= set(get_args(Disposition))
    # job map S18: who may choose each
    screeners = {CODES[kind] for kind in CODES if role_for(kind) == "screener"}
    assert screeners == {"D0", "D5", "D6", "D10"}


@pytest.mark.parametrize("outcome", ["conflict", "missing", "cannot_tell"])
def test_an_answer_to_a_finding_settles_nothing_and_taking_one_up_opens_the_unit(
    outcome: Outcome,
) -> None:
    """An answer never releases by itself (a decision of this project): the gate goes by what was
    found, and a decision that knew a finding set aside does not hold once it is taken up."""
    answered = replace(unit(outcome), answers=1)
    aside = replace(OPEN, units=(answered,))
    assert keys(aside) == [f"undecided_{outcome}"]
    kept = {"u": (Act("keep_in", "Bo", outcome=outcome),)}
    assert keys(replace(aside, unit_acts=kept)) == []
    taken_up = replace(aside, units=(replace(answered, answers=2, taken_up=1),))
    assert keys(replace(taken_up, unit_acts=kept)) == [f"undecided_{outcome}"]
    anew = {"u": (Act("keep_in", "Bo", outcome=outcome, taken_up=1),)}
    assert keys(replace(taken_up, unit_acts=anew)) == []


def test_who_agreed_did_so_knowing_the_answers_there_were() -> None:
    two = replace(TERMS, two_persons=True)
    agree = Act("agree", "Bo", "release", evidence=evidence(OPEN))
    assert keys(replace(OPEN, acts=(agree,)), two, by="Ines") == []
    answered = replace(OPEN, units=(replace(OPEN.units[0], answers=1),), acts=(agree,))
    assert keys(answered, two, by="Ines") == ["second_person"]
