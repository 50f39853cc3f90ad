"""The head of the records: one hash that stands for every row up to a moment, kept elsewhere.

Whoever can write to the data folder can also cut rows off the end of a chain, or compute a chain
anew. Nothing inside the folder shows that; a head that was printed or kept elsewhere does. It says
how many rows each table had and what the hash over their last rows was.
"""

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from sqlalchemy import Connection, func, select

from inkwitness.errors import BadInput
from inkwitness.records.chain import canonical, tables_in

_WRITTEN = re.compile(r"\b([0-9a-f]{64})\b")
_COUNT = re.compile(r"\b([a-z_]+)=([0-9]{1,12})\b")


@dataclass(frozen=True, slots=True)
class Head:
    """The hash over the last rows of all tables that have any, and how many rows each has.

    `each` are the tables' own last hashes, which a head that was printed does not carry.
    """

    head: str
    rows: Mapping[str, int]
    each: Mapping[str, str] = field(default_factory=dict)

    @property
    def counts(self) -> str:
        """`table=rows` of each table that has any, as reports print it beside the hash."""
        return " ".join(f"{name}={count}" for name, count in self.rows.items())

    def as_json(self) -> str:
        """As it is exported: a file for a mail, a stick, a sheet in a drawer."""
        told = {"head": self.head, "rows": dict(self.rows), "each": dict(self.each)}
        return json.dumps(told, indent=1) + "\n"


def head_of(conn: Connection) -> Head:
    """The head of the records as they are now."""
    rows, each = {}, {}
    for table in tables_in(conn):
        last = conn.execute(select(table.c.hash).order_by(table.c.seq.desc()).limit(1)).scalar()
        if last is not None:
            each[table.name] = last
            rows[table.name] = conn.execute(select(func.count()).select_from(table)).scalar_one()
    return Head(over(each), rows, each)


def over(each: Mapping[str, str]) -> str:
    """The one hash over the last hashes of the tables that have rows."""
    return hashlib.sha256(canonical(dict(each)).encode()).hexdigest()


def read_head(text: str) -> Head:
    """A head as exported, or as printed on a report. Raises BadInput."""
    try:
        told = json.loads(text)
    except ValueError:
        told = None
    if isinstance(told, dict):
        try:
            return Head(str(told["head"]), dict(told["rows"]), dict(told.get("each", {})))
        except (KeyError, TypeError, ValueError) as error:
            raise BadInput("no_head_in_file") from error
    found = _WRITTEN.search(text)
    rows = {name: int(count) for name, count in _COUNT.findall(text)}
    if found is None or not rows:
        raise BadInput("no_head")
    return Head(found.group(1), rows)
