"""Consignments, and the plans of what to look at in them."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from sqlalchemy import Connection, select

from inkwitness.consignment.values import Refusal
from inkwitness.errors import InkwitnessError
from inkwitness.phrases import Said
from inkwitness.records import chain, old_form
from inkwitness.records.chain import Entry, WriteContext
from inkwitness.records.tables import consignments, plans


class Refused(InkwitnessError):
    """A decision that what is known does not allow; HTTP 409."""

    code = "refused"

    def __init__(self, key: str, /, refusals: tuple[Refusal, ...] = (), **values: Said) -> None:
        super().__init__(key, **values)
        self.refusals = refusals


def make(
    conn: Connection, id_: str, content: Mapping[str, object], context: WriteContext
) -> tuple[Entry, bool]:
    """Create a consignment."""
    return chain.append(conn, consignments, id_, content, context)


def page(conn: Connection, *, limit: int, before: str | None = None) -> list[Entry]:
    """Consignments, the newest first; `before` is the id of the last one of the page before."""
    wanted = select(consignments.c.id).order_by(consignments.c.seq.desc()).limit(limit)
    if before is not None:
        wanted = wanted.where(consignments.c.seq < chain.get(conn, consignments, before).seq)
    found = chain.get_all(conn, consignments, list(conn.execute(wanted).scalars()))
    return sorted(found.values(), key=lambda entry: -entry.seq)


def keep_plan(
    conn: Connection,
    id_: str,
    consignment_id: str,
    plan: Mapping[str, object],
    context: WriteContext,
) -> tuple[Entry, bool]:
    """Keep a plan and its draw. A later plan takes the place of an earlier one, which is kept."""
    chain.get(conn, consignments, consignment_id)
    content = {"consignment_id": consignment_id, **plan}
    kept = chain.find(conn, plans, id_)
    if kept is not None and chain.canonical(_keys_alone(kept.content)) == chain.canonical(content):
        return kept, False
    return chain.append(conn, plans, id_, content, context)


def _keys_alone(plan: Mapping[str, Any]) -> dict[str, Any]:
    """A plan as it is stored now: statements once had their English sentences beside them."""
    named = old_form.plan_of(plan)
    left = [{"key": one["key"], "values": one["values"]} for one in named["statements"]]
    return {**named, "statements": left}


def plan_in_force(conn: Connection, consignment_id: str) -> Entry | None:
    """The newest plan of a consignment, or None."""
    wanted = (
        select(plans.c.id)
        .where(plans.c.consignment_id == consignment_id)
        .order_by(plans.c.seq.desc())
        .limit(1)
    )
    id_ = conn.execute(wanted).scalar()
    if id_ is None:
        return None
    kept = chain.get(conn, plans, id_)
    return replace(kept, content=old_form.plan_of(kept.content))
