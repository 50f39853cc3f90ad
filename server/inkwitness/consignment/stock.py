"""Goods in store: what lies where, who has what, what is left of a recall. Counted, never typed.

Everything is a fold of movements that were appended. What may be handed out is not said by a
movement: it follows from what people decided (`Standing`) and from the gate. The chain supplier,
consignment, lot, carton, place, recipient is common practice, no source; that a notice may be of
other kinds than a recall is how the Australian authority names them (from memory).
"""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from inkwitness.consignment.dispositions import OUT, RELEASES, Disposition, held, released
from inkwitness.consignment.draws import lot_form
from inkwitness.consignment.values import Refusal

#: `used_up` is what a recipient reports of pieces that cannot come back. `called_back` opens a
#: recall of a lot, `told` says that a recipient was told, `call_ended` closes it; these three move
#: no piece.
MovementKind = Literal[
    "received",
    "moved",
    "handed_out",
    "brought_back",
    "used_up",
    "sent_back",
    "to_authority",
    "to_laboratory",
    "destroyed",
    "discarded",
    "called_back",
    "told",
    "call_ended",
]
#: What a notice asks for: `recall` stop and send back; `correction` stop until told more; and
#: `information`, which stops nothing.
NoticeKind = Literal["recall", "correction", "information"]
#: What goods are handed out as.
Purpose = Literal["protection", "source_control", "training"]
#: What a release with limits may say that goods are handed out as alone; empty: it says nothing.
OnlyAs = Literal["", "source_control", "training"]
#: How goods that lie in store stand. Worked out, never written by anybody.
StockStatus = Literal[
    "not_decided",
    "held",
    "released",
    "limited",
    "limit_over",
    "crisis_reserve",
    "downgraded",
    "stopped",
    "called_back",
    "brought_back",
    "on_its_way_out",
]

#: Leaving the house takes the decision that says so.
LEAVES: dict[MovementKind, Disposition] = {
    "sent_back": "return",
    "to_authority": "hand_over",
    "to_laboratory": "laboratory",
    "destroyed": "destroy",
    "discarded": "discard",
}
#: Movements out of the hands of a recipient.
FROM_HANDS: frozenset[MovementKind] = frozenset({"brought_back", "used_up"})
OF_A_RECALL: frozenset[MovementKind] = frozenset({"called_back", "told", "call_ended"})
#: Handed out on the strength of these.
_MAY_GO: dict[StockStatus, frozenset[Purpose]] = {
    "released": frozenset({"protection", "source_control"}),
    "limited": frozenset({"protection", "source_control"}),
    "crisis_reserve": frozenset({"protection", "source_control"}),
    "downgraded": frozenset({"source_control"}),
}
_OF_RELEASE: dict[str, StockStatus] = {
    "release": "released",
    "release_limited": "limited",
    "crisis_reserve": "crisis_reserve",
    "downgrade": "downgraded",
}


@dataclass(frozen=True, slots=True)
class Movement:
    """One movement. `goods` is the id of the consignment, or of a unit that stands by itself.

    `place` is where the pieces were (of `received`: where they are put), `to_place` where they go.
    `on` is the day it happened, as the person says.
    """

    id: str
    kind: MovementKind
    goods: str
    lot: str
    carton: str
    pieces: int
    place: str
    to_place: str
    recipient: str
    recall: str
    on: dt.date
    purpose: Purpose = "protection"
    notice: NoticeKind = "recall"
    words: str = ""


@dataclass(frozen=True, slots=True)
class Pile:
    """Pieces that lie together at one place; `back`: they were handed out once and came back."""

    goods: str
    lot: str
    carton: str
    place: str
    back: bool
    pieces: int


@dataclass(frozen=True, slots=True)
class InHands:
    """Pieces that a recipient has, the last of them since `since`."""

    goods: str
    lot: str
    carton: str
    recipient: str
    pieces: int
    since: dt.date


@dataclass(frozen=True, slots=True)
class Gone:
    """Pieces that left the house for good, and how (`used_up`: a recipient says so)."""

    goods: str
    lot: str
    carton: str
    how: MovementKind
    pieces: int


@dataclass(frozen=True, slots=True)
class Recall:
    """A notice about a lot, and what came of it.

    `out` pieces were in hands when it was opened, of which `recovered` came back since and
    `used_up` were reported used; `asked` are the recipients with the pieces that each had then.
    """

    id: str
    lot: str
    notice: NoticeKind
    words: str
    on: dt.date
    ended: bool
    asked: tuple[tuple[str, int], ...]
    told: tuple[str, ...]
    out: int
    recovered: int
    used_up: int

    @property
    def unaccounted(self) -> int:
        return self.out - self.recovered - self.used_up


@dataclass(frozen=True, slots=True)
class Stock:
    """What some movements come to. Piles and hands without a piece are left out."""

    piles: tuple[Pile, ...]
    hands: tuple[InHands, ...]
    gone: tuple[Gone, ...]
    recalls: tuple[Recall, ...]


@dataclass(frozen=True, slots=True)
class Standing:
    """How goods stand by what people decided. `shut` is what stands in the way of a release now.

    `until` is the last day of a limit, None where there is none, `only_as` what alone the goods may
    be handed out as; empty: the release does not say.
    """

    decided: tuple[str, ...] = ()
    limits: str = ""
    until: dt.date | None = None
    shut: tuple[Refusal, ...] = ()
    unit_held: bool = False
    only_as: OnlyAs = ""


def same_lot(one: str, other: str) -> bool:
    """Whether two spellings are of one lot."""
    return one == other or lot_form(one) == lot_form(other)


def spelt(stock: Stock, lot: str) -> Stock:
    """What of a lot is kept under one spelling; a notice on the lot is about every spelling."""
    return replace(
        stock,
        piles=tuple(one for one in stock.piles if one.lot == lot),
        hands=tuple(one for one in stock.hands if one.lot == lot),
        gone=tuple(one for one in stock.gone if one.lot == lot),
    )


def counted(movements: Sequence[Movement]) -> Stock:
    """Fold movements, in the order they were appended."""
    piles: dict[tuple[str, str, str, str, bool], int] = {}
    hands: dict[tuple[str, str, str, str], tuple[int, dt.date]] = {}
    gone: dict[tuple[str, str, str, MovementKind], int] = {}
    recalls: dict[str, _Open] = {}
    for one in movements:
        box = (one.goods, one.lot, one.carton)
        if one.kind in OF_A_RECALL:
            _recall(recalls, one, hands)
            continue
        if one.kind == "received":
            _add(piles, (*box, one.place, False), one.pieces)
        elif one.kind == "moved":
            for back, pieces in _taken(piles, box, one):
                _add(piles, (*box, one.to_place, back), pieces)
        elif one.kind == "handed_out":
            _taken(piles, box, one)
            had = hands.get((*box, one.recipient), (0, one.on))[0]
            hands[(*box, one.recipient)] = (had + one.pieces, one.on)
        elif one.kind in FROM_HANDS:
            had, since = hands.get((*box, one.recipient), (0, one.on))
            hands[(*box, one.recipient)] = (had - one.pieces, since)
            if one.kind == "brought_back":
                _add(piles, (*box, one.to_place, True), one.pieces)
            else:
                gone[(*box, one.kind)] = gone.get((*box, one.kind), 0) + one.pieces
            for recall in recalls.values():
                recall.came_back(one)
        else:
            _taken(piles, box, one)
            gone[(*box, one.kind)] = gone.get((*box, one.kind), 0) + one.pieces
    return Stock(
        tuple(Pile(*key, pieces) for key, pieces in piles.items() if pieces),
        tuple(InHands(*key, pieces, since) for key, (pieces, since) in hands.items() if pieces),
        tuple(Gone(*key, pieces) for key, pieces in gone.items()),
        tuple(recall.closed() for recall in recalls.values()),
    )


def lies_at(stock: Stock, goods: str, lot: str, carton: str, place: str) -> dict[bool, int]:
    """Pieces at a place, those that never left (False) and those that came back (True)."""
    found = {False: 0, True: 0}
    for pile in stock.piles:
        if (pile.goods, pile.lot, pile.carton, pile.place) == (goods, lot, carton, place):
            found[pile.back] += pile.pieces
    return found


def has(stock: Stock, goods: str, lot: str, carton: str, recipient: str) -> int:
    """Pieces that a recipient has of a box."""
    return sum(
        one.pieces
        for one in stock.hands
        if (one.goods, one.lot, one.carton, one.recipient) == (goods, lot, carton, recipient)
    )


def status(standing: Standing, on: dt.date, *, back: bool, called_back: bool) -> StockStatus:
    """How goods in store stand on a day; what stops them goes before what lets them go."""
    if held(standing.decided) or standing.unit_held:
        return "held"
    if back:
        return "brought_back"
    last = next((one for one in reversed(standing.decided) if one in OUT | RELEASES), "")
    if last in OUT:
        return "on_its_way_out"
    if called_back:
        return "called_back"
    kind = released(standing.decided)
    if not kind:
        return "not_decided"
    if standing.until is not None and on > standing.until:
        return "limit_over"
    return "stopped" if standing.shut else _OF_RELEASE[kind]


def may_go_as(found: StockStatus, only_as: OnlyAs = "") -> frozenset[Purpose]:
    """What goods of this status may be handed out as; empty where they may not.

    `only_as` is what their release limits them to.
    """
    may = _MAY_GO.get(found, frozenset())
    return frozenset({only_as}) if may and only_as else may


def stops(recalls: Iterable[Recall], lot: str) -> bool:
    """Whether a notice is open on a lot that stops handing it out."""
    return any(
        same_lot(one.lot, lot) and not one.ended and one.notice != "information" for one in recalls
    )


class _Open:
    """A recall while movements are folded."""

    def __init__(self, opened: Movement, had: dict[str, int]) -> None:
        self.opened = opened
        self.had = had
        self.told: dict[str, None] = {}
        self.back: dict[str, int] = {}
        self.used: dict[str, int] = {}
        self.ended = False

    def came_back(self, one: Movement) -> None:
        if not same_lot(one.lot, self.opened.lot) or self.ended:
            return
        counts = self.back if one.kind == "brought_back" else self.used
        so_far = self.back.get(one.recipient, 0) + self.used.get(one.recipient, 0)
        # pieces that came into hands after the notice are none of those it asked for
        room = max(0, self.had.get(one.recipient, 0) - so_far)
        counts[one.recipient] = counts.get(one.recipient, 0) + min(room, one.pieces)

    def closed(self) -> Recall:
        return Recall(
            self.opened.id,
            self.opened.lot,
            self.opened.notice,
            self.opened.words,
            self.opened.on,
            self.ended,
            tuple(sorted(self.had.items())),
            tuple(self.told),
            sum(self.had.values()),
            sum(self.back.values()),
            sum(self.used.values()),
        )


def _recall(
    recalls: dict[str, _Open],
    one: Movement,
    hands: dict[tuple[str, str, str, str], tuple[int, dt.date]],
) -> None:
    if one.kind == "called_back":
        had: dict[str, int] = {}
        for (_, lot, _, recipient), (pieces, _) in hands.items():
            if same_lot(lot, one.lot) and pieces:
                had[recipient] = had.get(recipient, 0) + pieces
        recalls[one.id] = _Open(one, had)
    elif one.recall in recalls and one.kind == "told":
        recalls[one.recall].told[one.recipient] = None
    elif one.recall in recalls:
        recalls[one.recall].ended = True


def _add(
    piles: dict[tuple[str, str, str, str, bool], int],
    key: tuple[str, str, str, str, bool],
    pieces: int,
) -> None:
    piles[key] = piles.get(key, 0) + pieces


def _taken(
    piles: dict[tuple[str, str, str, str, bool], int], box: tuple[str, str, str], one: Movement
) -> list[tuple[bool, int]]:
    """Take a movement's pieces from its place. What came back once is never handed out: only what
    leaves for good, or is moved, takes of it, and first.
    """
    taken = []
    left = one.pieces
    for back in (False,) if one.kind == "handed_out" else (True, False):
        key = (*box, one.place, back)
        some = min(left, piles.get(key, 0))
        if some:
            piles[key] -= some
            taken.append((back, some))
            left -= some
    return taken
