"""The rows that a consignment rests on, as they are stored, so that each gives its own hash."""

import json
from collections.abc import Iterator, Sequence

from sqlalchemy import Connection, RowMapping, Table, select

from inkwitness.records import chain
from inkwitness.records.database import slices
from inkwitness.records.tables import consignments, list_editions, list_proposals, photos, units

#: A row's own columns; the others repeat entries of `content`.
_OWN = ("seq", "id", "content", "actor", "at", "clock_offset_ms", "previous", "hash")
_AT_ONCE = 500


def rows_of(
    conn: Connection, consignment_id: str, unit_ids: Sequence[str]
) -> Iterator[tuple[str, bytes]]:
    """Each table that has rows about the goods, and these rows, one JSON object a line.

    Editions of the list, and the proposals that they were made of, are there whole.
    """
    photo_ids = [
        row["id"]
        for part in slices(unit_ids, _AT_ONCE)
        for row in conn.execute(select(photos).where(photos.c.unit_id.in_(part))).mappings()
    ]
    for table in chain.chained_tables():
        found = {
            row["seq"]: row for row in _about(conn, table, consignment_id, unit_ids, photo_ids)
        }
        if found:
            yield table.name, b"".join(_line(found[seq]) for seq in sorted(found))


def _about(
    conn: Connection,
    table: Table,
    consignment_id: str,
    unit_ids: Sequence[str],
    photo_ids: Sequence[str],
) -> Iterator[RowMapping]:
    if table in (list_editions, list_proposals):
        yield from conn.execute(select(table)).mappings()
        return
    wanted: list[tuple[str, Sequence[str]]] = []
    if table is consignments:
        wanted.append(("id", [consignment_id]))
    if table is units:
        wanted.append(("id", unit_ids))
    if "consignment_id" in table.c:
        wanted.append(("consignment_id", [consignment_id]))
    if "unit_id" in table.c:
        wanted.append(("unit_id", unit_ids))
    if "photo_id" in table.c:
        wanted.append(("photo_id", photo_ids))
    for column, ids in wanted:
        for part in slices(ids, _AT_ONCE):
            yield from conn.execute(select(table).where(table.c[column].in_(part))).mappings()


def _line(row: RowMapping) -> bytes:
    told = {name: row[name] for name in _OWN}
    return json.dumps(told, ensure_ascii=False, sort_keys=True).encode() + b"\n"
