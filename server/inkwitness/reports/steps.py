"""What to do next, as a list to print: of one unit, and of a consignment."""

import datetime as dt
from collections.abc import Iterable, Sequence

from sqlalchemy import Connection

from inkwitness.check.aside import Named, placed_findings
from inkwitness.check.next_steps import list_steps
from inkwitness.check.outward import finding_out
from inkwitness.check.values import UnitJudgement
from inkwitness.consignment.gate import Terms
from inkwitness.consignment.values import rank
from inkwitness.findings.identity import key_of
from inkwitness.phrases import Phrases
from inkwitness.records import chain, units
from inkwitness.records.integrity.heads import head_of
from inkwitness.records.tables import units as units_table
from inkwitness.records.units import UnitSummary
from inkwitness.reports import words
from inkwitness.reports.document import Document, Section, Table, as_said, shown
from inkwitness.rulebook import Rulebook
from inkwitness.use_cases import answers, overview
from inkwitness.use_cases.answers import Judged
from inkwitness.use_cases.prints import side_by_side

#: Units named beside a step at most; more are counted.
_MOST_NAMED = 6


def unit_steps(
    conn: Connection, rulebook: Rulebook, unit_id: str, made_at: dt.datetime, say: Phrases
) -> Document:
    """The next steps of one unit; raises NotFound."""
    chain.get(conn, units_table, unit_id)
    (unit,) = units.summaries(conn, [unit_id])
    steps = steps_of(conn, unit, rulebook, say)
    section = Section(words.heading("steps", say), steps or (say("report.steps.none"),))
    return _document(conn, _name(unit), unit.outcome, (section,), made_at, say)


def consignment_steps(
    conn: Connection,
    rulebook: Rulebook,
    consignment_id: str,
    made_at: dt.datetime,
    terms: Terms,
    say: Phrases,
) -> Document:
    """The next steps of a consignment, each once with the units it is for; raises NotFound."""
    found = overview.of_consignment(conn, consignment_id, terms)
    where: dict[str, list[str]] = {}
    for unit in sorted(found.units, key=lambda one: rank(one.outcome)):
        for step in steps_of(conn, unit, rulebook, say):
            where.setdefault(step, []).append(_name(unit))
    beside = side_by_side(conn, consignment_id, found.units)
    aside = answers.standing(beside.answers)
    goods = say("report.steps.the_goods")
    rows = [(step, _units(named, say)) for step, named in where.items()]
    rows += [
        (f"{as_said(one.says(say))} {one.next_step(say)}", goods)
        for one in beside.across
        if ("", one.id) not in aside
    ]
    table = Table(words.columns(say, "step", "where"), tuple(rows)) if rows else None
    none = () if rows else (say("report.steps.none"),)
    sections = [Section(words.heading("steps", say), none, table)]
    if found.in_the_way:
        lifts = tuple(f"{one.says(say)} {one.lift(say)}" for one in found.in_the_way)
        sections.append(Section(words.heading("lift", say), lifts))
    label = found.entry.content["label"]
    return _document(conn, label, found.outcome, sections, made_at, say)


def section(conn: Connection, unit: UnitSummary, rulebook: Rulebook, say: Phrases) -> list[Section]:
    """The next steps as a section of a report; none where nothing asks for one."""
    found = steps_of(conn, unit, rulebook, say)
    return [Section(words.heading("steps", say), found)] if found else []


def steps_of(
    conn: Connection, unit: UnitSummary, rulebook: Rulebook, say: Phrases
) -> tuple[str, ...]:
    """What to do about a unit, each step once; findings that were set aside ask for none."""
    parts = answers.judged(conn, unit)
    _, aside = answers.after(parts, answers.standing(answers.of_unit(conn, unit.unit_id)))
    return tuple(dict.fromkeys(step for one in parts for step in _steps(one, aside, rulebook, say)))


def _steps(one: Judged, aside: frozenset[Named], rulebook: Rulebook, say: Phrases) -> Iterable[str]:
    judged = one.judgement
    claimed = (
        judged.schemes
        if isinstance(judged, UnitJudgement)
        else tuple(name for item in judged.items for name in item.schemes)
    )
    for where, finding in placed_findings(judged, one.photo_ids):
        if (where, key_of(finding)) not in aside:
            yield from finding_out(finding, rulebook, say.language, claimed).next_steps
    matches = (
        [judged.holder_match, *(other.holder_match for other in judged.others)]
        if isinstance(judged, UnitJudgement)
        else [item.holder_match for item in judged.items]
    )
    for match in matches:
        yield from list_steps(match.state, claimed, rulebook, say)


def _name(unit: UnitSummary) -> str:
    return unit.state.place or unit.label or unit.unit_id[-6:]


def _units(named: Sequence[str], say: Phrases) -> str:
    if len(named) > _MOST_NAMED:
        return say("report.steps.all", n=len(named))
    return ", ".join(shown(name) for name in named)


def _document(
    conn: Connection,
    what: str,
    outcome: str | None,
    sections: Sequence[Section],
    made_at: dt.datetime,
    say: Phrases,
) -> Document:
    return Document(
        kind="next_steps",
        title=say("report.title.steps", what=shown(what)),
        made_at=made_at,
        statuses=(words.status(outcome, say),),
        sections=tuple(sections),
        records_head=head_of(conn).head,
        language=say.language,
    )
