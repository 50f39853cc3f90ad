"""Checks of a unit: what its photos come to together."""

import sqlalchemy as sa
from alembic import op

from inkwitness.records.migrations import refuse_changes

revision = "2026_11_25_unit_checks"
down_revision = "2026_11_25_holder_list"

_KEYS = (("unit_id", "units", False), ("edition_id", "list_editions", True))
_TEXTS = {
    "outcome": 20,
    "basis": 10,
    "scheme": 40,
    "approval_number": 200,
    "holder": 400,
    "looked_up": 400,
}


def upgrade() -> None:
    name = "unit_checks"
    op.create_table(
        name,
        sa.Column("seq", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("id", sa.String(36), nullable=False),
        *(sa.Column(column, sa.String(36), nullable=nullable) for column, _, nullable in _KEYS),
        *(
            sa.Column(column, sa.String(length), nullable=False)
            for column, length in _TEXTS.items()
        ),
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
            for column, refers_to, _ in _KEYS
        ),
        sa.PrimaryKeyConstraint("seq", name=f"pk_{name}"),
        sa.UniqueConstraint("id", name=f"uq_{name}_id"),
        sa.UniqueConstraint("previous", name=f"uq_{name}_previous"),
        sa.UniqueConstraint("hash", name=f"uq_{name}_hash"),
        sqlite_autoincrement=True,
    )
    for column, _, _ in _KEYS:
        op.create_index(f"ix_{name}_{column}", name, [column])
    refuse_changes(name)
