"""Every table of the records, and the shape of a table to which rows are only appended.

A chained table holds facts that are never overwritten. Each row carries the SHA-256 of the row
before it, so that a row changed, left out or slipped in later is seen by `chain.check_chain`.
Its columns are the same everywhere; a table adds only `keys`: columns that repeat one entry of the
content of the same name, so that it can be searched for and referred to. `jobs` is the only table
whose rows change.
"""

from typing import Any

from sqlalchemy import CheckConstraint, Column, ForeignKey, Integer, MetaData, String, Table, Text

#: How constraints and indexes are named, so that a migration can name them too.
NAMING = {
    "ix": "ix_%(column_0_label)s",
    "uq": "uq_%(table_name)s_%(column_0_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}
metadata = MetaData(naming_convention=NAMING)
#: The migration that makes exactly these tables; a database of an older one lacks some of them.
NEWEST = "2026_11_29_removals"


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

# What somebody wants changed, whole: the entries to put in, and the list they are for.
list_proposals = chained("list_proposals")

# An accepted proposal makes an edition; its number is its place in this table, from 1.
list_editions = chained(
    "list_editions",
    Column("proposal_id", String(36), ForeignKey("list_proposals.id"), nullable=False, index=True),
)

# A person looked at the authority's own list: kept apart from every comparison of ours.
official_look_ups = chained(
    "official_look_ups",
    Column("unit_id", String(36), ForeignKey("units.id"), nullable=True, index=True),
    Column("consignment_id", String(36), ForeignKey("consignments.id"), nullable=True, index=True),
)

# One photo judged again against a new edition: which check stood before, which was added.
list_rechecks = chained(
    "list_rechecks",
    Column("edition_id", String(36), ForeignKey("list_editions.id"), nullable=False, index=True),
    Column("photo_id", String(36), ForeignKey("photos.id"), nullable=False, index=True),
)

# One paper that came with goods, by its fields. A later one may take the place of an earlier one.
documents = chained(
    "documents",
    Column("unit_id", String(36), ForeignKey("units.id"), nullable=True, index=True),
    Column("consignment_id", String(36), ForeignKey("consignments.id"), nullable=True, index=True),
)

# What is said of a consignment after it was opened: answers, supplier, lots split, intended use.
declarations = chained(
    "declarations",
    Column("consignment_id", String(36), ForeignKey("consignments.id"), nullable=False, index=True),
)

# How a unit is made and in what state it is: what a person looked at, and what nobody did.
constructions = chained(
    "constructions",
    Column("unit_id", String(36), ForeignKey("units.id"), nullable=False, index=True),
)

# A person's word on one finding: set aside for a reason, or taken up again.
finding_answers = chained(
    "finding_answers",
    Column("unit_id", String(36), ForeignKey("units.id"), nullable=True, index=True),
    Column("consignment_id", String(36), ForeignKey("consignments.id"), nullable=True, index=True),
)

# What leaves the house: a report, a label, a message, a pack; to whom, and what it replaces.
dispatches = chained(
    "dispatches",
    Column("unit_id", String(36), ForeignKey("units.id"), nullable=True, index=True),
    Column("consignment_id", String(36), ForeignKey("consignments.id"), nullable=True, index=True),
)

# Goods put somewhere, moved, handed to someone, or called back.
stock = chained(
    "stock",
    Column("consignment_id", String(36), ForeignKey("consignments.id"), nullable=True, index=True),
    Column("lot", String(60), nullable=False, index=True),
)

# Goods that were offered and not taken: no consignment, no unit.
offers = chained("offers")

# Counts of sorted goods without a consignment, bin by bin, and how they were handed over.
bins = chained("bins")

# The bytes of a photo that were removed for good: which files, why; the row of the photo stays.
removals = chained(
    "removals",
    Column("photo_id", String(36), ForeignKey("photos.id"), nullable=True, index=True),
)

# What is kept whatever the period says, for as long as nobody ends it: evidence, an open question.
keeps = chained(
    "keeps",
    Column("unit_id", String(36), ForeignKey("units.id"), nullable=True, index=True),
    Column("consignment_id", String(36), ForeignKey("consignments.id"), nullable=True, index=True),
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
