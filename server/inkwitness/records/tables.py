"""The tables of the records stage. `jobs` is the only one whose rows change."""

from sqlalchemy import CheckConstraint, Column, ForeignKey, Integer, String, Table, Text

from inkwitness.records.metadata import chained, metadata

consignments = chained("consignments")

units = chained(
    "units",
    Column("consignment_id", String(36), ForeignKey("consignments.id"), nullable=True, index=True),
)

# A unit checked on its own and put under a consignment later, or given its place in a draw.
attachments = chained(
    "attachments",
    Column("unit_id", String(36), ForeignKey("units.id"), nullable=False, index=True),
    Column("consignment_id", String(36), ForeignKey("consignments.id"), nullable=False, index=True),
)

photos = chained(
    "photos",
    Column("unit_id", String(36), ForeignKey("units.id"), nullable=False, index=True),
    Column("sha256", String(64), nullable=False, index=True),
    Column("replaces", String(36), ForeignKey("photos.id"), nullable=True, index=True),
)

readings = chained(
    "readings",
    Column("photo_id", String(36), ForeignKey("photos.id"), nullable=False, index=True),
)

confirmations = chained(
    "confirmations",
    Column("photo_id", String(36), ForeignKey("photos.id"), nullable=False, index=True),
)

checks = chained(
    "checks",
    Column("photo_id", String(36), ForeignKey("photos.id"), nullable=False, index=True),
    Column("reading_id", String(36), ForeignKey("readings.id"), nullable=False, index=True),
    Column("outcome", String(20), nullable=False),
    Column("basis", String(10), nullable=False),
    Column("scheme", String(40), nullable=False),
    Column("approval_number", String(200), nullable=False),
    Column("holder", String(400), nullable=False),
    Column("looked_up", String(400), nullable=False),
)

# What the photos of one unit come to together: made again with every new check of one of them.
unit_checks = chained(
    "unit_checks",
    Column("unit_id", String(36), ForeignKey("units.id"), nullable=False, index=True),
    Column("edition_id", String(36), ForeignKey("list_editions.id"), nullable=True, index=True),
    Column("outcome", String(20), nullable=False),
    Column("basis", String(10), nullable=False),
    Column("scheme", String(40), nullable=False),
    Column("approval_number", String(200), nullable=False),
    Column("holder", String(400), nullable=False),
    Column("looked_up", String(400), nullable=False),
)

decisions = chained(
    "decisions",
    Column("unit_id", String(36), ForeignKey("units.id"), nullable=True, index=True),
    Column("consignment_id", String(36), ForeignKey("consignments.id"), nullable=True, index=True),
)

plans = chained(
    "plans",
    Column("consignment_id", String(36), ForeignKey("consignments.id"), nullable=False, index=True),
)

jobs = Table(
    "jobs",
    metadata,
    Column("id", String(36), primary_key=True),
    Column("photo_id", String(36), ForeignKey("photos.id"), nullable=False, unique=True),
    Column("state", String(10), nullable=False, index=True),
    Column("stage", String(40), nullable=False),
    Column("attempts", Integer, nullable=False),
    Column("check_id", String(36), ForeignKey("checks.id"), nullable=True),
    Column("error_code", String(40), nullable=True),
    Column("error_message", Text, nullable=True),
    Column("actor", Text, nullable=False),
    Column("made_at", String(32), nullable=False),
    Column("changed_at", String(32), nullable=False),
    CheckConstraint("state IN ('waiting', 'reading', 'done', 'failed')", name="state"),
)
