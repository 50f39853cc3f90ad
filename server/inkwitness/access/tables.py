"""The tables of `access.sqlite`. Secrets are kept only as hashes."""

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    text,
)

from inkwitness.records.tables import NAMING

metadata = MetaData(naming_convention=NAMING)

# `key` is the name as it is compared; `roles` a JSON list; password and PIN are argon2id strings.
people = Table(
    "people",
    metadata,
    Column("id", String(36), primary_key=True),
    Column("name", String(100), nullable=False),
    Column("key", String(200), nullable=False),
    Column("roles", Text, nullable=False),
    Column("password", String(200), nullable=True),
    Column("pin", String(200), nullable=True),
    Column("made_at", String(32), nullable=False),
    Column("removed_at", String(32), nullable=True),
)
# Two people of one name could not be told apart in the records; a name is free again once removed.
Index(
    "uq_people_key_in_force",
    people.c.key,
    unique=True,
    sqlite_where=text("removed_at IS NULL"),
)

# A device is a session: its cookie's SHA-256, and who is signed in on it now.
devices = Table(
    "devices",
    metadata,
    Column("id", String(36), primary_key=True),
    Column("token_hash", String(64), nullable=False, unique=True),
    Column("label", String(100), nullable=False),
    Column("shared", Boolean, nullable=False),
    Column("person_id", String(36), ForeignKey("people.id"), nullable=True, index=True),
    Column("by", String(10), nullable=False),
    Column("joined_by", String(36), ForeignKey("people.id"), nullable=False),
    Column("made_at", String(32), nullable=False),
    Column("seen_at", String(32), nullable=False),
    Column("ends_at", String(32), nullable=False),
    Column("revoked_at", String(32), nullable=True),
    CheckConstraint("\"by\" IN ('first', 'code', 'password', 'pin')", name="by"),
)

codes = Table(
    "codes",
    metadata,
    Column("hash", String(64), primary_key=True),
    Column("id", String(36), nullable=False, unique=True),
    Column("kind", String(10), nullable=False),
    Column("person_id", String(36), ForeignKey("people.id"), nullable=True),
    Column("unit_id", String(36), nullable=True),
    Column("shared", Boolean, nullable=False),
    Column("uses_left", Integer, nullable=False),
    Column("made_at", String(32), nullable=False),
    Column("ends_at", String(32), nullable=False),
    CheckConstraint("kind IN ('first', 'join', 'ticket')", name="kind"),
)

waits = Table(
    "waits",
    metadata,
    Column("key", String(300), primary_key=True),
    Column("failures", Integer, nullable=False),
    Column("at", String(32), nullable=False),
    Column("until", String(32), nullable=False),
)

# Rows are only appended: who gave whom which role, who joined or revoked which device.
events = Table(
    "events",
    metadata,
    Column("seq", Integer, primary_key=True, autoincrement=True),
    Column("at", String(32), nullable=False),
    Column("what", String(40), nullable=False),
    Column("by_id", String(36), nullable=True),
    Column("about", String(36), nullable=True),
    Column("detail", Text, nullable=False),
    sqlite_autoincrement=True,
)
