"""What was removed of the photos' bytes, and what must be kept whatever the period says."""

from inkwitness.records.migrations import make_facts

revision = "2026_11_29_removals"
down_revision = "2026_11_29_goods"


def upgrade() -> None:
    make_facts("removals", ("photo_id", "photos", True))
    make_facts("keeps", ("unit_id", "units", True), ("consignment_id", "consignments", True))
