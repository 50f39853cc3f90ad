"""What is found, and where it is kept while it waits to be asked for: two tables of the index."""

import datetime as dt
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from sqlalchemy import (
    Column,
    ColumnElement,
    Connection,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    and_,
    or_,
    select,
)

from inkwitness.holders.numbers import normal_form

Kind = Literal["unit", "consignment"]

METADATA = MetaData()
SEEN = Table(
    "seen",
    METADATA,
    Column("source", String(40), primary_key=True),
    Column("seq", Integer, nullable=False),
    Column("hash", String(64), nullable=False),
)
FOUND = Table(
    "found",
    METADATA,
    Column("kind", String(12), primary_key=True),
    Column("id", String(36), primary_key=True),
    Column("at", String(32), nullable=False, index=True),
    Column("state", String(20), nullable=False, index=True),
    Column("basis", String(10), nullable=False),
    Column("held", Integer, nullable=False),
    Column("released", String(20), nullable=False),
    Column("consignment_id", String(36), nullable=True, index=True),
    Column("label", Text, nullable=False),
    Column("number", Text, nullable=False),
    Column("maker", Text, nullable=False),
    Column("lots", Text, nullable=False),
    Column("people", Text, nullable=False),
    Column("photo_id", String(36), nullable=True),
    Column("words", Text, nullable=False),
)


@dataclass(frozen=True, slots=True)
class Asked:
    """What is looked for. `words` may stand anywhere in the print, in names, labels and lots;
    `number`, `lot`, `maker`, `person` only there. All that is given must hold.
    """

    words: str = ""
    number: str = ""
    lot: str = ""
    maker: str = ""
    person: str = ""
    kind: Kind | None = None
    state: str = ""
    since: dt.date | None = None
    until: dt.date | None = None


@dataclass(frozen=True, slots=True)
class Found:
    """One unit or consignment that was found; `lots` only where they were read or declared."""

    kind: Kind
    id: str
    at: dt.datetime
    outcome: str
    basis: str
    held: bool
    released: str
    consignment_id: str | None
    label: str
    number: str
    maker: str
    lots: tuple[str, ...]
    people: tuple[str, ...]
    photo_id: str | None

    @property
    def place(self) -> str:
        """Where it stands in the order of answers: what to ask on with."""
        return "~".join((self.at.isoformat(timespec="milliseconds"), self.kind, self.id))


def look(
    conn: Connection, asked: Asked, *, limit: int, before: str = ""
) -> tuple[list[Found], bool]:
    """What was found, the newest first, `limit` of it from behind `before`; is there more."""
    wanted = select(FOUND).where(*_conditions(asked)).limit(limit + 1)
    wanted = wanted.order_by(FOUND.c.at.desc(), FOUND.c.kind.desc(), FOUND.c.id.desc())
    if before:
        at, _, rest = before.partition("~")
        kind, _, id_ = rest.partition("~")
        wanted = wanted.where(
            or_(
                FOUND.c.at < at,
                and_(FOUND.c.at == at, FOUND.c.kind < kind),
                and_(FOUND.c.at == at, FOUND.c.kind == kind, FOUND.c.id < id_),
            )
        )
    rows = [_row(row) for row in conn.execute(wanted).mappings()]
    return rows[:limit], len(rows) > limit


def _conditions(asked: Asked) -> list[ColumnElement[bool]]:
    found = [_holds(FOUND.c.words, term) for term in asked.words.split()]
    for column, text in (
        (FOUND.c.number, asked.number),
        (FOUND.c.lots, asked.lot),
        (FOUND.c.maker, asked.maker),
        (FOUND.c.people, asked.person),
    ):
        if text.strip():
            found.append(_holds(column, text.strip()))
    if asked.kind is not None:
        found.append(FOUND.c.kind == asked.kind)
    if asked.since is not None:
        found.append(FOUND.c.at >= asked.since.isoformat())
    if asked.until is not None:
        found.append(FOUND.c.at < (asked.until + dt.timedelta(days=1)).isoformat())
    if asked.state == "held":
        found.append(FOUND.c.held == 1)
    elif asked.state == "released":
        found.append(FOUND.c.released != "")
    elif asked.state == "to_be_confirmed":
        found.append(FOUND.c.basis == "reading")
    elif asked.state == "not_read":
        found.append(FOUND.c.state == "")
    elif asked.state:
        found.append(FOUND.c.state == asked.state)
    return found


def _holds(column: Column[str], text: str) -> ColumnElement[bool]:
    """The column has the text in it; of a number also without spaces and dashes.

    Columns are kept as `written, small | its normal form`, so one comparison sees both.
    """
    plain = column.contains(text.casefold(), autoescape=True)
    bare = normal_form(text).casefold()
    return or_(plain, column.contains(bare, autoescape=True)) if bare else plain


def _row(row: Mapping[Any, Any]) -> Found:
    return Found(
        kind=row["kind"],
        id=row["id"],
        at=dt.datetime.fromisoformat(row["at"]),
        outcome=row["state"],
        basis=row["basis"],
        held=bool(row["held"]),
        released=row["released"],
        consignment_id=row["consignment_id"],
        label=row["label"],
        number=next(iter(shown(row["number"])), ""),
        maker=next(iter(shown(row["maker"])), ""),
        lots=shown(row["lots"]),
        people=shown(row["people"]),
        photo_id=row["photo_id"],
    )


def shown(kept: str) -> tuple[str, ...]:
    """The texts of a column as they are."""
    return tuple(json.loads(kept.partition("\n")[0])) if kept else ()
