"""Papers that came with goods: kept by their fields, corrected by later ones, never overwritten.

What they say beside the goods is judged anew whenever it is asked for: print, list and rules
change, the papers do not.
"""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass

from pydantic import TypeAdapter
from sqlalchemy import Connection, select

from inkwitness.check.values import Judgement, UnitJudgement
from inkwitness.consignment.papers.judge import judge
from inkwitness.consignment.papers.values import (
    Beside,
    PapersJudged,
    Said,
    place_of,
    said_by_entry,
    said_by_marks,
    sure,
)
from inkwitness.errors import BadInput
from inkwitness.findings.identity import left_open, sha256_of
from inkwitness.findings.values import Finding, Placed
from inkwitness.holders.lookup import all_models, all_names
from inkwitness.holders.names import likeness
from inkwitness.holders.numbers import normal_form
from inkwitness.holders.values import HolderEntry, HolderList
from inkwitness.records import chain, checks, lists, units
from inkwitness.records.chain import Entry, WriteContext
from inkwitness.records.tables import consignments, documents, unit_checks
from inkwitness.records.tables import units as units_table
from inkwitness.records.units import UnitSummary
from inkwitness.rulebook import shipped
from inkwitness.rulebook.papers import Paper
from inkwitness.use_cases.look_ups import Attachment

_PAPER = TypeAdapter(Paper)


@dataclass(frozen=True, slots=True)
class About:
    """What a paper came with: a consignment or a unit; which earlier paper it corrects, and why.

    `withdrawn`: the earlier one no longer counts and none takes its place.
    """

    consignment_id: str | None = None
    unit_id: str | None = None
    replaces: str | None = None
    withdrawn: bool = False
    reason: str = ""


def keep(
    conn: Connection,
    id_: str,
    paper: Paper,
    about: About,
    context: WriteContext,
    attachments: Sequence[Attachment] = (),
) -> tuple[Entry, bool]:
    """Keep a paper. Raises BadInput, NotFound (goods or an earlier paper), Differs."""
    if (about.consignment_id is None) == (about.unit_id is None):
        raise BadInput("paper_one_of_two")
    if about.consignment_id is not None:
        chain.get(conn, consignments, about.consignment_id)
    if about.unit_id is not None:
        chain.get(conn, units_table, about.unit_id)
    if about.replaces is not None:
        before = chain.get(conn, documents, about.replaces).content
        if any(before[name] != getattr(about, name) for name in ("consignment_id", "unit_id")):
            raise BadInput("paper_of_other_goods")
        if len(about.reason.strip()) < 3:
            raise BadInput("paper_reason_missing")
    elif about.withdrawn:
        raise BadInput("paper_replaces_missing")
    if not about.withdrawn and not _says_something(paper, attachments):
        raise BadInput("paper_nothing_typed")
    content = {
        "consignment_id": about.consignment_id,
        "unit_id": about.unit_id,
        "replaces": about.replaces,
        "withdrawn": about.withdrawn,
        "reason": about.reason.strip(),
        "fields": _PAPER.dump_python(paper, mode="json", exclude={"id"}),
        "attachments": [asdict(one) for one in attachments],
    }
    return chain.append(conn, documents, id_, content, context)


def _says_something(paper: Paper, attachments: Sequence[Attachment]) -> bool:
    told = _PAPER.dump_python(paper, mode="json", exclude={"id", "kind"})
    return bool(attachments) or any(told.values())


def of_goods(
    conn: Connection, *, consignment_id: str | None = None, unit_id: str | None = None
) -> list[Entry]:
    """All papers kept for a consignment or a unit, in order, those corrected since among them."""
    if consignment_id is not None:
        return chain.entries(conn, documents, consignment_id=consignment_id)
    assert unit_id is not None
    return chain.entries(conn, documents, unit_id=unit_id)


def with_units(
    conn: Connection, consignment_id: str, members: Sequence[UnitSummary]
) -> list[Entry]:
    """All papers kept for a consignment, then those of its units, `members`, unit by unit."""
    kept = of_goods(conn, consignment_id=consignment_id)
    theirs = _units_with_papers(conn)
    for unit in members:
        if unit.unit_id in theirs:
            kept += of_goods(conn, unit_id=unit.unit_id)
    return kept


def _units_with_papers(conn: Connection) -> set[str]:
    wanted = select(documents.c.unit_id).where(documents.c.unit_id.is_not(None))
    return set(conn.execute(wanted).scalars())


def in_force(entries: Sequence[Entry]) -> list[Entry]:
    """Those that count: not corrected by a later one, and not withdrawn."""
    replaced = {entry.content["replaces"] for entry in entries}
    return [
        entry for entry in entries if entry.id not in replaced and not entry.content["withdrawn"]
    ]


def typed(fields: Mapping[str, object]) -> Paper:
    """A paper of its fields; spaces around texts fall away."""
    told = {name: v.strip() if isinstance(v, str) else v for name, v in fields.items()}
    return _PAPER.validate_python(told)


def paper_of(entry: Entry) -> Paper:
    """A stored paper as a value."""
    return _PAPER.validate_python({**entry.content["fields"], "id": entry.id})


def judged(
    conn: Connection,
    papers: Sequence[Paper],
    members: Sequence[UnitSummary],
    on: dt.date,
    *,
    declared_lots: Sequence[str] = (),
    first_offer: dt.date | None = None,
) -> PapersJudged:
    """Papers beside the print of these units and the list in force, for the day `on`."""
    if not papers:
        return PapersJudged("not_looked_at")
    placed = [(unit.unit_id, placed) for unit in members for placed in _print(conn, unit)]
    said: list[Said] = []
    for unit_id, one in placed:
        said += said_by_marks([one.mark], place_of(one.surface), unit_id)
    said += [Said("lots", lot, "declared", unit=lot) for lot in declared_lots]
    entries = _entries(lists.current(conn), [one for _, one in placed])
    said += [one for entry in entries for one in said_by_entry(entry)]
    schemes = frozenset(unit.scheme for unit in members if unit.scheme)
    beside = Beside(tuple(papers), on, tuple(said), entries, schemes, first_offer)
    return judge(beside, shipped())


def of_consignment(
    conn: Connection,
    consignment_id: str,
    on: dt.date,
    *,
    declared_lots: Sequence[str] = (),
    first_offer: dt.date | None = None,
) -> PapersJudged:
    """The papers of a consignment and of its units, beside all that was read of them."""
    if not of_goods(conn, consignment_id=consignment_id) and not _units_with_papers(conn):
        return PapersJudged("not_looked_at")
    members = units.of_consignment(conn, consignment_id)
    kept = in_force(with_units(conn, consignment_id, members))
    return judged(
        conn,
        [paper_of(entry) for entry in kept],
        members,
        on,
        declared_lots=declared_lots,
        first_offer=first_offer,
    )


def of_unit(conn: Connection, unit_id: str, on: dt.date) -> PapersJudged:
    """The papers of one unit, and of the consignment that it is under, beside its own print."""
    (unit,) = units.summaries(conn, [unit_id])
    kept = in_force(of_goods(conn, unit_id=unit_id))
    if unit.consignment_id is not None:
        kept += in_force(of_goods(conn, consignment_id=unit.consignment_id))
    return judged(conn, [paper_of(entry) for entry in kept], [unit], on)


def classes_printed(conn: Connection, members: Sequence[UnitSummary]) -> tuple[str, ...]:
    """The classes that are printed on these units, read or confirmed."""
    told = (
        one.mark.value
        for unit in members
        for one in _print(conn, unit)
        if one.mark.mark == "filter_class"
    )
    return tuple(dict.fromkeys(told))


def digest(findings: Sequence[Finding]) -> str:
    """A name for these findings as they stand: with another finding it is another."""
    told = sorted([one.rule, one.question, *sorted(one.values)] for one in findings)
    return sha256_of(told)


def open_of(findings: Sequence[Finding]) -> list[Finding]:
    """Findings on which a person decides before a release."""
    return [one for one in findings if left_open(one)]


def _print(conn: Connection, unit: UnitSummary) -> list[Placed]:
    return [
        placed for one in _judgements(conn, unit) for placed in _placed(one) if sure(placed.mark)
    ]


def _judgements(conn: Connection, unit: UnitSummary) -> list[Judgement | UnitJudgement]:
    """What the unit's photos were judged to be together, or each by itself."""
    if unit.unit_check_id is not None:
        return [checks.load_unit(conn, chain.get(conn, unit_checks, unit.unit_check_id))]
    made = [checks.newest(conn, photo.photo_id) for photo in unit.state.photos]
    return [checks.load(conn, entry).judgement for entry in made if entry is not None]


def _placed(judgement: Judgement | UnitJudgement) -> list[Placed]:
    if isinstance(judgement, UnitJudgement):
        return list(judgement.placed)
    return [Placed(m, item.surface, 0) for item in judgement.items[:1] for m in item.marks]


def _entries(holder_list: HolderList | None, placed: Sequence[Placed]) -> tuple[HolderEntry, ...]:
    """The entries that the print leads to: by its number, or by its maker and model together."""
    if holder_list is None:
        return ()
    told: Mapping[str, list[str]] = {
        name: [p.mark.value or p.mark.printed for p in placed if p.mark.mark == name]
        for name in ("approval_number", "manufacturer", "model")
    }
    numbers = {normal_form(text) for text in told["approval_number"]}
    models = {normal_form(text) for text in told["model"]}
    return tuple(
        entry
        for entry in holder_list.entries
        if (entry.approval_number and normal_form(entry.approval_number) in numbers)
        or (
            models & {normal_form(model) for model in all_models(entry)}
            and any(
                likeness(name, listed) in ("same", "short")
                for name in told["manufacturer"]
                for listed in all_names(entry)
            )
        )
    )
