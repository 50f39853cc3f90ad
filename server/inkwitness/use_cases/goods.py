"""Goods as the gate of a release sees them, gathered from the records."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, select

from inkwitness.consignment import lots
from inkwitness.consignment.dispositions import SETTLES, Act, held
from inkwitness.consignment.gate import Goods, decided
from inkwitness.consignment.lots import parted
from inkwitness.consignment.papers.values import PapersJudged
from inkwitness.consignment.values import UnitState
from inkwitness.errors import BadInput
from inkwitness.records import chain, units
from inkwitness.records.chain import Entry
from inkwitness.records.consignments import Refused
from inkwitness.records.tables import consignments, decisions, plans
from inkwitness.use_cases.intake import on_paper, standing
from inkwitness.use_cases.intake.declared import content_in_force


def of_consignment(
    conn: Connection,
    consignment_id: str,
    states: Sequence[UnitState] | None = None,
    *,
    on: dt.date,
    papers: PapersJudged | None = None,
) -> Goods:
    """All goods of a consignment; `states` are its units where they were asked for already.

    `on` is the day that its papers are looked at for, `papers` what they say where that was asked
    for already.
    """
    declared = content_in_force(conn, chain.get(conn, consignments, consignment_id))
    if states is None:
        states = [unit.state for unit in units.of_consignment(conn, consignment_id)]
    made = chain.entries(conn, plans, consignment_id=consignment_id)
    taken = acts(chain.entries(conn, decisions, consignment_id=consignment_id))
    whole, on_lots = parted(taken)
    return Goods(
        units=tuple(states),
        acts=whole,
        lot_acts=on_lots,
        unit_acts={unit_id: acts(found) for unit_id, found in of_units(conn, states).items()},
        drawn=drawn(made),
        has_plan=bool(made),
        declared=_declared(declared),
        look_ups=tuple(on_paper.for_release(conn, consignment_id=consignment_id)),
        crisis=declared.get("supply_condition") == "crisis",
        papers_open=tuple(
            one.rule for one in standing.open_findings(conn, consignment_id, on, papers)
        ),
    )


def of_lot(conn: Connection, consignment_id: str, lot: str, *, on: dt.date) -> Goods:
    """The goods of one lot of a consignment. Raises BadInput for a lot that was not declared."""
    sizes = lot_sizes(conn, consignment_id)
    if lot not in sizes:
        if not sizes:
            raise BadInput("no_lots", lot=lot)
        raise BadInput("no_lot", lot=lot, known=", ".join(sizes))
    return lots.of_lot(of_consignment(conn, consignment_id, on=on), lot, sizes)


def lot_sizes(conn: Connection, consignment_id: str) -> dict[str, int | None]:
    """The declared lots with their units, None where nobody said how many."""
    content = content_in_force(conn, chain.get(conn, consignments, consignment_id))
    return {lot["code"]: lot.get("units") for lot in content["lots"]}


def of_unit(conn: Connection, unit_id: str) -> Goods:
    """One unit or group by itself: what is decided on it is decided on all the goods there are."""
    state = units.summaries(conn, [unit_id])[0].state
    taken = acts(chain.entries(conn, decisions, unit_id=unit_id))
    return Goods(
        units=(state,),
        acts=taken,
        # a hold on it, or a question about it, is said once
        unit_acts={unit_id: tuple(act for act in taken if act.kind in SETTLES)},
        declared=state.count,
        look_ups=tuple(on_paper.for_release(conn, unit_id=unit_id)),
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
        )
        for entry in entries
    )


def drawn(made: Sequence[Entry]) -> tuple[str, ...]:
    """The places of every draw: a further one is added, and takes the place of the earlier ones
    only where a person wrote down why those no longer hold.
    """
    places: dict[str, None] = {}
    for plan in made:
        if plan.content.get("instead_because"):
            places.clear()
        places.update(dict.fromkeys(one["unit"] for one in plan.content["draw"]["units"]))
    return tuple(places)


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


def stays(conn: Connection, unit_id: str, to: str) -> Refused | None:
    """Why a unit may not leave its consignment for another; None where it may.

    Goods on hold, or with an open outcome, are not moved out of sight.
    """
    (unit,) = units.summaries(conn, [unit_id])
    here = unit.consignment_id
    if here is None or here == to:
        return None
    whole, on_lots = parted(acts(chain.entries(conn, decisions, consignment_id=here)))
    if any(held([act.kind for act in taken]) for taken in (whole, *on_lots.values())):
        return Refused("stays_on_hold")
    if unit.outcome in ("conflict", "missing", "cannot_tell"):
        on_it = acts(chain.entries(conn, decisions, unit_id=unit_id))
        if not decided(unit.state, on_it):
            return Refused("stays_undecided")
    return None


def _declared(content: Mapping[str, Any]) -> int | None:
    """How many units were declared: in all, or in the lots together, whichever is more."""
    in_lots = [lot["units"] for lot in content["lots"]]
    whole = sum(in_lots) if in_lots and all(in_lots) else 0
    return max(content["units_declared"] or 0, whole) or None
