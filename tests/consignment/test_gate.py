"""Release is a gate, not a button: what blocks it, each by itself, and over random histories.

The conditions are decisions of this project; the dispositions D0 to D10 are the job map's (common
practice, no source).
"""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inkwitness import phrases
from inkwitness.consignment.dispositions import (
    CODES,
    NEED_SECOND,
    OUT,
    RELEASES,
    SETTLES,
    Act,
    Disposition,
    held,
    released,
    role_for,
)
from inkwitness.consignment.gate import Goods, Terms, agreed, blocks, evidence
from inkwitness.consignment.values import LookUp, PhotoState, UnitState
from inkwitness.findings.outcome import WORST_FIRST, Outcome

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
        ({"drawn": ("A/U1",), "has_plan": True}, ["drawn_not_looked_at"]),
        ({"declared": 2}, ["no_plan"]),
        ({"declared": None}, ["no_plan"]),
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


def test_a_hold_or_a_question_on_the_unit_settles_nothing() -> None:
    goods = replace(OPEN, units=(unit("conflict"),), unit_acts=settled("laboratory", "conflict"))
    assert keys(goods) == ["undecided_conflict"]


def test_a_drawn_place_is_looked_at_only_by_a_single_unit_that_was_read() -> None:
    goods = replace(OPEN, drawn=("A/U1",), has_plan=True)
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


def test_a_crisis_reserve_needs_a_declared_crisis() -> None:
    assert keys(OPEN, kind="crisis_reserve") == ["no_declared_crisis"]
    assert keys(replace(OPEN, crisis=True), kind="crisis_reserve") == []


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


# -- random histories ------------------------------------------------------------------------

PEOPLE = ("Ines", "Bo", "Samira")
PLACES = ("A/U1", "A/U2", "A/U3")


@dataclass
class Log:
    """What happened, told twice: as goods for the gate, and as plain facts for the oracle here."""

    outcomes: dict[str, Outcome | None] = field(default_factory=dict)
    confirmed: dict[str, bool] = field(default_factory=dict)
    words: dict[str, tuple[str, ...]] = field(default_factory=dict)
    acts: list[Act] = field(default_factory=list)
    on_units: dict[str, list[Act]] = field(default_factory=dict)
    drawn: list[str] = field(default_factory=list)
    look_ups: list[LookUp] = field(default_factory=list)

    def goods(self) -> Goods:
        units = tuple(
            unit(
                outcome,
                id_=place,
                place=place,
                confirmed=self.confirmed.get(place, False),
                declared=self.words.get(place, ()),
            )
            for place, outcome in self.outcomes.items()
        )
        return Goods(
            units,
            tuple(self.acts),
            {place: tuple(acts) for place, acts in self.on_units.items()},
            tuple(self.drawn),
            bool(self.drawn),
            len(PLACES),
            tuple(self.look_ups),
        )

    def stands(self, by: str, kind: Disposition) -> set[str]:
        """Everything that the issue says must block, asked of the plain facts one by one."""
        found = set()
        if any(self.outcomes.get(place) is None for place in self.drawn):
            found.add("a drawn unit is not looked at")
        if not self.drawn and len([o for o in self.outcomes.values() if o]) < len(PLACES):
            found.add("no plan, and not every unit looked at")
        for place, outcome in self.outcomes.items():
            if outcome in ("conflict", "missing", "cannot_tell"):
                last = [act for act in self.on_units.get(place, []) if act.kind in SETTLES][-1:]
                if not last or last[0].outcome != outcome:
                    found.add("an open outcome without a decision")
            if outcome is not None and not self.confirmed.get(place, False):
                found.add("a basis is reading")
            if "worn" in self.words.get(place, ()):
                found.add("worn")
            if "loose" in self.words.get(place, ()) and kind != "downgrade":
                found.add("loose")
        for acts in (self.acts, *self.on_units.values()):
            holding = False
            waiting = False
            for act in acts:
                holding = act.kind in ("hold", "hold_conflict") or (
                    holding and act.kind != "lift_hold"
                )
                waiting = act.kind == "ask_holder" or (waiting and act.kind != "holder_answered")
            found |= ({"a hold"} if holding else set()) | ({"an answer"} if waiting else set())
        good = [
            one.answer == "listed_same" and (ON - one.on).days <= 7
            for one in sorted(self.look_ups, key=lambda one: one.on)
        ]
        if kind != "downgrade" and not (good and good[-1]):
            found.add("not looked up, too long ago, or it said something else")
        if not {act.by for act in self.acts if act.kind == "agree" and act.about == kind} - {by}:
            found.add("no second person")
        return found


_kinds = st.sampled_from(sorted(set(get_args(Disposition)) - RELEASES - {"agree", "dispose"}))
_events = st.one_of(
    st.tuples(
        st.just("look"), st.sampled_from(PLACES), st.sampled_from([*WORST_FIRST, None]),
        st.booleans(),
    ),
    st.tuples(
        st.just("look"), st.sampled_from(PLACES), st.just("no_conflict_found"), st.just(True)
    ),
    st.tuples(st.just("word"), st.sampled_from(PLACES), st.sampled_from(["loose", "worn"])),
    st.tuples(st.just("act"), _kinds, st.sampled_from(PEOPLE)),
    st.tuples(st.just("act"), st.just("lift_hold"), st.sampled_from(PEOPLE)),
    st.tuples(st.just("on"), st.sampled_from(PLACES), _kinds, st.sampled_from(PEOPLE)),
    st.tuples(st.just("draw"), st.lists(st.sampled_from(PLACES), min_size=1, max_size=3)),
    st.tuples(
        st.just("look_up"), st.integers(0, 9), st.sampled_from(["listed_same", "not_listed"])
    ),
    st.tuples(st.just("look_up"), st.just(0), st.just("listed_same")),
    st.tuples(st.just("agree"), st.sampled_from(sorted(NEED_SECOND)), st.sampled_from(PEOPLE)),
    st.tuples(st.just("release"), st.sampled_from(sorted(RELEASES)), st.sampled_from(PEOPLE)),
)  # fmt: skip


def happen(log: Log, event: Sequence[object]) -> None:
    """One event; a release that the gate lets through must have nothing standing against it."""
    what, *about = event
    if what == "look":
        place, outcome, confirmed = about
        log.outcomes[place] = outcome  # type: ignore[index,assignment]
        log.confirmed[place] = bool(confirmed)  # type: ignore[index]
    elif what == "word":
        log.words[about[0]] = (about[1],)  # type: ignore[index,assignment]
    elif what == "act":
        log.acts.append(Act(about[0], str(about[1]), "agrees"))  # type: ignore[arg-type]
    elif what == "on":
        place, kind, by = about
        if place in log.outcomes:
            act = Act(kind, str(by), "agrees", log.outcomes[place])  # type: ignore[arg-type]
            log.on_units.setdefault(place, []).append(act)
    elif what == "draw":
        log.drawn += about[0]  # type: ignore[arg-type]
    elif what == "look_up":
        days, answer = about
        on = ON - dt.timedelta(days=days)  # type: ignore[arg-type]
        log.look_ups.append(LookUp(NUMBER, str(answer), "Ines", on))
    elif what == "agree":
        act = Act("agree", str(about[1]), str(about[0]), evidence=evidence(log.goods()))
        log.acts.append(act)
    else:
        attempt(log, about[0], str(about[1]))  # type: ignore[arg-type]


def attempt(log: Log, kind: Disposition, by: str) -> bool:
    terms = replace(TERMS, two_persons=True)
    if blocks(replace(log.goods(), crisis=True), terms, kind=kind, by=by):
        return False
    assert log.stands(by, kind) == set()
    log.acts.append(Act(kind, by))
    return True


@settings(max_examples=300)
@given(st.lists(_events, max_size=25), st.data())
def test_no_path_of_events_releases_while_anything_stands(
    events: list[tuple[object, ...]], data: st.DataObject
) -> None:
    log = Log()
    for event in events:
        happen(log, event)
    for kind in sorted(RELEASES):
        attempt(log, kind, data.draw(st.sampled_from(PEOPLE)))


@settings(max_examples=300)
@given(st.lists(_events, max_size=6))
def test_a_history_that_puts_everything_in_order_is_open_until_something_happens(
    events: list[tuple[object, ...]],
) -> None:
    """So that the property above is not true of a gate that never opens."""
    log = Log(
        outcomes=dict.fromkeys(PLACES, "no_conflict_found"),
        confirmed=dict.fromkeys(PLACES, True),
        drawn=list(PLACES),
        look_ups=[LISTED],
    )
    log.acts.append(Act("agree", "Bo", "release", evidence=evidence(log.goods())))
    assert attempt(log, "release", "Ines")
    for event in events:
        happen(log, event)
    attempt(log, "release", "Ines")


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


@given(st.lists(_kinds, max_size=12))
def test_returning_and_destroying_never_end_a_hold(taken: list[Disposition]) -> None:
    without_ways_out = [kind for kind in taken if kind not in OUT]
    assert held(taken) == held(without_ways_out)
