"""The walk past the cartons: which drawn units were picked, whoever ticked them off.

A tick says where a unit is and nothing about it. The last word counts, in the order in which words
came to the server: a phone that had no network may be the last.
"""

from dataclasses import dataclass

from sqlalchemy import Connection

from inkwitness.errors import BadInput
from inkwitness.records import chain
from inkwitness.records.chain import Entry, WriteContext
from inkwitness.records.tables import consignments, declarations, plans

#: What a fact in the table of declarations is, beside a declaration and a decision on papers.
PICKED = "picked"
#: What a draw has: the units to look at, and those in reserve.
_PARTS = ("units", "reserve")


@dataclass(frozen=True, slots=True)
class Tick:
    """A drawn place whose unit was picked from its carton, and the entry that says so."""

    place: str
    entry: Entry


def tick(
    conn: Connection,
    id_: str,
    consignment_id: str,
    place: str,
    context: WriteContext,
    *,
    picked: bool,
) -> None:
    """Keep that a drawn unit was picked, or that it was not after all.

    Raises BadInput where no draw of the consignment has this place; NotFound; Differs.
    """
    chain.get(conn, consignments, consignment_id)
    if chain.find(conn, declarations, id_) is None:
        made = chain.entries(conn, plans, consignment_id=consignment_id)
        # an earlier draw counts too: the tick may have waited on a phone while another was made
        ranked = (
            one["unit"] for plan in made for part in _PARTS for one in plan.content["draw"][part]
        )
        if place not in ranked:
            raise BadInput("place_not_drawn", place=place)
    content = {
        "consignment_id": consignment_id,
        "kind": PICKED,
        "place": place,
        "picked": picked,
    }
    chain.append(conn, declarations, id_, content, context)


def ticks(conn: Connection, consignment_id: str) -> tuple[Tick, ...]:
    """The places that are ticked now, by their names; raises NotFound."""
    chain.get(conn, consignments, consignment_id)
    last: dict[str, Entry] = {}
    for entry in chain.entries(conn, declarations, consignment_id=consignment_id):
        if entry.content["kind"] == PICKED:
            last[entry.content["place"]] = entry
    return tuple(
        Tick(place, entry) for place, entry in sorted(last.items()) if entry.content["picked"]
    )
