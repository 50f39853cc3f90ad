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


def _of(table: str, name: str = "", *, nullable: bool = False) -> Column[str]:
    """A key that names a row of another table; `unit_id` one of `units`, if nothing is said."""
    there = ForeignKey(f"{table}.id")
    return Column(name or f"{table[:-1]}_id", String(36), there, nullable=nullable, index=True)


def _of_goods() -> tuple[Column[str], Column[str]]:
    """Of a unit, or of a consignment."""
    return _of("units", nullable=True), _of("consignments", nullable=True)


def _judged() -> tuple[Column[str], ...]:
    """What a judgement came to."""
    sizes = {"outcome": 20, "basis": 10, "scheme": 40}
    sizes |= {"approval_number": 200, "holder": 400, "looked_up": 400}
    return tuple(Column(name, String(size), nullable=False) for name, size in sizes.items())


consignments = chained("consignments")

units = chained("units", _of("consignments", nullable=True))

# A unit checked on its own and put under a consignment later, or given its place in a draw.
attachments = chained("attachments", _of("units"), _of("consignments"))

photos = chained(
    "photos",
    _of("units"),
    Column("sha256", String(64), nullable=False, index=True),
    _of("photos", "replaces", nullable=True),
)

readings = chained("readings", _of("photos"))

confirmations = chained("confirmations", _of("photos"))

checks = chained("checks", _of("photos"), _of("readings"), *_judged())

# What the photos of one unit come to together: made again with every new check of one of them.
unit_checks = chained(
    "unit_checks", _of("units"), _of("list_editions", "edition_id", nullable=True), *_judged()
)

decisions = chained("decisions", *_of_goods())

plans = chained("plans", _of("consignments"))

# What somebody wants changed, whole: the entries to put in, and the list they are for.
list_proposals = chained("list_proposals")

# An accepted proposal makes an edition; its number is its place in this table, from 1.
list_editions = chained("list_editions", _of("list_proposals", "proposal_id"))

# A person looked at the authority's own list: kept apart from every comparison of ours.
official_look_ups = chained("official_look_ups", *_of_goods())

# One photo judged again against a new edition: which check stood before, which was added.
list_rechecks = chained("list_rechecks", _of("list_editions", "edition_id"), _of("photos"))

# One paper that came with goods, by its fields. A later one may take the place of an earlier one.
documents = chained("documents", *_of_goods())

# What is said of a consignment after it was opened: answers, supplier, lots split, intended use.
declarations = chained("declarations", _of("consignments"))

# How a unit is made and in what state it is: what a person looked at, and what nobody did.
constructions = chained("constructions", _of("units"))

# A person's word on one finding: set aside for a reason, or taken up again.
finding_answers = chained("finding_answers", *_of_goods())

# What leaves the house: a report, a label, a message, a pack; to whom, and what it replaces.
dispatches = chained("dispatches", *_of_goods())

# Goods put somewhere, moved, handed to someone, or called back.
stock = chained(
    "stock",
    _of("consignments", nullable=True),
    Column("lot", String(60), nullable=False, index=True),
)

# Goods that were offered and not taken: no consignment, no unit.
offers = chained("offers")

# Counts of sorted goods without a consignment, bin by bin, and how they were handed over.
bins = chained("bins")

# The bytes of a photo that were removed for good: which files, why; the row of the photo stays.
removals = chained("removals", _of("photos", nullable=True))

# What is kept whatever the period says, for as long as nobody ends it: evidence, an open question.
keeps = chained("keeps", *_of_goods())

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
