"""Papers, declarations, construction, answers to findings, stock, offers, bins, what leaves."""

from inkwitness.records.migrations import make_facts

revision = "2026_11_29_goods"
down_revision = "2026_11_25_unit_checks"

_UNIT = ("unit_id", "units", True)
_CONSIGNMENT = ("consignment_id", "consignments", True)


def upgrade() -> None:
    make_facts("documents", _UNIT, _CONSIGNMENT)
    make_facts("declarations", ("consignment_id", "consignments", False))
    make_facts("constructions", ("unit_id", "units", False))
    make_facts("finding_answers", _UNIT, _CONSIGNMENT)
    make_facts("dispatches", _UNIT, _CONSIGNMENT)
    make_facts("stock", _CONSIGNMENT, texts={"lot": 60}, searched=("lot",))
    make_facts("offers")
    make_facts("bins")
