"""What people set aside, and what is left without it: said beside what was found."""

from collections.abc import Mapping, Sequence

from sqlalchemy import Connection

from inkwitness.check.aside import Named, placed_findings
from inkwitness.check.outward import finding_out
from inkwitness.findings.identity import key_of
from inkwitness.phrases import Phrases
from inkwitness.records.chain import Entry
from inkwitness.records.units import UnitSummary
from inkwitness.reports import words
from inkwitness.reports.document import Section, Status, shown
from inkwitness.rulebook import Rulebook
from inkwitness.use_cases import answers
from inkwitness.use_cases.answers import AfterAnswers


def status_after(after: AfterAnswers | None, say: Phrases) -> tuple[Status, ...]:
    """What is left without what was set aside, and by whom; none where nothing was."""
    if after is None:
        return ()
    return (Status("set_aside", "◨", says_after(after, say)),)


def says_after(after: AfterAnswers, say: Phrases) -> str:
    """The outcome without what was set aside, with the names of who did so."""
    people = ", ".join(shown(name) for name in after.people)
    outcome = words.state(after.after.outcome, say)
    return say("answered.after", people=people, outcome=outcome)


def of_unit(
    conn: Connection, unit: UnitSummary, rulebook: Rulebook, say: Phrases
) -> tuple[list[Section], AfterAnswers | None]:
    """A section on every answer to findings of the unit, and what is left without them."""
    kept = answers.of_unit(conn, unit.unit_id)
    if not kept:
        return [], None
    parts = answers.judged(conn, unit)
    standing = answers.standing(kept)
    after, _ = answers.after(parts, standing)
    said = {
        (where, key_of(finding)): words.finding(finding_out(finding, rulebook), rulebook, say)
        for one in parts
        for where, finding in placed_findings(one.judgement, one.photo_ids)
    }
    told = [say("answered.as_found", outcome=words.state(unit.outcome, say))]
    if after is not None:
        told.append(says_after(after, say))
    told += [_answer(entry, said, say) for entry in kept]
    return [Section(words.heading("answers", say), tuple(told))], after


def sentences(entries: Sequence[Entry], say: Phrases) -> list[str]:
    """What people said to one finding, each a sentence, in order."""
    return [sentence(entry, say) for entry in entries]


def sentence(entry: Entry, say: Phrases) -> str:
    """Who set a finding aside and why, or took it up again."""
    content, who = entry.content, shown(entry.context.actor.name)
    told = {"name": who, "at": words.moment(entry.at), "reason": shown(content["reason"])}
    if content["takes_up"] is not None:
        return say("answered.taken_up", **told)
    return say("answered.set_aside", **told, kind=say(f"answered.{content['kind']}"))


def _answer(entry: Entry, said: Mapping[Named, str], say: Phrases) -> str:
    content = entry.content
    finding = said.get((content["where"], content["finding"]), "")
    if content["takes_up"] is None and not finding:
        return say(
            "answered.not_covered",
            name=shown(entry.context.actor.name),
            at=words.moment(entry.at),
            reason=shown(content["reason"]),
        )
    return f"{finding} {sentence(entry, say)}".strip()
