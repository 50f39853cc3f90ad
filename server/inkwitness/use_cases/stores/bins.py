"""Goods sorted into bins without a consignment: counts group by group, and the hand-over.

A sorting is one table on one day; its id is made by the phone that begins it, and other devices may
add to it. A bin says what to do with goods, never what they are worth: none of them is a release.
"""

import datetime as dt
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, get_args

from sqlalchemy import Connection

from inkwitness.errors import BadInput
from inkwitness.records import chain
from inkwitness.records.chain import Entry, WriteContext
from inkwitness.records.consignments import Refused
from inkwitness.records.tables import bins as bins_table

#: The bins of the job map, scenario 6 (common practice, no source).
Bin = Literal[
    "sealed",
    "opened",
    "loose",
    "medical",
    "ear_loop",
    "child",
    "no_print",
    "not_sure",
    "discard",
]


@dataclass(frozen=True, slots=True)
class SortedGroup:
    """Identical items that were put into a bin; `unit_id` is where their photos are, if any."""

    entry_id: str
    bin: Bin
    count: int
    unit_id: str | None
    by: str
    at: dt.datetime


@dataclass(frozen=True, slots=True)
class Handed:
    """The hand-over: what the counts were then, and the competent person who takes over."""

    entry_id: str
    received_by: str
    words: str
    counts: Mapping[str, int]
    by: str
    at: dt.datetime


@dataclass(frozen=True, slots=True)
class Sorting:
    """One sorting: its groups in the order they were put in, those taken back left out.

    Groups that came after a hand-over (from a phone that had no network) are `late`: they are on no
    sheet that was signed.
    """

    sorting_id: str
    place: str
    groups: tuple[SortedGroup, ...]
    handed_over: tuple[Handed, ...]
    last_at: dt.datetime
    late: int = 0
    counts: Mapping[str, int] = field(default_factory=dict)

    @property
    def pieces(self) -> int:
        return sum(self.counts.values())


def put(
    conn: Connection,
    id_: str,
    context: WriteContext,
    *,
    sorting_id: str,
    bin_: str,
    count: int,
    place: str = "",
    unit_id: str | None = None,
) -> tuple[Entry, bool]:
    """Put a group into a bin. `unit_id` may name a unit whose photos are still on their way."""
    if bin_ not in get_args(Bin):
        raise BadInput("bad_bin", allowed=", ".join(get_args(Bin)))
    if not 1 <= count <= 1_000_000:
        raise BadInput("bad_count")
    content = {
        "kind": "put",
        "sorting_id": sorting_id,
        "place": place.strip(),
        "bin": bin_,
        "count": count,
        "unit_id": unit_id,
    }
    return chain.append(conn, bins_table, id_, content, context)


def take_back(
    conn: Connection, id_: str, entry_id: str, context: WriteContext
) -> tuple[Entry, bool]:
    """Take a group back out: it stays in the records and is counted no more.

    Raises Refused once a sheet with it was signed.
    """
    entry = chain.get(conn, bins_table, entry_id)
    if entry.content["kind"] != "put":
        raise BadInput("bin_only_put")
    content = {
        "kind": "taken_back",
        "sorting_id": entry.content["sorting_id"],
        "entry_id": entry_id,
    }
    if chain.find(conn, bins_table, id_) is None:
        handed = _of(conn, entry.content["sorting_id"])
        if any(one.content["kind"] == "handed_over" and one.seq > entry.seq for one in handed):
            raise Refused("bin_handed_over")
    return chain.append(conn, bins_table, id_, content, context)


def hand_over(
    conn: Connection,
    id_: str,
    sorting_id: str,
    context: WriteContext,
    *,
    received_by: str,
    words: str = "",
    counts: Mapping[str, int],
) -> tuple[Entry, bool]:
    """Keep that a competent person took the bins over, with the counts that stand on the sheet.

    Raises Refused where the counts are not those that are kept: a group is missing, or was added.
    """
    if len(received_by.strip()) < 2:
        raise BadInput("received_by_missing")
    said = {name: count for name, count in sorted(counts.items()) if count}
    content = {
        "kind": "handed_over",
        "sorting_id": sorting_id,
        "received_by": " ".join(received_by.split()),
        "words": words.strip(),
        "counts": said,
    }
    if chain.find(conn, bins_table, id_) is None:
        now = sorting(conn, sorting_id)
        if not now.pieces:
            raise Refused("bins_empty")
        if said != {name: count for name, count in now.counts.items() if count}:
            told = ", ".join(f"{name} {count}" for name, count in sorted(now.counts.items()))
            raise Refused("bins_counts_differ", kept=told)
    return chain.append(conn, bins_table, id_, content, context)


def sorting(conn: Connection, sorting_id: str) -> Sorting:
    """One sorting; one of which nothing came yet is empty."""
    found = [_made(sorting_id, entries) for entries in [_of(conn, sorting_id)] if entries]
    nothing = Sorting(sorting_id, "", (), (), dt.datetime.min.replace(tzinfo=dt.UTC))
    return found[0] if found else nothing


def sortings(conn: Connection) -> list[Sorting]:
    """Every sorting, the newest first."""
    by: dict[str, list[Entry]] = {}
    for entry in chain.entries(conn, bins_table):
        by.setdefault(entry.content["sorting_id"], []).append(entry)
    made = [_made(sorting_id, entries) for sorting_id, entries in by.items()]
    return sorted(made, key=lambda one: one.last_at, reverse=True)


def _of(conn: Connection, sorting_id: str) -> list[Entry]:
    every = chain.entries(conn, bins_table)
    return [entry for entry in every if entry.content["sorting_id"] == sorting_id]


def _made(sorting_id: str, entries: list[Entry]) -> Sorting:
    taken = {one.content["entry_id"] for one in entries if one.content["kind"] == "taken_back"}
    puts = [one for one in entries if one.content["kind"] == "put" and one.id not in taken]
    handed = [one for one in entries if one.content["kind"] == "handed_over"]
    counts = Counter[str]()
    for one in puts:
        counts[one.content["bin"]] += one.content["count"]
    last_signed = handed[-1].seq if handed else None
    return Sorting(
        sorting_id=sorting_id,
        place=next((one.content["place"] for one in puts if one.content["place"]), ""),
        groups=tuple(
            SortedGroup(
                one.id,
                one.content["bin"],
                one.content["count"],
                one.content["unit_id"],
                one.context.actor.name,
                one.at,
            )
            for one in puts
        ),
        handed_over=tuple(
            Handed(
                one.id,
                one.content["received_by"],
                one.content["words"],
                one.content["counts"],
                one.context.actor.name,
                one.at,
            )
            for one in handed
        ),
        last_at=entries[-1].at,
        late=sum(one.seq > last_signed for one in puts) if last_signed is not None else 0,
        counts=dict(counts),
    )
