"""How goods in store stand: what was decided on them, or on their lot, and the gate as it is."""

import datetime as dt
import json
from collections.abc import Sequence

from sqlalchemy import Connection, select

from inkwitness.consignment.dispositions import HOLDS, RELEASES, held, released
from inkwitness.consignment.draws import lot_form
from inkwitness.consignment.gate import Goods, Terms, blocks
from inkwitness.consignment.lots import lot_of
from inkwitness.consignment.stock import Standing, same_lot
from inkwitness.consignment.values import Refusal
from inkwitness.records import chain
from inkwitness.records.chain import Entry
from inkwitness.records.tables import attachments, consignments, decisions, units
from inkwitness.use_cases import goods

#: A release was given knowing these; that a look-up grew old since is a reminder, no stop, and a
#: second person agreed to what was known then.
_AGED = frozenset({"look_up_too_old", "second_person"})


def standing(conn: Connection, goods_id: str, terms: Terms, lot: str = "") -> Standing:
    """How a consignment, or a unit by itself, stands: what was decided, and the gate as it is.

    With `lot` what was decided on that lot of the consignment counts too.
    """
    if chain.find(conn, consignments, goods_id) is None:
        taken = chain.entries(conn, decisions, unit_id=goods_id)
        return _standing(goods.of_unit(conn, goods_id, on=terms.on), taken, _kinds(taken), terms)
    every = chain.entries(conn, decisions, consignment_id=goods_id)
    # however the lot is spelt in store: a decision on it is about it
    taken = [one for one in every if not (of := one.content.get("lot", "")) or same_lot(of, lot)]
    kinds = _kinds(taken)
    if not released(kinds) and not _any_unit_held(conn, goods_id):
        return Standing(tuple(kinds))  # the gate need not be asked
    last = next((one for one in reversed(taken) if one.content["disposition"] in RELEASES), None)
    if last is None or not last.content.get("lot"):
        found = goods.of_consignment(conn, goods_id, on=terms.on)
        return _standing(found, taken, kinds, terms)
    declared = lot_of(lot, list(goods.lot_sizes(conn, goods_id)))
    if not declared:
        # the lot that was released was split or renamed since: of which goods is not known
        return Standing(tuple(kinds), shut=(Refusal("lot_split", (("lot", lot),)),))
    return _standing(goods.of_lot(conn, goods_id, declared, on=terms.on), taken, kinds, terms)


def _kinds(taken: Sequence[Entry]) -> list[str]:
    """What was decided, in order; a hold on the whole is not ended by lifting one on a lot."""
    kinds = [one.content["disposition"] for one in taken]
    parts: dict[str, list[str]] = {}
    for one, kind in zip(taken, kinds, strict=True):
        parts.setdefault(lot_form(one.content.get("lot", "")), []).append(kind)
    return [*kinds, "hold"] if any(map(held, parts.values())) else kinds


def lot_decided(conn: Connection, goods_id: str) -> bool:
    """Whether some decision on a consignment names a lot."""
    wanted = select(decisions.c.content).where(decisions.c.consignment_id == goods_id)
    return any('"lot":' in content for content in conn.execute(wanted).scalars())


def _any_unit_held(conn: Connection, consignment_id: str) -> bool:
    """Whether a hold was ever put on a unit that is, or was, under a consignment."""
    here = select(units.c.id).where(units.c.consignment_id == consignment_id)
    came = select(attachments.c.unit_id).where(attachments.c.consignment_id == consignment_id)
    wanted = select(decisions.c.content).where(
        decisions.c.unit_id.in_(here) | decisions.c.unit_id.in_(came)
    )
    return any(
        json.loads(content)["disposition"] in HOLDS for content in conn.execute(wanted).scalars()
    )


def _standing(found: Goods, taken: Sequence[Entry], kinds: Sequence[str], terms: Terms) -> Standing:
    kind = released(kinds)
    unit_held = any(held([act.kind for act in acts]) for acts in found.unit_acts.values())
    if not kind:
        return Standing(tuple(kinds), unit_held=unit_held)
    last = next(one for one in reversed(taken) if one.content["disposition"] == kind)
    until = last.content.get("until") or ""
    return Standing(
        tuple(kinds),
        last.content["limits"],
        dt.date.fromisoformat(until) if until else None,
        stopped_by(found, terms, kind),
        unit_held,
        last.content.get("only_as", ""),
    )


def stopped_by(found: Goods, terms: Terms, kind: str) -> tuple[Refusal, ...]:
    """What stands now in the way of goods that were released so; empty where that is nothing, or
    where `kind` is: nobody released them.
    """
    if not kind:
        return ()
    shut = blocks(found, terms, kind=kind)  # type: ignore[arg-type]  # one of RELEASES
    return tuple(one for one in shut if one.key not in _AGED)
