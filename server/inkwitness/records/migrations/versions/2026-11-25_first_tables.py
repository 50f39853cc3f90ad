"""First tables: consignments, units, photos, readings, confirmations, checks, decisions, plans."""

from collections.abc import Mapping

import sqlalchemy as sa
from alembic import op

from inkwitness.records.migrations import refuse_changes

revision = "2026_11_25_first_tables"
down_revision = None


def upgrade() -> None:
    _chained("consignments")
    _chained("units", ("consignment_id", "consignments", True))
    _chained("attachments", ("unit_id", "units", False), ("consignment_id", "consignments", False))
    _chained(
        "photos", ("unit_id", "units", False), ("sha256", "", False), ("replaces", "photos", True)
    )
    _chained("readings", ("photo_id", "photos", False))
    _chained("confirmations", ("photo_id", "photos", False))
    _chained(
        "checks",
        ("photo_id", "photos", False),
        ("reading_id", "readings", False),
        more={
            "outcome": 20,
            "basis": 10,
            "scheme": 40,
            "approval_number": 200,
            "holder": 400,
            "looked_up": 400,
        },
    )
    _chained("decisions", ("unit_id", "units", True), ("consignment_id", "consignments", True))
    _chained("plans", ("consignment_id", "consignments", False))
    op.create_table(
        "jobs",
        sa.Column("id", sa.String(36), nullable=False),
        sa.Column("photo_id", sa.String(36), nullable=False),
        sa.Column("state", sa.String(10), nullable=False),
        sa.Column("stage", sa.String(40), nullable=False),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("check_id", sa.String(36), nullable=True),
        sa.Column("error_code", sa.String(40), nullable=True),
        sa.Column("error_message", sa.Text(), nullable=True),
        sa.Column("actor", sa.Text(), nullable=False),
        sa.Column("made_at", sa.String(32), nullable=False),
        sa.Column("changed_at", sa.String(32), nullable=False),
        sa.CheckConstraint(
            "state IN ('waiting', 'reading', 'done', 'failed')", name=op.f("ck_jobs_state")
        ),
        sa.ForeignKeyConstraint(["check_id"], ["checks.id"], name="fk_jobs_check_id_checks"),
        sa.ForeignKeyConstraint(["photo_id"], ["photos.id"], name="fk_jobs_photo_id_photos"),
        sa.PrimaryKeyConstraint("id", name="pk_jobs"),
        sa.UniqueConstraint("photo_id", name="uq_jobs_photo_id"),
    )
    op.create_index("ix_jobs_state", "jobs", ["state"])


def _chained(
    name: str, *keys: tuple[str, str, bool], more: Mapping[str, int] | None = None
) -> None:
    """A table of facts; `keys` are (column, table referred to or "", may be empty).

    `more` are text columns without an index, and their lengths.
    """
    op.create_table(
        name,
        sa.Column("seq", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("id", sa.String(36), nullable=False),
        *(
            sa.Column(column, sa.String(36 if refers_to else 64), nullable=nullable)
            for column, refers_to, nullable in keys
        ),
        *(
            sa.Column(column, sa.String(length), nullable=False)
            for column, length in (more or {}).items()
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
            for column, refers_to, _ in keys
            if refers_to
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
