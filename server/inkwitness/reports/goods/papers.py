"""Papers in a consignment's report: each by its fields, where they differ, what did not come."""

import datetime as dt
from collections.abc import Sequence

from sqlalchemy import Connection

from inkwitness.consignment.papers.judge import next_step, says, source_of
from inkwitness.consignment.papers.values import PaperRow, PapersJudged
from inkwitness.findings.values import Finding
from inkwitness.phrases import Phrases, capital
from inkwitness.records.chain import Entry
from inkwitness.records.units import UnitSummary
from inkwitness.reports import words
from inkwitness.reports.document import Section, Table, as_said, shown
from inkwitness.reports.goods.noted import name_of
from inkwitness.rulebook import Rulebook
from inkwitness.rulebook.papers import Paper, PaperField, PaperPlace
from inkwitness.use_cases.intake import papers, standing
from inkwitness.use_cases.overview import Overview

#: Fields in the order in which one reads a paper; its title stands above them.
_FIELDS: tuple[PaperField, ...] = (
    "number", "issuer", "body_number", "certificate", "certificate_body", "holder", "product",
    "filter_class", "standard", "lots", "issued", "expires", "signed_by", "method",
)  # fmt: skip
_PLACES: tuple[PaperPlace, ...] = ("papers", "print", "box", "list", "declared")


def of_goods(
    conn: Connection, found: Overview, on: dt.date, rulebook: Rulebook, say: Phrases
) -> list[Section]:
    """The papers of a consignment and of its units, as they stand for the day `on`."""
    kept = papers.with_units(conn, found.entry.id, found.units)
    title = say("paper_report.title")
    if not kept:
        return [Section(title, (say("paper_report.none"),))]
    judged = found.papers
    state = words.state(judged.state, say)
    return [
        Section(title, (state, *_decided(conn, found, on, say), *_withdrawn(kept, say))),
        *(_paper(one, found.units, say) for one in papers.in_force(kept)),
        *_beside(judged, say),
        *raised(judged, rulebook, say),
    ]


def in_short(found: Overview, say: Phrases) -> list[str]:
    """What papers leave open, for the first page: a sentence each, without source or step."""
    return [as_said(says(one, say)) for one in papers.open_of(found.papers.findings)]


def raised(judged: PapersJudged, rulebook: Rulebook, say: Phrases) -> list[Section]:
    """What the papers raise, and what did not come, each with its source and what to do."""
    absent = [one for one in judged.findings if _absent(one, rulebook)]
    others = [one for one in judged.findings if not _absent(one, rulebook)]
    told = tuple(sentence(one, rulebook, say) for one in others)
    sections = [Section(say("paper_report.found"), told or (say("paper_report.found_none"),))]
    if absent:
        said = tuple(sentence(one, rulebook, say) for one in absent)
        sections.append(Section(say("paper_report.not_supplied"), said))
    return sections


def sentence(one: Finding, rulebook: Rulebook, say: Phrases) -> str:
    """What one finding on papers is and says, what to do about it, and its source."""
    kind = "question" if one.question else one.severity
    source = say("report.source", source=shown(source_of(one, rulebook)))
    told = (as_said(says(one, say)), next_step(one, rulebook, say), source)
    return f"{say(f'kind.{kind}')}: " + " ".join(part for part in told if part)


def _absent(one: Finding, rulebook: Rulebook) -> bool:
    rule = rulebook.papers.rule(one.rule)
    return rule is not None and rule.check.says_absent


def _paper(entry: Entry, members: Sequence[UnitSummary], say: Phrases) -> Section:
    """One paper: by whom it was typed, what it corrects, what was kept of it, its fields."""
    paper, content = papers.paper_of(entry), entry.content
    kind = say.named("paper_kind", paper.kind)
    title = (
        say("paper_report.of", title=shown(paper.title), kind=kind)
        if paper.title
        else say("paper_report.untitled", kind=kind)
    )
    said = [_by("typed", entry, say)]
    if content["unit_id"] is not None:
        names = [name_of(unit) for unit in members if unit.unit_id == content["unit_id"]]
        said.append(say("paper_report.of_unit", unit=", ".join(names)))
    if content["replaces"] is not None:
        said.append(say("paper_report.corrects", reason=shown(content["reason"])))
    said += [
        say("paper_report.file", file=shown(one["name"]), sha256=one["sha256"])
        for one in content["attachments"]
    ] or [say("paper_report.no_file")]
    if paper.unreadable:
        fields = ", ".join(say.named("paper_field", name) for name in paper.unreadable)
        said.append(say("paper_report.unreadable", fields=fields))
    headings = words.columns(say, "field", "printed")
    rows = tuple(_rows(paper, say))
    return Section(title, tuple(said), Table(headings, rows) if rows else None)


def _rows(paper: Paper, say: Phrases) -> list[tuple[str, str]]:
    rows = [
        (capital(say.named("paper_field", name)), shown("; ".join(texts)))
        for name in _FIELDS
        if (texts := paper.texts(name))
    ]
    if paper.pages is not None:
        here = f"{paper.pages_here or 0}/{paper.pages}"
        rows.append((capital(say.named("paper_field", "pages")), here))
    return rows


def _withdrawn(kept: Sequence[Entry], say: Phrases) -> list[str]:
    return [_by("withdrawn", one, say) for one in kept if one.content["withdrawn"]]


def _beside(judged: PapersJudged, say: Phrases) -> list[Section]:
    """Number to number: each field across all that says it, a column for each place that does."""
    places = [
        place
        for place in _PLACES
        if any(cell.place == place for row in judged.table for cell in row.cells)
    ]
    if not judged.table:
        return []
    headings = (
        *words.columns(say, "field"),
        *(capital(_place(place, say)) for place in places),
        *words.columns(say, "state"),
    )
    rows = tuple(
        (
            capital(say.named("paper_field", row.field)),
            *(_cell(row, place) for place in places),
            say(f"paper_row.{row.state}"),
        )
        for row in judged.table
    )
    return [Section(say("paper_report.beside"), (), Table(headings, rows))]


def _place(place: PaperPlace, say: Phrases) -> str:
    return say("aspect.documents") if place == "papers" else say.named("paper_place", place)


def _cell(row: PaperRow, place: PaperPlace) -> str:
    return "; ".join(dict.fromkeys(shown(one.value) for one in row.cells if one.place == place))


def _decided(conn: Connection, found: Overview, on: dt.date, say: Phrases) -> list[str]:
    """A person's word on what papers and supplier leave open, and whether it covers it still."""
    last = standing.decided(conn, found.entry.id)
    left = standing.open_findings(conn, found.entry.id, on, found.papers)
    if last is None:
        return [say("paper_report.open", n=len(left))] if left else []
    return [_by("decided_before" if left else "decided", last, say)]


def _by(key: str, entry: Entry, say: Phrases) -> str:
    return say(
        f"paper_report.{key}",
        name=shown(entry.context.actor.name),
        at=words.moment(entry.at),
        **({} if key == "typed" else {"reason": shown(entry.content["reason"])}),
    )
