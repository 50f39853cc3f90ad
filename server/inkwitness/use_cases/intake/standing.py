"""How a consignment stands by what came with it: papers, supplier, a person's word on what is open.

A release waits while they leave something open on which nobody decided. A decision holds for what
was open then: another finding, or another paper, opens it again.
"""

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection

from inkwitness.consignment.intake import supplier
from inkwitness.consignment.papers.values import PapersJudged
from inkwitness.errors import BadInput
from inkwitness.findings.values import Aspect, AspectState, Finding
from inkwitness.records import chain
from inkwitness.records.chain import Entry, WriteContext
from inkwitness.records.tables import declarations
from inkwitness.use_cases.intake import declared, papers

#: What a fact in the table of declarations is.
DECIDED = "papers_decided"


def papers_of(conn: Connection, consignment_id: str, on: dt.date) -> PapersJudged:
    """The papers of a consignment beside all that is known of it, for the day `on`."""
    now = declared.declared(conn, consignment_id)
    return papers.of_consignment(
        conn,
        consignment_id,
        on,
        declared_lots=[lot.code for lot in now.lots],
        first_offer=now.first_offer,
    )


def aspects_of(
    conn: Connection, consignment_id: str, on: dt.date, judged: PapersJudged | None = None
) -> dict[Aspect, AspectState]:
    """The aspects that no print tells of, as they stand for the whole consignment.

    `judged` is what its papers say, where that was asked for already.
    """
    judged = judged or papers_of(conn, consignment_id, on)
    state, _ = supplier(declared.declared(conn, consignment_id))
    return {"documents": judged.state, "supplier": state}


@dataclass(frozen=True, slots=True)
class BesideUnit:
    """What came with a unit, beside its print: papers by themselves, and the supplier's aspect.

    It changes no outcome of the print. Papers are its own and those of its consignment.
    """

    papers: PapersJudged
    supplier: AspectState

    @property
    def aspects(self) -> dict[Aspect, AspectState]:
        """The aspects that somebody looked at."""
        both: dict[Aspect, AspectState] = {
            "documents": self.papers.state,
            "supplier": self.supplier,
        }
        return {name: state for name, state in both.items() if state != "not_looked_at"}


def beside_unit(
    conn: Connection, unit_id: str, consignment_id: str | None, on: dt.date
) -> BesideUnit:
    """The papers that count for a unit beside its own print, and its consignment's supplier."""
    state: AspectState = "not_looked_at"
    if consignment_id is not None:
        state, _ = supplier(declared.declared(conn, consignment_id))
    return BesideUnit(papers.of_unit(conn, unit_id, on), state)


def open_findings(
    conn: Connection, consignment_id: str, on: dt.date, judged: PapersJudged | None = None
) -> list[Finding]:
    """What papers leave open and nobody decided on, as it stands now."""
    found = _open(conn, consignment_id, judged or papers_of(conn, consignment_id, on))
    last = decided(conn, consignment_id)
    settled = last is not None and last.content["findings"] == papers.digest(found)
    return [] if settled else found


def _open(conn: Connection, consignment_id: str, judged: PapersJudged) -> list[Finding]:
    _, noted = supplier(declared.declared(conn, consignment_id))
    return papers.open_of([*judged.findings, *noted])


def decide(
    conn: Connection,
    id_: str,
    consignment_id: str,
    reason: str,
    context: WriteContext,
    on: dt.date,
) -> Entry:
    """Keep why goods may go on in spite of what is open. Raises BadInput where nothing is."""
    kept = chain.find(conn, declarations, id_)
    if kept is not None:
        digest = kept.content.get("findings", "")
    else:
        found = _open(conn, consignment_id, papers_of(conn, consignment_id, on))
        if not found:
            raise BadInput("papers_nothing_open")
        digest = papers.digest(found)
    content = {
        "consignment_id": consignment_id,
        "kind": DECIDED,
        "reason": reason.strip(),
        "findings": digest,
    }
    entry, _ = chain.append(conn, declarations, id_, content, context)
    return entry


def decided(conn: Connection, consignment_id: str) -> Entry | None:
    """The newest word of a person on what was open then; None where nobody said one."""
    made = chain.entries(conn, declarations, consignment_id=consignment_id)
    return next((one for one in reversed(made) if one.content["kind"] == DECIDED), None)
