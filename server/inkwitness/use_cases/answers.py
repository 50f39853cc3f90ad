"""A person's answer to a finding: set aside for a reason, or taken up again. Nothing is removed.

The finding stays with the answer beside it. What the goods come to without it is said beside what
was found; the gate of a release goes by what was found, so that an answer never releases anything.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, get_args

from sqlalchemy import Connection

from inkwitness.check.aside import After, Named, placed_findings, without
from inkwitness.check.values import Judgement, UnitJudgement
from inkwitness.errors import BadInput
from inkwitness.findings.identity import answerable, key_of
from inkwitness.findings.outcome import outcome_of, worst
from inkwitness.records import chain, checks, units
from inkwitness.records.chain import Entry, WriteContext
from inkwitness.records.tables import consignments, finding_answers, unit_checks
from inkwitness.records.tables import units as units_table
from inkwitness.records.units import UnitSummary

#: Why a finding is set aside. `other_meaning`: this print means something else; `sign_in_place`:
#: the maker's sign stands in its place; `own_words`: as the reason says.
AnswerKind = Literal["other_meaning", "sign_in_place", "own_words"]


@dataclass(frozen=True, slots=True)
class Aside:
    """A finding that a person sets aside: its name, where it was raised, why."""

    finding: str
    kind: AnswerKind
    reason: str
    where: str = ""


@dataclass(frozen=True, slots=True)
class Judged:
    """A judgement that speaks for a unit, and the photos that it is of."""

    judgement: Judgement | UnitJudgement
    photo_ids: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class AfterAnswers:
    """What a unit comes to without what was set aside, and the answers that this rests on."""

    after: After
    answers: tuple[Entry, ...]

    @property
    def people(self) -> tuple[str, ...]:
        """Who set something aside."""
        return tuple(dict.fromkeys(entry.context.actor.name for entry in self.answers))


def set_aside_on_unit(
    conn: Connection, id_: str, unit_id: str, said: Aside, context: WriteContext
) -> tuple[Entry, bool]:
    """Keep that a person set a finding of a unit aside.

    Raises NotFound, and BadInput where there is no such finding now or the reason is missing.
    """
    chain.get(conn, units_table, unit_id)
    content = _content(said, unit_id=unit_id)
    if chain.find(conn, finding_answers, id_) is None:
        (unit,) = units.summaries(conn, [unit_id])
        raised = {
            (where, key_of(finding))
            for one in judged(conn, unit)
            for where, finding in placed_findings(one.judgement, one.photo_ids)
            if answerable(finding)
        }
        _check(said, raised)
    return chain.append(conn, finding_answers, id_, content, context)


def set_aside_on_consignment(
    conn: Connection,
    id_: str,
    consignment_id: str,
    said: Aside,
    raised: Sequence[str],
    context: WriteContext,
) -> tuple[Entry, bool]:
    """Keep that a person set a finding of a consignment aside; `raised` are those there are."""
    chain.get(conn, consignments, consignment_id)
    content = _content(said, consignment_id=consignment_id)
    if chain.find(conn, finding_answers, id_) is None:
        _check(said, {("", key) for key in raised})
    return chain.append(conn, finding_answers, id_, content, context)


def take_up(
    conn: Connection, id_: str, answer_id: str, reason: str, context: WriteContext
) -> tuple[Entry, bool]:
    """Take a finding up again that was set aside; every answer to it ends with that."""
    before = chain.get(conn, finding_answers, answer_id).content
    if before["takes_up"] is not None:
        raise BadInput("taken_up_before")
    _check_reason(reason)
    content = {**before, "kind": "", "reason": reason.strip(), "takes_up": answer_id}
    return chain.append(conn, finding_answers, id_, content, context)


def of_unit(conn: Connection, unit_id: str) -> list[Entry]:
    """All answers to findings of a unit, in order."""
    return chain.entries(conn, finding_answers, unit_id=unit_id)


def of_consignment(conn: Connection, consignment_id: str) -> list[Entry]:
    """All answers to findings of a consignment itself, in order."""
    return chain.entries(conn, finding_answers, consignment_id=consignment_id)


def standing(answers: Sequence[Entry]) -> dict[Named, Entry]:
    """The answers in force, by finding: the newest that was not taken up again since."""
    found: dict[Named, Entry] = {}
    for entry in answers:
        named = (entry.content["where"], entry.content["finding"])
        if entry.content["takes_up"] is None:
            found[named] = entry
        else:
            found.pop(named, None)
    return found


def judged(conn: Connection, unit: UnitSummary) -> list[Judged]:
    """What speaks for a unit: its photos together, or each that was read."""
    if unit.unit_check_id is not None:
        entry = chain.get(conn, unit_checks, unit.unit_check_id)
        return [Judged(checks.load_unit(conn, entry), tuple(entry.content["photos"]))]
    made = [(photo.photo_id, checks.newest(conn, photo.photo_id)) for photo in unit.state.photos]
    return [
        Judged(checks.load(conn, entry).judgement, (photo_id,))
        for photo_id, entry in made
        if entry is not None
    ]


def after(
    parts: Sequence[Judged], answers: Mapping[Named, Entry]
) -> tuple[AfterAnswers | None, frozenset[Named]]:
    """What a unit comes to without what was set aside, and which of its findings that is.

    None where no finding that there is now was set aside: an answer to another covers nothing.
    """
    raised = {
        (where, key_of(finding))
        for one in parts
        for where, finding in placed_findings(one.judgement, one.photo_ids)
        if answerable(finding)
    }
    covered = frozenset(raised & answers.keys())
    if not covered:
        return None, covered
    found = [without(one.judgement, one.photo_ids, covered) for one in parts]
    aspects = {
        name: worst(one.aspects[name] for one in found if name in one.aspects)
        for name in found[0].aspects
    }
    used = sorted((answers[named] for named in covered), key=lambda entry: entry.seq)
    return AfterAnswers(After(aspects, outcome_of(aspects.values())), tuple(used)), covered


def in_force(conn: Connection, unit: UnitSummary) -> dict[Named, Entry]:
    """The answers that set a finding of the unit aside that there is now, by the finding."""
    if not unit.state.answers:
        return {}
    given = standing(of_unit(conn, unit.unit_id))
    _, covered = after(judged(conn, unit), given)
    return {named: given[named] for named in covered}


def _content(
    said: Aside, *, unit_id: str | None = None, consignment_id: str | None = None
) -> dict[str, object]:
    if said.kind not in get_args(AnswerKind):
        raise BadInput("bad_answer_kind", allowed=", ".join(get_args(AnswerKind)))
    return {
        "unit_id": unit_id,
        "consignment_id": consignment_id,
        "finding": said.finding,
        "where": said.where,
        "kind": said.kind,
        "reason": said.reason.strip(),
        "takes_up": None,
    }


def _check(said: Aside, raised: set[Named]) -> None:
    _check_reason(said.reason)
    if (said.where, said.finding) not in raised:
        raise BadInput("nothing_to_set_aside")


def _check_reason(reason: str) -> None:
    if len(reason.strip()) < 3:
        raise BadInput("say_why")
