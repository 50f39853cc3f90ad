"""Stock is a fold of movements: no piece is lost or made, whatever was moved where."""

import datetime as dt
from collections import Counter

from hypothesis import given
from hypothesis import strategies as st

from inkwitness.consignment.stock import (
    LEAVES,
    Movement,
    MovementKind,
    Standing,
    counted,
    has,
    lies_at,
    may_go_as,
    status,
    stops,
)

DAY = dt.date(2031, 3, 18)
GOODS, LOT = "goods", "A310"


def move(kind: MovementKind, pieces: int = 0, **more: object) -> Movement:
    told: dict[str, object] = {
        "id": "m",
        "goods": GOODS,
        "lot": LOT,
        "carton": "",
        "place": "",
        "to_place": "",
        "recipient": "",
        "recall": "",
        "on": DAY,
        **more,
    }
    return Movement(kind=kind, pieces=pieces, **told)  # type: ignore[arg-type]


IN_STORE = [
    move("received", 400, place="store"),
    move("moved", 100, place="store", to_place="ward shelf"),
    move("handed_out", 120, place="store", recipient="Ward 3"),
    move("handed_out", 30, place="ward shelf", recipient="Ward 4"),
]


def test_pieces_are_counted_by_place_and_by_recipient() -> None:
    """400 received, 100 moved on, 120 and 30 handed out."""
    now = counted(IN_STORE)
    assert lies_at(now, GOODS, LOT, "", "store") == {False: 180, True: 0}
    assert lies_at(now, GOODS, LOT, "", "ward shelf") == {False: 70, True: 0}
    assert has(now, GOODS, LOT, "", "Ward 3") == 120


def test_a_recall_counts_what_was_out_when_it_was_opened_and_what_came_back_since() -> None:
    """Job map S22: "count recovered"; what goes out later is none of those it asked for."""
    told = [
        *IN_STORE,
        move("brought_back", 20, to_place="store", recipient="Ward 3"),
        move("called_back", id="r", words="seam opens"),
        move("told", recall="r", recipient="Ward 3"),
        move("brought_back", 60, to_place="quarantine", recipient="Ward 3"),
        move("used_up", 40, recipient="Ward 3"),
        move("brought_back", 30, to_place="quarantine", recipient="Ward 4"),
    ]
    (recall,) = counted(told).recalls
    assert recall.asked == (("Ward 3", 100), ("Ward 4", 30))
    assert (recall.out, recall.recovered, recall.used_up, recall.unaccounted) == (130, 90, 40, 0)
    assert recall.told == ("Ward 3",)
    assert stops(counted(told).recalls, LOT)
    assert not stops(counted([*told, move("call_ended", recall="r")]).recalls, LOT)


def test_a_notice_that_only_informs_stops_nothing() -> None:
    """The Australian authority's notices: not all remove stock (from memory)."""
    assert not stops(counted([move("called_back", id="r", notice="information")]).recalls, LOT)
    assert stops(counted([move("called_back", id="r", notice="correction")]).recalls, LOT)


def test_how_goods_stand_follows_from_decisions_and_never_from_a_movement() -> None:
    """The order: a hold, then what came back, then a way out, then a notice, then a release."""

    def stand(*kinds: str, back: bool = False, called: bool = False) -> str:
        return status(Standing(kinds), DAY, back=back, called_back=called)

    assert stand() == "not_decided"
    assert stand("release") == "released"
    assert stand("release_limited") == "limited"
    assert stand("release", "hold") == "held"
    assert stand("hold", "return") == "held"
    assert stand("release", "destroy") == "on_its_way_out"
    assert stand("release", back=True) == "brought_back"
    assert stand("release", called=True) == "called_back"
    over = Standing(("release_limited",), "training", dt.date(2031, 3, 17))
    assert status(over, DAY, back=False, called_back=False) == "limit_over"


def test_only_released_goods_are_handed_out_as_protection() -> None:
    """Job map, D4: down-graded goods are no respiratory protection, whoever asks."""
    as_protection = {
        found
        for found in (
            *("not_decided", "held", "released", "limited", "limit_over", "crisis_reserve"),
            *("downgraded", "stopped", "called_back", "brought_back", "on_its_way_out"),
        )
        if "protection" in may_go_as(found)
    }
    assert as_protection == {"released", "limited", "crisis_reserve"}
    assert may_go_as("downgraded") == {"source_control"}


PLACES = st.sampled_from(["store", "shelf", "quarantine"])
PEOPLE = st.sampled_from(["Ward 3", "Ward 4"])
KINDS = st.sampled_from(["received", "moved", "handed_out", "brought_back", "used_up", *LEAVES])


@given(st.lists(st.tuples(KINDS, st.integers(1, 50), PLACES, PLACES, PEOPLE), max_size=30))
def test_no_piece_is_lost_or_made(
    asked: list[tuple[MovementKind, int, str, str, str]],
) -> None:
    """Piles, hands and what left add up to what was received, as long as no more is moved than is
    there (which the use case refuses)."""
    done: list[Movement] = []
    received = 0
    for kind, pieces, place, to_place, recipient in asked:
        now = counted(done)
        there = sum(lies_at(now, GOODS, LOT, "", place).values())
        if kind == "handed_out":
            there = lies_at(now, GOODS, LOT, "", place)[False]
        if kind in ("brought_back", "used_up"):
            there = has(now, GOODS, LOT, "", recipient)
        if kind == "received":
            received += pieces
        elif pieces > there:
            continue
        told = {"place": place, "to_place": to_place, "recipient": recipient}
        done.append(move(kind, pieces, **told))
    now = counted(done)
    sums = Counter(
        piles=sum(one.pieces for one in now.piles),
        hands=sum(one.pieces for one in now.hands),
        gone=sum(one.pieces for one in now.gone),
    )
    assert sums.total() == received
    assert all(one.pieces > 0 for one in now.piles)
    assert all(one.pieces > 0 for one in now.hands)
