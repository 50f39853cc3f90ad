"""First tables of people, devices, codes, waits and what was done to them."""

import sqlalchemy as sa
from alembic import op

from inkwitness.records.migrations import refuse_changes

revision = "2026_11_28_first_access"
down_revision = None


def upgrade() -> None:
    op.create_table(
        "people",
        sa.Column("id", sa.String(36), nullable=False),
        sa.Column("name", sa.String(100), nullable=False),
        sa.Column("key", sa.String(200), nullable=False),
        sa.Column("roles", sa.Text(), nullable=False),
        sa.Column("password", sa.String(200), nullable=True),
        sa.Column("pin", sa.String(200), nullable=True),
        sa.Column("made_at", sa.String(32), nullable=False),
        sa.Column("removed_at", sa.String(32), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_people"),
    )
    op.create_index(
        "uq_people_key_in_force",
        "people",
        ["key"],
        unique=True,
        sqlite_where=sa.text("removed_at IS NULL"),
    )
    op.create_table(
        "devices",
        sa.Column("id", sa.String(36), nullable=False),
        sa.Column("token_hash", sa.String(64), nullable=False),
        sa.Column("label", sa.String(100), nullable=False),
        sa.Column("shared", sa.Boolean(), nullable=False),
        sa.Column("person_id", sa.String(36), nullable=True),
        sa.Column("by", sa.String(10), nullable=False),
        sa.Column("joined_by", sa.String(36), nullable=False),
        sa.Column("made_at", sa.String(32), nullable=False),
        sa.Column("seen_at", sa.String(32), nullable=False),
        sa.Column("ends_at", sa.String(32), nullable=False),
        sa.Column("revoked_at", sa.String(32), nullable=True),
        sa.CheckConstraint("\"by\" IN ('first', 'code', 'password', 'pin')", name="ck_devices_by"),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name="fk_devices_person_id_people"),
        sa.ForeignKeyConstraint(["joined_by"], ["people.id"], name="fk_devices_joined_by_people"),
        sa.PrimaryKeyConstraint("id", name="pk_devices"),
        sa.UniqueConstraint("token_hash", name="uq_devices_token_hash"),
    )
    op.create_index("ix_devices_person_id", "devices", ["person_id"])
    op.create_table(
        "codes",
        sa.Column("hash", sa.String(64), nullable=False),
        sa.Column("id", sa.String(36), nullable=False),
        sa.Column("kind", sa.String(10), nullable=False),
        sa.Column("person_id", sa.String(36), nullable=True),
        sa.Column("unit_id", sa.String(36), nullable=True),
        sa.Column("shared", sa.Boolean(), nullable=False),
        sa.Column("uses_left", sa.Integer(), nullable=False),
        sa.Column("made_at", sa.String(32), nullable=False),
        sa.Column("ends_at", sa.String(32), nullable=False),
        sa.CheckConstraint("kind IN ('first', 'join', 'ticket')", name="ck_codes_kind"),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name="fk_codes_person_id_people"),
        sa.PrimaryKeyConstraint("hash", name="pk_codes"),
        sa.UniqueConstraint("id", name="uq_codes_id"),
    )
    op.create_table(
        "waits",
        sa.Column("key", sa.String(300), nullable=False),
        sa.Column("failures", sa.Integer(), nullable=False),
        sa.Column("at", sa.String(32), nullable=False),
        sa.Column("until", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("key", name="pk_waits"),
    )
    op.create_table(
        "events",
        sa.Column("seq", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("at", sa.String(32), nullable=False),
        sa.Column("what", sa.String(40), nullable=False),
        sa.Column("by_id", sa.String(36), nullable=True),
        sa.Column("about", sa.String(36), nullable=True),
        sa.Column("detail", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("seq", name="pk_events"),
        sqlite_autoincrement=True,
    )
    refuse_changes("events")
