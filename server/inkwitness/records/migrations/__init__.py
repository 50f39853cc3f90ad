"""Steps from each set of tables to the next.

A new table: describe it in `records/tables.py`, write `versions/DATE_slug.py` whose
`down_revision` is the newest `revision` (`make_facts` makes a table of facts), and run
tests/records: it says where models and migrations differ. A migration that was ever released is
never edited.
"""

from collections.abc import Mapping

import sqlalchemy as sa
from alembic import op


def refuse_changes(table: str) -> None:
    """Let the database itself refuse to change or delete a row of a table of facts."""
    for verb in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER refuse_{verb.lower()}_{table} BEFORE {verb} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{table}: rows are only appended'); END"
        )


def make_facts(
    name: str,
    *keys: tuple[str, str, bool],
    texts: Mapping[str, int] | None = None,
    searched: tuple[str, ...] = (),
) -> None:
    """A table of facts as `tables.chained` describes it.

    `keys` are (column, table referred to, may be empty), `texts` further columns with their
    length; all keys and what is `searched` get an index.
    """
    told = texts or {}
    op.create_table(
        name,
        sa.Column("seq", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("id", sa.String(36), nullable=False),
        *(sa.Column(column, sa.String(36), nullable=nullable) for column, _, nullable in keys),
        *(sa.Column(column, sa.String(length), nullable=False) for column, length in told.items()),
        sa.Column("content", sa.Text(), nullable=False),
        sa.Column("actor", sa.Text(), nullable=False),
        sa.Column("at", sa.String(32), nullable=False),
        sa.Column("clock_offset_ms", sa.Integer(), nullable=True),
        sa.Column("previous", sa.String(64), nullable=False),
        sa.Column("hash", sa.String(64), nullable=False),
        *(
            sa.ForeignKeyConstraint(
                [column], [f"{refers_to}.id"], name=f"fk_{name}_{column}_{refers_to}"
            )
            for column, refers_to, _ in keys
        ),
        sa.PrimaryKeyConstraint("seq", name=f"pk_{name}"),
        sa.UniqueConstraint("id", name=f"uq_{name}_id"),
        sa.UniqueConstraint("previous", name=f"uq_{name}_previous"),
        sa.UniqueConstraint("hash", name=f"uq_{name}_hash"),
        sqlite_autoincrement=True,
    )
    for column in (*(column for column, _, _ in keys), *searched):
        op.create_index(f"ix_{name}_{column}", name, [column])
    refuse_changes(name)
