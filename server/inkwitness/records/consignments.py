"""Consignments, the plans of what to look at, and the decisions that people took."""

import json
from collections.abc import Mapping, Sequence

from sqlalchemy import Connection, select

from inkwitness.consignment import sample
from inkwitness.consignment.release import held, refusals
from inkwitness.consignment.values import Disposition, LookUp, Refusal, UnitState
from inkwitness.errors import BadInput, InkwitnessError
from inkwitness.records import chain
from inkwitness.records.chain import Entry, Hand
from inkwitness.records.tables import consignments, decisions, plans, units


class Refused(InkwitnessError):
    """A decision that what is known does not allow; HTTP 409."""

    code = "refused"

    def __init__(self, message: str, refusals: tuple[Refusal, ...] = ()) -> None:
        super().__init__(message)
        self.refusals = refusals


def make(
    conn: Connection, id_: str, content: Mapping[str, object], hand: Hand
) -> tuple[Entry, bool]:
    """Create a consignment."""
    return chain.append(conn, consignments, id_, content, hand)


def all_of_them(conn: Connection) -> list[Entry]:
    """Every consignment, the newest first."""
    return chain.entries(conn, consignments)[::-1]


def keep_plan(
    conn: Connection, id_: str, consignment_id: str, plan: Mapping[str, object], hand: Hand
) -> tuple[Entry, bool]:
    """Keep a plan and its draw. A later plan takes the place of an earlier one, which is kept."""
    chain.get(conn, consignments, consignment_id)
    content = {"consignment_id": consignment_id, **plan}
    return chain.append(conn, plans, id_, content, hand)


def plan_in_force(conn: Connection, consignment_id: str) -> Entry | None:
    """The newest plan of a consignment, or None."""
    wanted = (
        select(plans.c.id)
        .where(plans.c.consignment_id == consignment_id)
        .order_by(plans.c.seq.desc())
        .limit(1)
    )
    id_ = conn.execute(wanted).scalar()
    return chain.get(conn, plans, id_) if id_ else None


def decide(
    conn: Connection,
    id_: str,
    hand: Hand,
    *,
    disposition: Disposition,
    reason: str,
    limits: str,
    states: Sequence[UnitState],
    look_ups: Sequence[LookUp],
    unit_id: str | None = None,
    consignment_id: str | None = None,
) -> tuple[Entry, bool]:
    """Keep a person's decision on a unit or a consignment.

    Raises Refused where a release is not open yet or there is no hold to lift, and BadInput where
    the reason is missing. A hold is never refused and needs no reason: it can be given later.
    """
    table, subject = (units, unit_id) if unit_id is not None else (consignments, consignment_id)
    assert subject is not None
    chain.get(conn, table, subject)
    content = {
        "unit_id": unit_id,
        "consignment_id": consignment_id,
        "disposition": disposition,
        "reason": reason.strip(),
        "limits": limits.strip(),
    }
    if chain.find(conn, decisions, id_) is None:
        if disposition != "hold" and len(reason.strip()) < 3:
            raise BadInput("`reason` is missing. Say in a few words why this is decided.")
        on_hold = is_held(conn, unit_id=unit_id, consignment_id=consignment_id)
        if disposition == "lift_hold" and not on_hold:
            raise Refused("There is no hold to lift.")
        if disposition == "release":
            _check_release(states, look_ups)
    return chain.append(conn, decisions, id_, content, hand)


def decided(
    conn: Connection, *, unit_id: str | None = None, consignment_id: str | None = None
) -> list[Entry]:
    """The decisions on a unit or on a consignment, in order."""
    if unit_id is not None:
        return chain.entries(conn, decisions, unit_id=unit_id)
    assert consignment_id is not None
    return chain.entries(conn, decisions, consignment_id=consignment_id)


def set_apart(conn: Connection, unit_ids: Sequence[str]) -> set[str]:
    """Those of these units that a person set apart, by the decisions on each."""
    taken: dict[str, list[str]] = {}
    # SQLite takes at most 32,766 values in one statement
    for start in range(0, len(unit_ids), 5000):
        wanted = (
            select(decisions.c.unit_id, decisions.c.content)
            .where(decisions.c.unit_id.in_(unit_ids[start : start + 5000]))
            .order_by(decisions.c.seq)
        )
        for row in conn.execute(wanted):
            disposition = json.loads(row.content)["disposition"]
            taken.setdefault(row.unit_id, []).append(disposition)
    return {unit_id for unit_id, decided in taken.items() if sample.set_apart(decided)}


def is_held(
    conn: Connection, *, unit_id: str | None = None, consignment_id: str | None = None
) -> bool:
    """Whether a hold is in force."""
    taken = decided(conn, unit_id=unit_id, consignment_id=consignment_id)
    return held([entry.content["disposition"] for entry in taken])


def _check_release(states: Sequence[UnitState], look_ups: Sequence[LookUp]) -> None:
    found = refusals(states, look_ups)
    if found:
        raise Refused(
            "This cannot be released yet. " + " ".join(refusal.says for refusal in found), found
        )
