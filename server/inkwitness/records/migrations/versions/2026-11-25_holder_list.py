"""The holder list: proposals, editions, look-ups at the authority's own list, re-checks."""

import sqlalchemy as sa
from alembic import op

from inkwitness.records.migrations import refuse_changes

revision = "2026_11_25_holder_list"
down_revision = "2026_11_25_first_tables"


def upgrade() -> None:
    _chained("list_proposals")
    _chained("list_editions", ("proposal_id", "list_proposals", False))
    _chained(
        "official_look_ups", ("unit_id", "units", True), ("consignment_id", "consignments", True)
    )
    _chained("list_rechecks", ("edition_id", "list_editions", False), ("photo_id", "photos", False))


def _chained(name: str, *keys: tuple[str, str, bool]) -> None:
    """A table of facts; `keys` are (column, table referred to, may be empty)."""
    op.create_table(
        name,
        sa.Column("seq", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("id", sa.String(36), nullable=False),
        *(sa.Column(column, sa.String(36), nullable=nullable) for column, _, nullable in keys),
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
    for column, _, _ in keys:
        op.create_index(f"ix_{name}_{column}", name, [column])
    refuse_changes(name)
