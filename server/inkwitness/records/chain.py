"""Append facts, find them again, and see whether any was changed since.

Each row is bound to the one before it: `hash` is the SHA-256 of the previous row's hash and the
canonical JSON (RFC 8785, 2020) of the whole row, in which the content stands as the text that is
stored. Rows written before that form came in have their numbers as Python writes them (`1.0`,
`1e-07`). They need no verifier of their own and are never written again: what is hashed is the
stored text, letter for letter, beside strings and one small whole number, which both forms write
alike. The chain shows change after writing. It does not show that what was written was
true, nor that the clock was right, and rows cut off its end are seen only by whoever kept a head
(`records.integrity.heads`), which is why reports print it.
"""

import datetime as dt
import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, get_args

import rfc8785
from sqlalchemy import Connection, RowMapping, Table, func, insert, inspect, select, text

from inkwitness.consignment.dispositions import Role
from inkwitness.errors import BadInput, Differs, NotFound
from inkwitness.records.tables import NEWEST, metadata

ROLES: tuple[Role, ...] = get_args(Role)


def stamp(at: dt.datetime) -> str:
    """A time as it is kept: UTC, so that texts sort as times do."""
    return at.astimezone(dt.UTC).isoformat(timespec="milliseconds")


@dataclass(frozen=True, slots=True)
class Actor:
    """Who writes. On loopback: the person who typed a name, with all roles."""

    id: str
    name: str
    roles: tuple[str, ...] = ROLES


@dataclass(frozen=True, slots=True)
class WriteContext:
    """Who writes, when by the server's clock, and how far the writer's own clock is from it.

    `clock_offset_ms` is the writer's clock minus the server's, in milliseconds; None if not told.
    """

    actor: Actor
    at: dt.datetime
    clock_offset_ms: int | None = None


@dataclass(frozen=True, slots=True)
class Entry:
    """One appended fact."""

    seq: int
    id: str
    content: dict[str, Any]
    context: WriteContext
    hash: str

    @property
    def at(self) -> dt.datetime:
        return self.context.at


@dataclass(frozen=True, slots=True)
class ChainState:
    """What looking through one table's chain showed; `broken_at` is a row number or None."""

    table: str
    rows: int
    head: str
    broken_at: int | None = None
    reason: str = ""


def local_actor(name: str) -> Actor:
    """The actor for a name typed on this machine."""
    return Actor(id=f"local:{' '.join(name.split()).casefold()}", name=" ".join(name.split()))


def canonical(content: Any) -> str:
    """The JSON text of RFC 8785 for one content: a value has one text, whoever writes it.

    Raises BadInput for what a person may send and that form cannot hold: a whole number beyond
    2**53, NaN, half a character (a lone surrogate).
    """
    try:
        return rfc8785.dumps(content).decode()
    except rfc8785.CanonicalizationError as error:
        numbers = (rfc8785.IntegerDomainError, rfc8785.FloatDomainError)
        if not isinstance(error, numbers) and not isinstance(error.__context__, UnicodeError):
            raise  # bytes, a key that is no text: a fault of the program, no person sends them
        raise BadInput("not_json", why=str(error)) from error


def parsed(text: str) -> Any:
    """The content of a stored text: `canonical` of it is the same text again.

    RFC 8785 writes numbers as ECMAScript does, so what is beyond 2**53 was no whole number.
    """
    return json.loads(text, parse_int=_number)


def _number(digits: str) -> int | float:
    value = int(digits)
    return value if abs(value) < 2**53 else float(digits)


def genesis(table: str) -> str:
    """What the first row of a table has as its previous hash."""
    return hashlib.sha256(f"inkwitness chain {table}".encode()).hexdigest()


def append(
    conn: Connection, table: Table, id_: str, content: Mapping[str, object], context: WriteContext
) -> tuple[Entry, bool]:
    """Append a fact; answers the entry and whether it is new.

    The same id with the same content changes nothing; with other content it raises Differs.
    The connection must be one of `database.Database.writing`, where writers take turns.
    """
    written = canonical(content)
    existing = same(conn, table, id_, content)
    if existing is not None:
        return existing, False
    last = conn.execute(select(table.c.hash).order_by(table.c.seq.desc()).limit(1)).scalar()
    row = {
        "id": id_,
        "content": written,
        "actor": canonical(
            {"id": context.actor.id, "name": context.actor.name, "roles": list(context.actor.roles)}
        ),
        "at": stamp(context.at),
        "clock_offset_ms": context.clock_offset_ms,
        "previous": last or genesis(table.name),
    }
    row["hash"] = _hash(row)
    keys = {name: content.get(name) for name in table.info["keys"]}
    conn.execute(insert(table).values(**row, **keys))
    stored = find(conn, table, id_)
    assert stored is not None
    return stored, True


def same(conn: Connection, table: Table, id_: str, content: Mapping[str, object]) -> Entry | None:
    """The fact of this id and content, None where nothing has the id; raises Differs."""
    existing = find(conn, table, id_)
    if existing is not None and canonical(existing.content) != canonical(content):
        raise Differs("stored_otherwise", table=table.name, id=id_)
    return existing


def find(conn: Connection, table: Table, id_: str) -> Entry | None:
    """The fact of this id, or None."""
    row = conn.execute(select(table).where(table.c.id == id_)).mappings().first()
    return _entry(row) if row is not None else None


def get(conn: Connection, table: Table, id_: str) -> Entry:
    """The fact of this id; raises NotFound."""
    entry = find(conn, table, id_)
    if entry is None:
        raise NotFound("no_entry", id=id_, table=table.name)
    return entry


def get_all(conn: Connection, table: Table, ids: Sequence[str]) -> dict[str, Entry]:
    """The facts of these ids, at most some thousands, by id; raises NotFound."""
    rows = conn.execute(select(table).where(table.c.id.in_(ids))).mappings()
    found = {row["id"]: _entry(row) for row in rows}
    for id_ in ids:
        if id_ not in found:
            raise NotFound("no_entry", id=id_, table=table.name)
    return found


def entries(conn: Connection, table: Table, **keys: str | int) -> list[Entry]:
    """All facts whose key columns have these values, in the order they were appended."""
    wanted = select(table).order_by(table.c.seq)
    for name, value in keys.items():
        wanted = wanted.where(table.c[name] == value)
    return [_entry(row) for row in conn.execute(wanted).mappings()]


def naming(conn: Connection, table: Table, letters: str) -> list[Entry]:
    """All facts in whose stored text these letters stand (a hash), in order; no other is parsed."""
    wanted = select(table).where(func.instr(table.c.content, letters) > 0).order_by(table.c.seq)
    return [_entry(row) for row in conn.execute(wanted).mappings()]


def check_chain(conn: Connection, table: Table) -> ChainState:
    """Look through a table's chain from its first row; stops at the first row that is not whole."""
    previous = genesis(table.name)
    rows = 0
    for row in conn.execute(select(table).order_by(table.c.seq)).mappings():
        reason = broken(table, row, previous)
        if reason:
            return ChainState(table.name, rows, previous, row["seq"], reason)
        previous = row["hash"]
        rows += 1
    return ChainState(table.name, rows, previous)


def broken(table: Table, row: RowMapping, previous: str) -> str:
    """Why a row is not as it was written after the row of hash `previous`; empty where it is."""
    if row["previous"] != previous:
        return "does not follow the row before it"
    if row["hash"] != _hash(row):
        return "was changed after it was written"
    keys = table.info["keys"]
    if keys:
        content = parsed(row["content"])
        if any(content.get(key) != row[key] for key in keys):
            return "has a key column that differs from its content"
    return ""


def chained_tables() -> list[Table]:
    """Every table of facts, by name."""
    return [t for _, t in sorted(metadata.tables.items()) if t.info.get("chained")]


def tables_in(conn: Connection) -> list[Table]:
    """The tables of facts that a database has: an older version made fewer of them."""
    there = set(inspect(conn).get_table_names())
    return [table for table in chained_tables() if table.name in there]


def lost_tables(conn: Connection) -> list[str]:
    """Tables that a database of this version should have and has not."""
    version = conn.execute(text("SELECT version_num FROM alembic_version")).scalar()
    there = {table.name for table in tables_in(conn)}
    wanted = [table.name for table in chained_tables()] if version == NEWEST else []
    return [name for name in wanted if name not in there]


def last_times(conn: Connection) -> dict[str, str]:
    """When the last row of each table of facts was appended (ISO 8601), by the server's clock."""
    found = {}
    for table in tables_in(conn):
        last = select(table.c.at).order_by(table.c.seq.desc()).limit(1)
        at = conn.execute(last).scalar()
        if at is not None:
            found[table.name] = at
    return found


def _hash(row: Mapping[str, object] | RowMapping) -> str:
    signed = {
        "actor": row["actor"],
        "at": row["at"],
        "clock_offset_ms": row["clock_offset_ms"],
        "content": row["content"],
        "id": row["id"],
    }
    # For strings and a small whole number this is RFC 8785's text too (a test shows it), and it is
    # made thirty times sooner: an audit does so for every row that was ever written.
    text = json.dumps(signed, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(f"{row['previous']}\n{text}".encode()).hexdigest()


def _entry(row: RowMapping) -> Entry:
    actor = json.loads(row["actor"])
    return Entry(
        seq=row["seq"],
        id=row["id"],
        content=parsed(row["content"]),
        context=WriteContext(
            actor=Actor(actor["id"], actor["name"], tuple(actor["roles"])),
            at=dt.datetime.fromisoformat(row["at"]),
            clock_offset_ms=row["clock_offset_ms"],
        ),
        hash=row["hash"],
    )
