"""Goods as the gate of a release sees them, gathered from the records."""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from sqlalchemy import ColumnElement, Connection, func, select

from inkwitness.check import found as what_was_found
from inkwitness.consignment import lots
from inkwitness.consignment.dispositions import SETTLES, Act
from inkwitness.consignment.draws import Draw, lot_form
from inkwitness.consignment.gate import OPEN, Goods
from inkwitness.consignment.lots import parted
from inkwitness.consignment.papers.values import PapersJudged
from inkwitness.consignment.values import UnitState
from inkwitness.errors import BadInput
from inkwitness.records import chain, lists, units
from inkwitness.records.chain import Entry
from inkwitness.records.consignments import Refused
from inkwitness.records.tables import attachments, consignments, decisions
from inkwitness.records.tables import stock as stock_table
from inkwitness.records.tables import units as units_table
from inkwitness.records.units import UnitSummary
from inkwitness.sampling.frame import per_first_part
from inkwitness.use_cases import answers, plans
from inkwitness.use_cases.intake import on_paper, papers, standing
from inkwitness.use_cases.intake.declared import content_in_force
from inkwitness.use_cases.intake.declared import declared as all_declared

#: What is said of a unit that may not leave its goods.
_STAYS = {
    "held": "stays_on_hold",
    "asked": "stays_asked",
    "unread": "stays_unread",
    "undecided": "stays_undecided",
}


def of_consignment(
    conn: Connection,
    consignment_id: str,
    members: Sequence[UnitSummary] | None = None,
    *,
    on: dt.date,
    judged: PapersJudged | None = None,
) -> Goods:
    """All goods of a consignment; `members` are its units where they were asked for already.

    `on` is the day that its papers are looked at for, `judged` what they say where that was asked
    for already.
    """
    declared = content_in_force(conn, chain.get(conn, consignments, consignment_id))
    crisis = declared.get("supply_condition") == "crisis"
    until = all_declared(conn, consignment_id).condition_until if crisis else None
    over = until is not None and until < on
    if members is None:
        members = units.of_consignment(conn, consignment_id)
    states = [_with_found(conn, unit) for unit in members]
    received = _received(conn, stock_table.c.consignment_id == consignment_id)
    sizes = _sizes(declared, received)
    whole, on_lots = parted(acts(chain.entries(conn, decisions, consignment_id=consignment_id)))
    there, lost = lots.still_declared(on_lots, sizes)
    return Goods(
        units=tuple(states),
        acts=whole,
        lot_acts=there,
        lost=lost,
        unit_acts={unit_id: acts(found) for unit_id, found in of_units(conn, states).items()},
        draws=tuple(_draw(one.entry) for one in plans.made(conn, consignment_id) if one.counts),
        declared=_declared(declared, sizes, sum(received.values())),
        sizes={} if None in sizes.values() else {code: n or 0 for code, n in sizes.items()},
        look_ups=tuple(on_paper.for_release(conn, consignment_id=consignment_id)),
        crisis=crisis and not over,
        crisis_ended=until.isoformat() if until is not None and over else "",
        papers_open=tuple(
            one.rule for one in standing.open_findings(conn, consignment_id, on, judged)
        ),
        edition=lists.newest_number(conn),
    )


def of_lot(conn: Connection, consignment_id: str, lot: str, *, on: dt.date) -> Goods:
    """The goods of one lot of a consignment, one of before among them where it was decided on.

    Raises BadInput for a lot that was neither declared nor decided on.
    """
    sizes = lot_sizes(conn, consignment_id)
    whole = of_consignment(conn, consignment_id, on=on)
    known = {lot_form(code) for code in (*sizes, *whole.lost)}
    if lot_form(lot) not in known:
        if not sizes:
            raise BadInput("no_lots", lot=lot)
        raise BadInput("no_lot", lot=lot, known=", ".join(sizes))
    return lots.of_lot(whole, lot, sizes)


def lot_sizes(conn: Connection, consignment_id: str) -> dict[str, int | None]:
    """The declared lots with their units, None where nobody said how many; what was received of a
    lot counts where it is more.
    """
    content = content_in_force(conn, chain.get(conn, consignments, consignment_id))
    return _sizes(content, _received(conn, stock_table.c.consignment_id == consignment_id))


def of_unit(conn: Connection, unit_id: str, *, on: dt.date) -> Goods:
    """One unit or group by itself: what is decided on it is decided on all the goods there are.

    `on` is the day that its papers are looked at for. A decision that settles the unit settles
    what they left open then.
    """
    (unit,) = units.summaries(conn, [unit_id])
    state = _with_found(conn, unit)
    kept = chain.entries(conn, decisions, unit_id=unit_id)
    taken = acts(kept)
    settling = [one for one in kept if one.content["disposition"] in SETTLES]
    left = [] if unit.consignment_id else papers.open_of(papers.of_unit(conn, unit_id, on).findings)
    digest = papers.digest(left) if left else ""
    settled = bool(settling) and settling[-1].content.get("papers", "") == digest
    content = stock_table.c.content
    alone = stock_table.c.consignment_id.is_(None)
    received = _received(conn, alone & (func.json_extract(content, "$.unit_id") == unit_id))
    return Goods(
        units=(state,),
        acts=taken,
        # a hold on it, or a question about it, is said once
        unit_acts={unit_id: tuple(act for act in taken if act.kind in SETTLES)},
        declared=max(state.count, sum(received.values())),
        look_ups=tuple(on_paper.for_release(conn, unit_id=unit_id)),
        papers_open=() if settled else tuple(one.rule for one in left),
        papers=digest,
        edition=lists.newest_number(conn),
    )


def acts(entries: Sequence[Entry]) -> tuple[Act, ...]:
    """Decisions as the gate sees them. Those kept before outcomes were noted settle nothing."""
    return tuple(
        Act(
            kind=entry.content["disposition"],
            by=entry.context.actor.id,
            about=entry.content.get("about", ""),
            outcome=entry.content.get("outcome"),
            evidence=entry.content.get("evidence", ""),
            taken_up=entry.content.get("taken_up", 0),
            lot=entry.content.get("lot", ""),
            found=entry.content.get("found", ""),
            limits=entry.content.get("limits", ""),
            until=entry.content.get("until") or "",
            id=entry.id,
            answers=entry.content.get("answers", ""),
        )
        for entry in entries
    )


def _draw(plan: Entry) -> Draw:
    content = plan.content
    return Draw(
        tuple(one["unit"] for one in content["draw"]["units"]),
        content["lot"],
        per_first_part(content["question"]["units"]),
    )


def of_units(conn: Connection, states: Sequence[UnitState]) -> dict[str, list[Entry]]:
    """The decisions on each of these units that has some, in order."""
    ids = [state.unit_id for state in states]
    found: dict[str, list[Entry]] = {}
    # SQLite takes at most 32,766 values in one statement
    for start in range(0, len(ids), 5000):
        wanted = select(decisions.c.id).where(decisions.c.unit_id.in_(ids[start : start + 5000]))
        for id_ in list(conn.execute(wanted.order_by(decisions.c.seq)).scalars()):
            entry = chain.get(conn, decisions, id_)
            found.setdefault(entry.content["unit_id"], []).append(entry)
    return found


def consignment_of(conn: Connection, unit_id: str) -> str | None:
    """The consignment that a unit is under now, or None."""
    return units.summaries(conn, [unit_id])[0].consignment_id


def stays(conn: Connection, unit_id: str, to: str, place: str = "") -> Refused | None:
    """Why a unit may not leave its consignment, or its lot, for another; None where it may.

    `place` is where it would be put. Goods on hold, asked about, not read, or with an open outcome,
    are not moved out of sight.
    """
    (unit,) = units.summaries(conn, [unit_id])
    here = unit.consignment_id
    if here is None:
        return None
    whole, on_lots = parted(acts(chain.entries(conn, decisions, consignment_id=here)))
    taken = [whole, *on_lots.values()]
    if here == to:
        codes = [*lot_sizes(conn, here), *on_lots]
        been, label = _places(conn, unit_id, here)
        left = lots.leaves(been, place or label, codes)
        if not left:
            return None
        taken = [found for lot, found in on_lots.items() if lot_form(lot) in left]
    on_it = acts(chain.entries(conn, decisions, unit_id=unit_id))
    why = lots.stays(_with_found(conn, unit), on_it, taken)
    if why == "held" and here == to:
        return Refused("stays_lot_on_hold")
    return Refused(_STAYS[why]) if why else None


def _places(conn: Connection, unit_id: str, consignment_id: str) -> tuple[list[str], str]:
    """Every place that a unit had in a consignment, and the label that stands for none."""
    made = chain.get(conn, units_table, unit_id).content
    came = [one.content for one in chain.entries(conn, attachments, unit_id=unit_id)]
    first = [made["label"]] if made["consignment_id"] == consignment_id else []
    later = [one["place"] for one in came if one["consignment_id"] == consignment_id]
    return [*first, *(place or made["label"] for place in later)], made["label"]


def _with_found(conn: Connection, unit: UnitSummary) -> UnitState:
    """The state of a unit, with what an open outcome of it rests on."""
    if unit.outcome not in OPEN:
        return unit.state
    judged = [(one.judgement, one.photo_ids) for one in answers.judged(conn, unit)]
    return replace(unit.state, found=what_was_found.digest_of(judged))


def _received(conn: Connection, of_goods: ColumnElement[bool]) -> dict[str, int]:
    """Pieces of goods that were received in store, by lot."""
    content = stock_table.c.content
    pieces = func.sum(func.json_extract(content, "$.pieces"))
    wanted = select(stock_table.c.lot, pieces).where(of_goods)
    kind = func.json_extract(content, "$.kind")
    return {
        lot: int(n)
        for lot, n in conn.execute(wanted.where(kind == "received").group_by(stock_table.c.lot))
    }


def _sizes(content: Mapping[str, Any], received: Mapping[str, int]) -> dict[str, int | None]:
    """The units of each declared lot: as declared, or as received where that is more."""
    came: dict[str, int] = {}
    for lot, n in received.items():
        came[lot_form(lot)] = came.get(lot_form(lot), 0) + n
    return {
        lot["code"]: max(lot["units"], came.get(lot_form(lot["code"]), 0))
        if lot.get("units")
        else None
        for lot in content["lots"]
    }


def _declared(
    content: Mapping[str, Any], sizes: Mapping[str, int | None], received: int
) -> int | None:
    """How many units there are: declared in all, in the lots together, or received in store,
    whichever is most. None where a lot has no number and nobody said how many there are in all.
    """
    whole = content["units_declared"]
    if not whole and (not sizes or None in sizes.values()):
        return None
    return max(whole or 0, sum(n or 0 for n in sizes.values()), received)
