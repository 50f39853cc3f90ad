"""Declarations of a consignment: appended, put together, read by whatever asks what there is."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any

from sqlalchemy import Connection

from inkwitness.consignment.draws import SHORTEST_REASON, lot_form
from inkwitness.consignment.intake import FIELDS, Declared, DeclaredLot, together
from inkwitness.errors import BadInput
from inkwitness.records import chain
from inkwitness.records.chain import Entry, WriteContext
from inkwitness.records.tables import consignments, declarations
from inkwitness.rulebook import intake

#: What a fact in the table of declarations is, beside a decision on papers.
DECLARED = "declared"


@dataclass(frozen=True, slots=True)
class Step:
    """One declaration: what it says, and why where it replaces lots. `lots` None: as before."""

    fields: Mapping[str, Any] = field(default_factory=dict)
    lots: tuple[DeclaredLot, ...] | None = None
    answers: Mapping[str, str] = field(default_factory=dict)
    signals: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    reason: str = ""


def declare(
    conn: Connection, id_: str, consignment_id: str, step: Step, context: WriteContext
) -> tuple[Entry, bool]:
    """Keep a declaration. Raises BadInput where nothing is said, a question or signal is not known,
    or lots are split, or fewer units declared, without a reason; NotFound; Differs.
    """
    chain.get(conn, consignments, consignment_id)
    content: dict[str, Any] = {
        "consignment_id": consignment_id,
        "kind": DECLARED,
        "fields": dict(step.fields),
        "lots": None if step.lots is None else [asdict(lot) for lot in step.lots],
        "answers": dict(step.answers),
        "signals": {name: dict(one) for name, one in step.signals.items()},
        "reason": step.reason.strip(),
    }
    if chain.find(conn, declarations, id_) is None:
        _check(conn, consignment_id, step)
    return chain.append(conn, declarations, id_, content, context)


def declared(conn: Connection, consignment_id: str) -> Declared:
    """All that was declared, put together; raises NotFound."""
    first = chain.get(conn, consignments, consignment_id).content
    return together(_first(first), [entry.content for entry in history(conn, consignment_id)])


def history(conn: Connection, consignment_id: str) -> list[Entry]:
    """Every declaration of a consignment after it was opened, in order."""
    made = chain.entries(conn, declarations, consignment_id=consignment_id)
    return [entry for entry in made if entry.content["kind"] == DECLARED]


def content_in_force(conn: Connection, entry: Entry) -> dict[str, Any]:
    """The content of a consignment's entry with what was declared later in its place."""
    steps = history(conn, entry.id)
    if not steps:
        return entry.content
    now = together(_first(entry.content), [step.content for step in steps])
    return {
        **entry.content,
        "units_declared": now.units,
        "cartons_declared": now.cartons,
        "lots": [asdict(lot) for lot in now.lots],
        "supply_condition": now.supply_condition or "",
    }


def lots_declared_later(conn: Connection) -> dict[str, tuple[str, ...]]:
    """The codes of the lots in force of each consignment whose lots were declared anew."""
    return {
        entry.content["consignment_id"]: tuple(lot["code"] for lot in entry.content["lots"])
        for entry in chain.entries(conn, declarations)
        if entry.content["kind"] == DECLARED and entry.content["lots"] is not None
    }


def _first(content: Mapping[str, Any]) -> Declared:
    """What a consignment was opened with."""
    return Declared(
        units=content.get("units_declared"),
        cartons=content.get("cartons_declared"),
        supply_condition=content.get("supply_condition") or None,
        lots=tuple(
            DeclaredLot(lot["code"], lot.get("units"), lot.get("cartons"))
            for lot in content.get("lots", ())
        ),
    )


def _check(conn: Connection, consignment_id: str, step: Step) -> None:
    if not (step.fields or step.lots is not None or step.answers or step.signals):
        raise BadInput("nothing_declared")
    if unknown := sorted(set(step.fields) - set(FIELDS)):
        raise BadInput("no_declared_field", names=", ".join(unknown))
    known = intake.shipped()
    for asked, said in ((known.questions, step.answers), (known.signals, step.signals)):
        if other := sorted(set(said) - {one.id for one in asked}):
            raise BadInput("not_asked", names=", ".join(other))
    before, says_why = declared(conn, consignment_id), len(step.reason.strip()) >= SHORTEST_REASON
    units = step.fields.get("units", before.units)
    # fewer units need fewer to be looked at: whoever says so says why
    if before.units and (units is None or units < before.units) and not says_why:
        raise BadInput("fewer_reason_missing")
    if step.lots is None:
        return
    codes = [lot_form(lot.code) for lot in step.lots]
    if len(set(codes)) != len(codes):
        raise BadInput("lot_twice")
    if before.lots and before.lots != step.lots and not says_why:
        raise BadInput("lots_reason_missing")
