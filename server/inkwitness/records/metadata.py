"""The one `metadata` of all tables, and the shape of a table to which rows are only appended.

A chained table holds facts that are never overwritten. Each row carries the SHA-256 of the row
before it, so that a row changed, left out or slipped in later is seen by `chain.check_chain`.
Its columns are the same everywhere; a table adds only `keys`: columns that repeat one entry of the
content of the same name, so that it can be searched for and referred to.
"""

from typing import Any

from sqlalchemy import Column, Integer, MetaData, String, Table, Text

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(column_0_label)s",
        "uq": "uq_%(table_name)s_%(column_0_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def chained(name: str, *keys: Column[Any]) -> Table:
    """A table of facts: id, canonical JSON, who and when, and the hash chain; plus `keys`."""
    table = Table(
        name,
        metadata,
        Column("seq", Integer, primary_key=True, autoincrement=True),
        Column("id", String(36), nullable=False, unique=True),
        *keys,
        Column("content", Text, nullable=False),
        Column("actor", Text, nullable=False),
        Column("at", String(32), nullable=False),
        Column("clock_offset_ms", Integer, nullable=True),
        Column("previous", String(64), nullable=False, unique=True),
        Column("hash", String(64), nullable=False, unique=True),
        sqlite_autoincrement=True,
    )
    table.info["chained"] = True
    table.info["keys"] = tuple(column.name for column in keys)
    return table
