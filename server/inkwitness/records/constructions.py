"""How a unit is made and in what state it is, as people saw it: appended, the newest counts."""

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, select

from inkwitness.records import chain
from inkwitness.records.chain import Entry
from inkwitness.records.tables import constructions


def of_unit(conn: Connection, unit_id: str) -> list[Entry]:
    """All that was looked at on a unit, in order."""
    return chain.entries(conn, constructions, unit_id=unit_id)


def newest(conn: Connection, unit_id: str) -> Entry | None:
    """What counts now: whoever looked last said all of it; None where nobody looked."""
    wanted = (
        select(constructions.c.id)
        .where(constructions.c.unit_id == unit_id)
        .order_by(constructions.c.seq.desc())
        .limit(1)
    )
    id_ = conn.execute(wanted).scalar()
    return chain.get(conn, constructions, id_) if id_ else None


def answers(conn: Connection, unit_id: str) -> Mapping[str, str]:
    """The answers that count now, by what was looked at."""
    entry = newest(conn, unit_id)
    found: Mapping[str, str] = entry.content["answers"] if entry is not None else {}
    return found


def content(
    unit_id: str, given: Mapping[str, str], measures: Mapping[str, float], note: str
) -> dict[str, Any]:
    """What is kept."""
    return {
        "unit_id": unit_id,
        "answers": dict(given),
        "measures": dict(measures),
        "note": note.strip(),
    }
