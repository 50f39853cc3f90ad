"""No history of lots that are declared anew, units that are moved and draws opens a lot too early.

The oracle here follows plain facts: who held which lot, under whichever spelling; in which lot a
unit lay when something was found on it; what each draw was made from. The conditions are decisions
of this project (no source).
"""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field

from hypothesis import given, settings
from hypothesis import strategies as st

from inkwitness.consignment.dispositions import RELEASES, SETTLES, Act
from inkwitness.consignment.draws import Draw, first_that_counts
from inkwitness.consignment.gate import Goods, Terms, blocks
from inkwitness.consignment.lots import leaves, of_lot, parted, stays, still_declared
from inkwitness.consignment.values import LookUp, PhotoState, UnitState
from inkwitness.findings.outcome import WORST_FIRST, Outcome

ON = dt.date(2031, 3, 18)
NUMBER = "TC-84A-9981"
UNITS = ("one", "two")
#: Every spelling of a lot here, and which lot it is.
SAME = {"A310": "A310", "A-310": "A310", "a 310": "A310", "A310B": "A310B", "A311": "A311"}
#: What lots may be declared to be, with their units.
DECLARED: tuple[dict[str, int], ...] = (
    {"A310": 2, "A311": 2},
    {"A-310": 2, "A311": 2},
    {"A310": 1, "A310B": 1, "A311": 2},
    {"A311": 2},
    {"A310B": 2, "A311": 2},
    {"A310": 2, "A311": 9},
)
PLACES = ("A310/U1", "a 310/U2", "A310B/U1", "A311/U1", "A311/U2", "shelf")


@dataclass
class House:
    """What happened, as the records have it, and as plain facts beside it."""

    lots: dict[str, int] = field(default_factory=lambda: dict(DECLARED[0]))
    acts: list[Act] = field(default_factory=list)
    on_units: dict[str, list[Act]] = field(default_factory=dict)
    outcomes: dict[str, Outcome | None] = field(default_factory=dict)
    found: dict[str, str] = field(default_factory=dict)
    been: dict[str, list[str]] = field(default_factory=dict)
    lay: dict[str, str] = field(default_factory=dict)
    draws: list[tuple[Draw, str]] = field(default_factory=list)

    def state(self, name: str) -> UnitState:
        outcome = self.outcomes[name]
        basis = None if outcome is None else "confirmed"
        photo = PhotoState(name, outcome, basis)  # type: ignore[arg-type]
        place, found = self.been[name][-1], self.found.get(name, "")
        return UnitState(name, 1, (photo,), place, (NUMBER,), scheme="us-niosh", found=found)

    def goods(self) -> Goods:
        whole, on_lots = parted(self.acts)
        there, lost = still_declared(on_lots, self.lots)
        first = first_that_counts([why for _, why in self.draws])
        return Goods(
            tuple(self.state(name) for name in self.outcomes),
            whole,
            {name: tuple(acts) for name, acts in self.on_units.items()},
            tuple(draw for draw, _ in self.draws[first:]),
            sum(self.lots.values()),
            (LookUp(NUMBER, "listed_same", "Ines", ON),),
            crisis=True,
            lot_acts=there,
            lost=lost,
            sizes=dict(self.lots),
        )

    def move(self, name: str, place: str) -> None:
        """As the house does it: a unit leaves a lot only where nothing keeps it."""
        _, on_lots = parted(self.acts)
        left = leaves(self.been[name], place, [*self.lots, *on_lots])
        mine = [acts for lot, acts in on_lots.items() if SAME[lot] in left]
        if left and stays(self.state(name), self.on_units.get(name, []), mine):
            return
        # its first place is where it lay; later it takes an open outcome along to none
        if not self.open(name) or set(self.been[name]) == {"shelf"}:
            self.lay[name] = place
        self.been[name].append(place)

    def open(self, name: str) -> bool:
        """Whether something was found on a unit on which nobody decided, or it is not read."""
        outcome = self.outcomes[name]
        if outcome is None or outcome == "no_conflict_found":
            return outcome is None
        last = [act for act in self.on_units.get(name, []) if act.kind in SETTLES][-1:]
        seen = (outcome, self.found.get(name, ""))
        return not last or (last[0].outcome, last[0].found) != seen

    def stands(self, lot: str) -> set[str]:
        """Everything that must keep a lot (empty: the whole) shut, asked of the plain facts."""
        found = set()
        there = {SAME[code] for code in self.lots}
        everything = there | {SAME[act.lot] for act in self.acts if act.lot}
        watched = {"", SAME[lot], *(everything - there)} if lot else {"", *everything}
        for which in watched:
            mine = [act for act in self.acts if (SAME[act.lot] if act.lot else "") == which]
            for begins, ends, says in (
                (("hold", "hold_conflict"), "lift_hold", "a hold"),
                (("ask_holder",), "holder_answered", "an answer"),
            ):
                last = [act.kind for act in mine if act.kind in (*begins, ends)][-1:]
                found |= {says} if last and last[0] in begins else set()
        for name in self.outcomes:
            first = self.lay[name].partition("/")[0]
            its = SAME[first] if SAME.get(first) in there else ""
            if self.open(name) and (not lot or its in ("", SAME[lot])):
                found.add("an open unit of the lot")
        places = [self.been[name][-1] for name, outcome in self.outcomes.items() if outcome]
        inside = [
            place for place in places if not lot or SAME.get(place.partition("/")[0]) == SAME[lot]
        ]
        counting: list[Draw] = []
        for draw, why in self.draws:
            counting = [draw] if len(why) > 2 else [*counting, draw]
        for place in {place for draw in counting for place in draw.places}:
            its = SAME.get(place.partition("/")[0], "")
            mine_to_look_at = not lot or its not in there or its == SAME[lot]
            if mine_to_look_at and place not in places:
                found.add("a drawn unit that nobody looked at")
        needed = {lot: self.lots[lot]} if lot else self.lots
        covered = any(
            draw.size >= sum(needed.values())
            and all(
                sum(n for code, n in draw.lots.items() if SAME[code] == SAME[one]) >= size
                for one, size in needed.items()
            )
            for draw in counting
        )
        if not covered and len(inside) < sum(needed.values()):
            found.add("no draw from these goods, and not every unit looked at")
        return found


_lots = st.sampled_from(["", *SAME])
_kinds = st.sampled_from(
    ["hold", "hold_conflict", "lift_hold", "ask_holder", "holder_answered", "release", "return"]
)
_names = st.sampled_from(UNITS)
_events = st.one_of(
    st.tuples(st.just("act"), _kinds, _lots),
    st.tuples(st.just("act"), st.just("lift_hold"), _lots),
    st.tuples(st.just("act"), st.just("holder_answered"), _lots),
    st.tuples(st.just("declare"), st.sampled_from(DECLARED)),
    st.tuples(
        st.just("look"), _names, st.sampled_from(PLACES), st.sampled_from([*WORST_FIRST, None]),
        st.sampled_from(["class", "number"]),
    ),
    st.tuples(st.just("keep_in"), _names),
    st.tuples(st.just("move"), _names, st.sampled_from(PLACES)),
    st.tuples(
        st.just("draw"), st.lists(st.sampled_from(PLACES), min_size=1, max_size=3),
        st.sampled_from(["", "x", "the lots were split"]),
    ),
)  # fmt: skip


def happen(house: House, event: Sequence[object]) -> None:
    what, *about = event
    if what == "act":
        kind, lot = about
        house.acts.append(Act(kind, "Bo", "agrees", lot=str(lot)))  # type: ignore[arg-type]
    elif what == "declare":
        house.lots = dict(about[0])  # type: ignore[call-overload]
    elif what == "look":
        name, place, outcome, found = map(str, about)
        if name not in house.outcomes:
            house.been[name] = [place]
        new: Outcome | None = None if about[2] is None else outcome  # type: ignore[assignment]
        house.outcomes[name] = new
        house.found[name] = "" if new in (None, "no_conflict_found") else found
        house.lay[name] = house.been[name][-1]
    elif what == "keep_in" and about[0] in house.outcomes:
        name = str(about[0])
        act = Act("keep_in", "Bo", outcome=house.outcomes[name], found=house.found[name])
        house.on_units.setdefault(name, []).append(act)
    elif what == "move" and about[0] in house.outcomes:
        house.move(str(about[0]), str(about[1]))
    elif what == "draw":
        draw = Draw(tuple(about[0]), sum(house.lots.values()), dict(house.lots))  # type: ignore[arg-type]
        house.draws.append((draw, str(about[1])))


def looked_into(house: House) -> list[str]:
    """Try to release everything and each lot; what was open, the whole as an empty name."""
    opened = []
    goods, sizes = house.goods(), dict[str, int | None](house.lots)
    for lot in ("", *house.lots):
        alone = of_lot(goods, lot, sizes) if lot else goods
        for kind in RELEASES:
            if not blocks(alone, Terms(ON), kind=kind):
                assert house.stands(lot) == set(), (lot, kind)
                opened.append(lot)
    return opened


@settings(max_examples=400)
@given(st.lists(_events, max_size=20))
def test_no_history_opens_a_lot_while_anything_stands_against_it(
    events: list[tuple[object, ...]],
) -> None:
    house = House()
    for event in events:
        happen(house, event)
        looked_into(house)


@settings(max_examples=200)
@given(st.lists(_events, max_size=6))
def test_lots_that_are_in_order_are_open_until_something_happens(
    events: list[tuple[object, ...]],
) -> None:
    """So that the property above is not true of a gate that never opens."""
    house = House()
    for name, place in zip(UNITS, ("A310/U1", "A311/U1"), strict=True):
        happen(house, ("look", name, place, "no_conflict_found", ""))
    happen(house, ("draw", ["A310/U1", "A311/U1"], ""))
    assert set(looked_into(house)) == {"", "A310", "A311"}
    for event in events:
        happen(house, event)
        looked_into(house)


def test_a_lot_under_another_spelling_opens_and_shuts_as_itself() -> None:
    house = House()
    for name, place in zip(UNITS, ("A310/U1", "A311/U1"), strict=True):
        happen(house, ("look", name, place, "no_conflict_found", ""))
    happen(house, ("draw", ["A310/U1", "A311/U1"], ""))
    happen(house, ("declare", DECLARED[1]))
    assert set(looked_into(house)) == {"", "A-310", "A311"}
    house.acts.append(Act("hold", lot="a 310"))
    assert set(looked_into(house)) == {"A311"}
