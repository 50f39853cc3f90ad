"""The tables of the holder list: proposals, editions, look-ups at the authority's, re-checks."""

from sqlalchemy import Column, ForeignKey, String

from inkwitness.records.metadata import chained

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
