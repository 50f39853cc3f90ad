"""No path of events releases goods while anything stands against it: random histories.

Histories have outcomes that turn, other findings of one outcome, quantities that change, draws that
are added and draws that take the place of others, limits, two persons. The oracle here asks plain
facts one by one. The conditions are decisions of this project (no source).
"""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any, get_args

from hypothesis import given, settings
from hypothesis import strategies as st

from inkwitness.consignment.dispositions import (
    NEED_LIMITS,
    NEED_SECOND,
    OUT,
    RELEASES,
    SETTLES,
    Act,
    Disposition,
    held,
)
from inkwitness.consignment.draws import Draw, first_that_counts
from inkwitness.consignment.gate import Goods, blocks, evidence
from inkwitness.consignment.values import LookUp
from inkwitness.findings.outcome import WORST_FIRST, Outcome
from tests.consignment.test_gate import LISTED, NUMBER, ON, TERMS, unit

PEOPLE = ("Ines", "Bo", "Samira")
PLACES = ("A/U1", "A/U2", "A/U3")
#: Limits that are agreed to, and others that a releaser writes.
BOUNDS = (("only training", ""), ("all wards", ""))


@dataclass
class Log:
    """What happened, told twice: as goods for the gate, and as plain facts for the oracle here."""

    outcomes: dict[str, Outcome | None] = field(default_factory=dict)
    confirmed: dict[str, bool] = field(default_factory=dict)
    words: dict[str, tuple[str, ...]] = field(default_factory=dict)
    acts: list[Act] = field(default_factory=list)
    on_units: dict[str, list[Act]] = field(default_factory=dict)
    draws: list[tuple[list[str], int, str]] = field(default_factory=list)
    look_ups: list[LookUp] = field(default_factory=list)
    found: dict[str, str] = field(default_factory=dict)
    declared: int = len(PLACES)
    agreed: list[tuple[str, object, object, object]] = field(default_factory=list)

    def counting(self) -> list[tuple[list[str], int]]:
        """Draws that count: a reason of three letters ends those before it."""
        there: list[tuple[list[str], int]] = []
        for places, size, why in self.draws:
            there = [(places, size)] if len(why) > 2 else [*there, (places, size)]
        return there

    @property
    def drawn(self) -> set[str]:
        return {place for places, _ in self.counting() for place in places}

    def known(self) -> object:
        """All that a second person could have seen, as plain facts."""
        return (
            sorted(self.outcomes.items()),
            sorted(self.confirmed.items()),
            sorted(one for one in self.found.items() if one[0] in self.outcomes),
            sorted((place, len(acts)) for place, acts in self.on_units.items()),
            sorted(self.drawn),
            self.declared,
            len(self.look_ups),
        )

    def goods(self) -> Goods:
        units = tuple(
            replace(
                unit(
                    outcome,
                    id_=place,
                    place=place,
                    confirmed=self.confirmed.get(place, False),
                    declared=self.words.get(place, ()),
                ),
                found=self.found.get(place, ""),
            )
            for place, outcome in self.outcomes.items()
        )
        return Goods(
            units,
            tuple(self.acts),
            {place: tuple(acts) for place, acts in self.on_units.items()},
            tuple(
                Draw(tuple(places), size)
                for places, size, _ in self.draws[first_that_counts([d[2] for d in self.draws]) :]
            ),
            self.declared,
            tuple(self.look_ups),
        )

    def stands(self, by: str, kind: Disposition, bounds: object = None) -> set[str]:
        """Everything that the issue says must block, asked of the plain facts one by one."""
        found = set()
        if any(self.outcomes.get(place) is None for place in self.drawn):
            found.add("a drawn unit is not looked at")
        there = max(self.declared, len(self.outcomes))
        covered = any(size >= there for _, size in self.counting())
        if not covered and len([o for o in self.outcomes.values() if o]) < there:
            found.add("no plan of all of them, and not every unit looked at")
        for place, outcome in self.outcomes.items():
            if outcome in ("conflict", "missing", "cannot_tell"):
                last = [act for act in self.on_units.get(place, []) if act.kind in SETTLES][-1:]
                seen = self.found.get(place, "")
                if not last or (last[0].outcome, last[0].found) != (outcome, seen):
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
        now = self.known()
        if not any(
            other != by and about == kind and known == now and bounds in (None, seen)
            for other, about, seen, known in self.agreed
        ):
            found.add("no second person who saw this")
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
    st.tuples(st.just("other"), st.sampled_from(PLACES), st.sampled_from(["class", "number"])),
    st.tuples(st.just("declare"), st.integers(1, 6)),
    st.tuples(
        st.just("draw"), st.lists(st.sampled_from(PLACES), min_size=1, max_size=3),
        st.integers(1, 6), st.sampled_from(["", "", "x", "the lots were split"]),
    ),
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
            act = replace(act, found=log.found.get(str(place), ""))
            log.on_units.setdefault(place, []).append(act)
    elif what == "other":
        log.found[str(about[0])] = str(about[1])
    elif what == "declare":
        log.declared = int(str(about[0]))
    elif what == "draw":
        log.draws.append(tuple(about))  # type: ignore[arg-type]
    elif what == "look_up":
        days, answer = about
        on = ON - dt.timedelta(days=days)  # type: ignore[arg-type]
        log.look_ups.append(LookUp(NUMBER, str(answer), "Ines", on))
    elif what == "agree":
        act = Act("agree", str(about[1]), str(about[0]), evidence=evidence(log.goods()))
        bounds = BOUNDS[0] if about[0] in NEED_LIMITS else ("", "")
        log.acts.append(replace(act, limits=bounds[0], until=bounds[1]))
        log.agreed.append((str(about[1]), about[0], bounds, log.known()))
    else:
        attempt(log, about[0], str(about[1]), BOUNDS[len(log.acts) % 2])  # type: ignore[arg-type]


def attempt(log: Log, kind: Disposition, by: str, bounds: Any = None) -> bool:
    terms = replace(TERMS, two_persons=True)
    bounds = bounds if kind in NEED_LIMITS else None
    goods = replace(log.goods(), crisis=True)
    if blocks(goods, terms, kind=kind, by=by, bounds=bounds):
        return False
    assert log.stands(by, kind, bounds) == set()
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
        draws=[(list(PLACES), len(PLACES), "")],
        look_ups=[LISTED],
    )
    log.acts.append(Act("agree", "Bo", "release", evidence=evidence(log.goods())))
    log.agreed.append(("Bo", "release", ("", ""), log.known()))
    assert attempt(log, "release", "Ines")
    for event in events:
        happen(log, event)
    attempt(log, "release", "Ines")


@given(st.lists(_kinds, max_size=12))
def test_returning_and_destroying_never_end_a_hold(taken: list[Disposition]) -> None:
    without_ways_out = [kind for kind in taken if kind not in OUT]
    assert held(taken) == held(without_ways_out)
