"""Movements of goods in store: kept in order, and refused where the gate is shut."""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import Connection, func, select

from inkwitness.consignment import stock
from inkwitness.consignment.dispositions import OUT, RELEASES
from inkwitness.consignment.draws import lot_form
from inkwitness.consignment.gate import Terms
from inkwitness.consignment.stock import (
    Movement,
    MovementKind,
    NoticeKind,
    Purpose,
    Standing,
    Stock,
    same_lot,
)
from inkwitness.errors import BadInput, NotFound
from inkwitness.holders.numbers import normal_form
from inkwitness.phrases import Sentence
from inkwitness.records import chain
from inkwitness.records.chain import Entry, WriteContext
from inkwitness.records.consignments import Refused
from inkwitness.records.database import slices
from inkwitness.records.tables import consignments, units
from inkwitness.records.tables import stock as stock_table
from inkwitness.use_cases import goods
from inkwitness.use_cases.stores.spelling import known_spelling, lots
from inkwitness.use_cases.stores.standing import lot_decided, standing

#: Lots named that are written much like the one asked for.
_MOST_ALIKE = 20
_MOST_RECEIVED = 1000
#: Lots whose movements are fetched at once.
_LOTS_AT_ONCE = 500


@dataclass(frozen=True, slots=True)
class Said:
    """What a person says of one movement; see `consignment.stock.Movement`."""

    kind: MovementKind
    lot: str
    on: dt.date
    consignment_id: str | None = None
    unit_id: str | None = None
    carton: str = ""
    pieces: int = 0
    place: str = ""
    to_place: str = ""
    recipient: str = ""
    purpose: Purpose = "protection"
    recall: str = ""
    notice: NoticeKind = "recall"
    words: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """One pile with how it stands."""

    pile: stock.Pile
    status: stock.StockStatus
    standing: Standing


@dataclass(frozen=True, slots=True)
class Where:
    """All that is known of one lot: its piles, who has pieces, what left, and notices about it."""

    lot: str
    lines: tuple[Line, ...]
    stock: Stock
    movements: tuple[Entry, ...]


def keep(
    conn: Connection, id_: str, said: Said, context: WriteContext, terms: Terms
) -> tuple[Entry, bool]:
    """Keep a movement.

    Raises BadInput where something is missing or more pieces are moved than lie there, and Refused
    where goods would be handed out that the gate does not release, or would leave the house without
    the decision that says so. A lot that is known already keeps its spelling.
    """
    said = replace(said, lot=_spelling(conn, id_, said))
    content = _content(said)
    if chain.find(conn, stock_table, id_) is None:
        _check_words(said)
        if said.kind in stock.OF_A_RECALL:
            _check_recall(conn, said)
        else:
            _check_pieces(conn, said, terms)
    return chain.append(conn, stock_table, id_, content, context)


def where(conn: Connection, asked: str, terms: Terms) -> tuple[list[Where], list[str]]:
    """Where a lot is, and lots that are written much like it.

    The lot is the same where its normal form is: spaces and dashes do not tell lots apart.
    """
    wanted = normal_form(asked)
    if not wanted:
        raise BadInput("lot_to_look_for")
    there = lots(conn)
    same = [lot for lot in there if lot_form(lot) == wanted]
    alike = [lot for lot in there if lot not in same and wanted in lot_form(lot)]
    standings: dict[str, Standing] = {}
    shown = _of_lots(conn, same, there).items()
    return (
        [_where(conn, lot, entries, terms, standings) for lot, entries in shown],
        alike[:_MOST_ALIKE],
    )


def page(
    conn: Connection, terms: Terms, *, limit: int, after: str = "", like: str = ""
) -> tuple[list[Where], bool]:
    """Lots in order, `limit` of them, from the one behind `after`; and whether there are more."""
    wanted = normal_form(like)
    there = lots(conn)
    found = [lot for lot in there if lot > after and wanted in lot_form(lot)]
    standings: dict[str, Standing] = {}
    shown = [
        _where(conn, lot, entries, terms, standings)
        for some in slices(found[:limit], _LOTS_AT_ONCE)
        for lot, entries in _of_lots(conn, some, there).items()
    ]
    return shown, len(found) > limit


def received_by(conn: Connection, recipient: str) -> list[tuple[str, Movement]]:
    """What went to recipients whose name has these words in it, the newest first, 1,000 at most:
    consignment or unit, and the movement.
    """
    words = " ".join(recipient.split())
    if not words:
        raise BadInput("recipient_to_look_for")
    content = stock_table.c.content
    wanted = (
        select(stock_table.c.id)
        .where(func.json_extract(content, "$.kind") == "handed_out")
        .where(func.json_extract(content, "$.recipient").icontains(words, autoescape=True))
        .order_by(stock_table.c.seq.desc())
        .limit(_MOST_RECEIVED)
    )
    ids = list(conn.execute(wanted).scalars())
    found = chain.get_all(conn, stock_table, ids)
    return [(one.goods, one) for one in (movement(found[id_]) for id_ in ids)]


def recalls(conn: Connection) -> list[tuple[Entry, stock.Recall]]:
    """Every notice, the newest first, with what came of it."""
    wanted = select(stock_table.c.id).where(stock_table.c.content.like('%"kind":"called_back"%'))
    ids = list(conn.execute(wanted.order_by(stock_table.c.seq.desc())).scalars())
    return [recall(conn, id_) for id_ in ids]


def recall(conn: Connection, id_: str) -> tuple[Entry, stock.Recall]:
    """One notice; raises NotFound."""
    entry = chain.get(conn, stock_table, id_)
    of_lot = stock.counted(movements(conn, entry.content["lot"]))
    found = next((one for one in of_lot.recalls if one.id == id_), None)
    if found is None:
        raise NotFound("no_notice", id=id_)
    return entry, found


def movement(entry: Entry) -> Movement:
    """A movement as it was kept."""
    content = entry.content
    return Movement(
        id=entry.id,
        kind=content["kind"],
        goods=content["consignment_id"] or content["unit_id"] or "",
        lot=content["lot"],
        carton=content["carton"],
        pieces=content["pieces"],
        place=content["place"],
        to_place=content["to_place"],
        recipient=content["recipient"],
        recall=content["recall"],
        on=dt.date.fromisoformat(content["on"]),
        purpose=content["purpose"],
        notice=content["notice"],
        words=content["words"],
    )


def _of_lots(
    conn: Connection, wanted: Sequence[str], there: Sequence[str]
) -> dict[str, list[Entry]]:
    """The movements of these lots, in every spelling that is `there`, each lot's as appended."""
    spellings: dict[str, list[str]] = {}
    forms = {lot_form(lot) for lot in wanted}
    for lot in dict.fromkeys((*there, *wanted)):
        if lot_form(lot) in forms:
            spellings.setdefault(lot_form(lot), []).append(lot)
    every = [lot for some in spellings.values() for lot in some]
    by: dict[str, list[Entry]] = {lot: [] for lot in every}
    found: list[str] = []
    for start in range(0, len(every), 5000):
        ids = select(stock_table.c.id).where(stock_table.c.lot.in_(every[start : start + 5000]))
        found += conn.execute(ids).scalars()
    for start in range(0, len(found), 5000):
        some = chain.get_all(conn, stock_table, found[start : start + 5000])
        for entry in some.values():
            by[entry.content["lot"]].append(entry)
    return {
        lot: sorted(
            (entry for one in spellings[lot_form(lot)] for entry in by[one]),
            key=lambda one: one.seq,
        )
        for lot in wanted
    }


def _where(
    conn: Connection,
    lot: str,
    entries: Sequence[Entry],
    terms: Terms,
    standings: dict[str, Standing],
) -> Where:
    found = stock.spelt(stock.counted([movement(entry) for entry in entries]), lot)
    called = stock.stops(found.recalls, lot)
    lines = []
    for pile in found.piles:
        # of most goods nothing is decided lot by lot: they stand alike in each
        key = f"{pile.goods} {lot}" if lot_decided(conn, pile.goods) else pile.goods
        if key not in standings:
            standings[key] = standing(conn, pile.goods, terms, lot)
        mine = standings[key]
        state = stock.status(mine, terms.on, back=pile.back, called_back=called)
        lines.append(Line(pile, state, mine))
    return Where(lot, tuple(lines), found, tuple(entries))


def movements(conn: Connection, lot: str) -> list[Movement]:
    """The movements of a lot, however it is spelt, in the order they were kept."""
    (found,) = _of_lots(conn, [lot], lots(conn)).values()
    return [movement(entry) for entry in found]


def _spelling(conn: Connection, id_: str, said: Said) -> str:
    """The lot of a movement as it is kept: sent again, it is the same movement."""
    kept = chain.find(conn, stock_table, id_)
    before: str = kept.content["lot"] if kept is not None else ""
    if kept is not None and same_lot(before, said.lot.strip()):
        return before
    return known_spelling(conn, said.lot.strip(), said.consignment_id)


def _content(said: Said) -> dict[str, Any]:
    return {
        "consignment_id": said.consignment_id,
        "unit_id": said.unit_id,
        "lot": said.lot.strip(),
        "carton": said.carton.strip(),
        "kind": said.kind,
        "pieces": said.pieces,
        "place": said.place.strip(),
        "to_place": said.to_place.strip(),
        "recipient": " ".join(said.recipient.split()),
        "purpose": said.purpose,
        "recall": said.recall,
        "notice": said.notice,
        "words": said.words.strip(),
        "on": said.on.isoformat(),
    }


def _check_words(said: Said) -> None:
    kind = said.kind
    if kind in stock.OF_A_RECALL:
        if not said.lot.strip():
            raise BadInput("notice_lot_missing")
        if kind == "call_ended" and len(said.words.strip()) < 3:
            raise BadInput("notice_words_missing")
        return
    if (said.consignment_id is None) == (said.unit_id is None):
        raise BadInput("goods_of_one")
    if said.pieces < 1:
        raise BadInput("bad_pieces")
    if not said.place.strip() and kind not in stock.FROM_HANDS:
        raise BadInput("place_missing")
    if kind in ("moved", "brought_back") and not said.to_place.strip():
        raise BadInput("to_place_missing")
    if kind in {"handed_out", *stock.FROM_HANDS} and not said.recipient.strip():
        raise BadInput("recipient_missing")
    if kind == "handed_out" and said.purpose == "protection" and not said.lot.strip():
        raise Refused("no_lot_no_protection")


def _check_recall(conn: Connection, said: Said) -> None:
    if said.kind == "called_back":
        return
    _, found = recall(conn, said.recall)
    if not same_lot(found.lot, said.lot.strip()):
        raise BadInput("notice_other_lot", lot=found.lot)
    if found.ended:
        raise Refused("notice_closed")
    if said.kind == "told" and said.recipient not in dict(found.asked):
        raise BadInput("notice_recipient_none")


def _check_pieces(conn: Connection, said: Said, terms: Terms) -> None:
    goods_id = said.consignment_id or said.unit_id or ""
    table = consignments if said.consignment_id is not None else units
    chain.get(conn, table, goods_id)
    if said.unit_id is not None and goods.consignment_of(conn, said.unit_id) is not None:
        raise BadInput("unit_in_consignment")
    if said.kind == "received":
        return
    lot, carton = said.lot.strip(), said.carton.strip()
    now = stock.counted(movements(conn, lot))
    if said.kind in stock.FROM_HANDS:
        there = stock.has(now, goods_id, lot, carton, " ".join(said.recipient.split()))
        if said.pieces > there:
            raise BadInput(
                "too_few_with",
                recipient=said.recipient,
                lot=_of_lot(said),
                there=there,
                pieces=said.pieces,
            )
        return
    at = stock.lies_at(now, goods_id, lot, carton, said.place.strip())
    handing = said.kind == "handed_out"
    there = at[False] + (0 if handing else at[True])
    if said.pieces > there:
        raise BadInput(
            "too_few_at", place=said.place, lot=_of_lot(said), there=there, pieces=said.pieces
        )
    if handing:
        _refuse_handing(conn, goods_id, said, terms, called=stock.stops(now.recalls, lot))
    elif said.kind in stock.LEAVES and said.pieces > at[True]:
        # what came back once needs a reason alone
        _refuse_leaving(standing(conn, goods_id, terms, lot), said)
    elif said.kind in stock.LEAVES and len(said.words.strip()) < 3:
        raise BadInput("leaves_words_missing")


def _of_lot(said: Said) -> Sentence:
    lot = said.lot or "?"
    if said.carton:
        return Sentence("error.of_lot_carton", {"lot": lot, "carton": said.carton})
    return Sentence("error.of_lot", {"lot": lot})


def _refuse_handing(
    conn: Connection, goods_id: str, said: Said, terms: Terms, *, called: bool
) -> None:
    """Raise unless the goods are released and nothing stands in the way of it today."""
    mine = standing(conn, goods_id, terms, said.lot.strip())
    # a day of before lets nothing go that is stopped today
    state = stock.status(mine, max(said.on, terms.on), back=False, called_back=called)
    if said.purpose in stock.may_go_as(state, mine.only_as):
        return
    in_the_way = tuple(sentence for one in mine.shut for sentence in one.sentences)
    why = (Sentence(f"stock.refused.{state}", {}), *in_the_way)
    raise Refused("goods_refused", refusals=mine.shut, why=why)


def _refuse_leaving(mine: Standing, said: Said) -> None:
    wanted = stock.LEAVES[said.kind]
    if wanted == "laboratory":
        decided = wanted in mine.decided
    else:
        last = _last(mine.decided)
        decided = last == wanted
    if not decided:
        decision = Sentence(f"disposition.{wanted}", {})
        why = Sentence("stock.refused.no_decision", {"decision": decision})
        raise Refused("goods_refused", why=why)


def _last(kinds: Iterable[str]) -> str:
    found = [kind for kind in kinds if kind in OUT | RELEASES]
    return found[-1] if found else ""
