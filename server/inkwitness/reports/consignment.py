"""The report of a consignment."""

import datetime as dt
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from inkwitness.consignment.gate import Terms
from inkwitness.photo.files import PhotoFiles
from inkwitness.phrases import Phrases
from inkwitness.records.integrity.heads import Head, head_of
from inkwitness.reports import answers, parts, words
from inkwitness.reports.document import Document, Section, Table, as_said, shown
from inkwitness.reports.goods import evidence, intake, papers, values
from inkwitness.reports.goods.front import front
from inkwitness.reports.goods.given import given_and_answered
from inkwitness.reports.goods.noted import judged, name_of, noted
from inkwitness.reports.goods.of_units import said_of_units
from inkwitness.rulebook import Rulebook
from inkwitness.rulebook.policy import Policy
from inkwitness.use_cases import confirmations, overview, plans
from inkwitness.use_cases import look_ups as look_ups_kept
from inkwitness.use_cases.intake import use
from inkwitness.use_cases.overview import Overview, answer_says, aspects_of, counted_says
from inkwitness.use_cases.prints import SideBySide, side_by_side


@dataclass(frozen=True, slots=True)
class Corrects:
    """The report that a new one takes the place of: its day, the SHA-256 of its PDF, to whom."""

    day: dt.date
    sha256: str
    what: str
    names: tuple[str, ...]


def consignment_report(
    conn: Connection,
    files: PhotoFiles,
    rulebook: Rulebook,
    consignment_id: str,
    made_at: dt.datetime,
    terms: Terms,
    policy: Policy,
    say: Phrases,
    corrects: Corrects | None = None,
) -> Document:
    """All that is known of a consignment, and what a release waits for; raises NotFound.

    `policy` says what the site wants where. `corrects` is the report that this one takes the place
    of, where it does.
    """
    found = overview.of_consignment(conn, consignment_id, terms)
    head = head_of(conn)
    keys = {key for unit in found.units for key in unit.state.list_keys}
    looked_up = [
        entry
        for entry in look_ups_kept.all_of_them(conn)
        if entry.content["consignment_id"] == consignment_id or entry.content["looked_up"] in keys
    ]
    confirmed = found.roll_up.confirmed == found.roll_up.units + found.roll_up.groups
    schemes = [rulebook.scheme(name) for name in {unit.scheme for unit in found.units}]
    beside = side_by_side(conn, consignment_id, found.units)
    noted_here = noted(conn, found.units, rulebook, say)
    left = _left(found, say)
    people = _people(conn, found)
    compared = use.of_consignment(conn, consignment_id, policy)
    return Document(
        kind="consignment",
        title=say("report.title.consignment", label=shown(found.entry.content["label"])),
        made_at=made_at,
        statuses=parts.statuses(
            found.outcome,
            "confirmed" if confirmed else "reading",
            found.decisions,
            say,
            held=found.held,
            stopped=bool(found.stopped_by),
        ),
        sections=(
            intake.declared_of(conn, found, policy, say),
            *intake.asked_and_noted(conn, found, say),
            intake.intended_use(conn, found, policy, compared, say),
            _looked_at(found, beside, rulebook, say),
            _sample(found, say),
            _by_print(found, say),
            _named(conn, found, rulebook, say),
            *said_of_units(conn, found, rulebook, say),
            *_beside(found, beside, say),
            *values.side_by_side(found, beside, say),
            *papers.of_goods(conn, found, terms.on, rulebook, say),
            given_and_answered(conn, found, say),
            _in_the_way(found, say),
            *_by_lot(found, say),
            parts.look_ups(looked_up, say),
            Section(words.heading("not_looked_at", say), (*left, *parts.never_tested(say))),
            parts.use_cautions((scheme for scheme in schemes if scheme is not None), say),
            parts.decisions(found.decisions, say),
            _caveat(found, people, say),
            parts.integrity(_evidence(found, head, rulebook, say), say),
        ),
        records_head=head.head,
        language=say.language,
        pictures=evidence.photos_of(conn, files, found, say),
        front=(
            *_correction(corrects, say),
            *front(
                conn,
                found,
                beside,
                noted_here,
                left,
                people,
                papers.in_short(found, say),
                intake.cautions(compared, say),
                rulebook,
                say,
            ),
        ),
        units=evidence.of_units(conn, files, found, rulebook, say),
    )


def _correction(corrects: Corrects | None, say: Phrases) -> list[Section]:
    """What this report corrects, first of all."""
    if corrects is None:
        return []
    said = (
        say(
            "correction.says",
            day=corrects.day.isoformat(),
            sha256=corrects.sha256,
            what=shown(corrects.what),
        ),
        say("correction.rest", names=", ".join(shown(name) for name in corrects.names)),
    )
    return [Section(say("correction.title"), said)]


def _looked_at(found: Overview, beside: SideBySide, rulebook: Rulebook, say: Phrases) -> Section:
    counted = found.roll_up
    rows = tuple(
        (
            words.state(key, say),
            str(counted.by_outcome.get(key, 0)),
            str(counted.pieces_by_outcome.get(key, 0)),
        )
        for key in words.SHAPES
    )
    said = (
        say(
            "report.looked_at.count",
            units=counted.looked_at,
            groups=counted.groups,
            pieces=counted.pieces,
        ),
        say("report.looked_at.confirmed", n=counted.confirmed),
        say("report.looked_at.groups"),
        *([again] if (again := found.retakes.says(say)) else []),
        *(as_said(says) for _, says in counted_says(found, beside, rulebook, say)),
    )
    headings = words.columns(say, "outcome", "units", "pieces")
    return Section(words.heading("looked_at", say), said, Table(headings, rows))


def _sample(found: Overview, say: Phrases) -> Section:
    title = words.heading("sample", say)
    if found.plan is None:
        return Section(title, (say("report.sample.none"),))
    content = found.plan.content
    draw = content["draw"]
    said = [
        say(
            "report.sample.plan",
            name=shown(found.plan.context.actor.name),
            at=words.moment(found.plan.at),
            kind=say(f"report.sample.kind.{content['kind']}"),
            n=content["n"],
            lot=content["lot"],
        ),
        *(as_said(plans.said(one, say)) for one in content["statements"]),
        say("report.sample.seed", seed=shown(draw["seed"]), sha256=draw["frame_sha256"]),
        *_draws_before(found, say),
        say("report.sample.drawn", n=found.roll_up.drawn_looked_at, of=found.roll_up.drawn),
    ]
    if found.left_to_do:
        said.append(say("report.sample.left", n=found.left_to_do))
    said += [as_said(one.said(say)) for one in found.statements]
    for lot in found.lots:
        said += [
            say("report.sample.lot", code=shown(lot.code), says=as_said(one.said(say)))
            for one in lot.statements
        ]
    return Section(title, tuple(said))


def _draws_before(found: Overview, say: Phrases) -> Iterator[str]:
    """Every earlier draw, whether it counts, and why a person said that earlier ones do not."""
    for one in found.plans:
        content, who = one.entry.content, shown(one.entry.context.actor.name)
        at, seed = words.moment(one.entry.at), shown(content["draw"]["seed"])
        if one.entry.id != found.plans[-1].entry.id:
            key = "report.sample.earlier" if one.counts else "report.sample.earlier_ended"
            yield say(key, name=who, at=at, n=content["n"], lot=content["lot"], seed=seed)
        if one.instead_because:
            yield say("report.sample.instead", name=who, at=at, reason=shown(one.instead_because))


def _by_print(found: Overview, say: Phrases) -> Section:
    none = say("report.not_read")
    counted = Counter(
        (unit.approval_number or none, unit.holder or none, unit.outcome or "not_looked_at")
        for unit in found.units
    )
    rows = tuple(
        (shown(number), shown(holder), say(f"state.{outcome}"), str(count))
        for (number, holder, outcome), count in sorted(counted.items())
    )
    headings = words.columns(say, "number", "name", "outcome", "units")
    return Section(words.heading("prints", say), (), Table(headings, rows))


def _beside(found: Overview, beside: SideBySide, say: Phrases) -> list[Section]:
    """Aspects side by side, the worst state first, and what units say beside each other."""
    together = aspects_of(found, beside)
    rows = tuple(
        (
            words.aspect(aspect, say),
            ", ".join(f"{say(f'state.{state}')}: {count}" for state, count in states.items()),
        )
        for aspect in words.ASPECTS
        if (states := together.get(aspect))
    )
    told = [
        " ".join(
            (
                as_said(one.says(say)),
                one.next_step(say),
                *answers.sentences(beside.answered(one), say),
            )
        )
        for one in beside.across
    ]
    sections = []
    if rows:
        table = Table(words.columns(say, "about", "results"), rows)
        sections.append(Section(words.heading("aspects", say), (), table))
    if told:
        sections.append(Section(words.heading("across", say), tuple(told)))
    return sections


def _named(conn: Connection, found: Overview, rulebook: Rulebook, say: Phrases) -> Section:
    """Each unit that has a conflict or something missing, and what."""
    rows = []
    for unit in found.units:
        if unit.outcome not in ("conflict", "missing"):
            continue
        seen = judged(conn, unit, rulebook)
        said = [
            " ".join(
                (
                    words.finding(finding, rulebook, say),
                    *(answers.sentences([answer], say) if answer is not None else ()),
                )
            )
            for finding, answer in seen.findings
            if finding.severity in ("conflict", "missing") and not finding.question
        ]
        said += [
            words.list_says(part.holder_match, say)[0]
            for part in seen.parts
            if part.holder_match.state in ("listed_differs", "listed_ended")
        ]
        _, after = answers.of_unit(conn, unit, rulebook, say)
        if after is not None:
            said.append(answers.says_after(after, say))
        rows.append((name_of(unit), say(f"state.{unit.outcome}"), _lines(said)))
    title = words.heading("again", say)
    if not rows:
        return Section(title, (say("report.again.none"),))
    headings = words.columns(say, "unit", "outcome", "noted")
    return Section(title, (), Table(headings, tuple(rows)))


def _lines(said: Sequence[str]) -> str:
    """What is said in one cell of a table, a line each."""
    once = tuple(dict.fromkeys(said))
    return "\n".join(f"– {one}" for one in once) if len(once) > 1 else "".join(once)


def _in_the_way(found: Overview, say: Phrases) -> Section:
    said = tuple(f"{one.says(say)} {one.lift(say)}" for one in found.in_the_way)
    return Section(words.heading("in_the_way", say), said or (say("report.in_the_way.none"),))


def _by_lot(found: Overview, say: Phrases) -> list[Section]:
    """What stands in the way of each lot by itself, where several were declared."""
    rows = []
    for lot in found.lot_stands:
        told = [say("hold.do")] if lot.held else []
        told += [as_said(answer_says(lot.answered, say))] if lot.answered is not None else []
        told += [say(f"decided.{lot.released}")] if lot.released else []
        told += [one.says(say) for one in lot.in_the_way]
        rows.append((shown(lot.code), " ".join(told) or say("report.in_the_way.none")))
    if not rows:
        return []
    table = Table(words.columns(say, "lot", "state"), tuple(rows))
    return [Section(words.heading("lots", say), (), table)]


def _left(found: Overview, say: Phrases) -> list[str]:
    declared = found.content["units_declared"]
    said = []
    if declared:
        said.append(say("report.not.opened", n=max(0, declared - found.roll_up.pieces)))
    cartons = found.content["cartons_declared"]
    if cartons and found.cartons_looked_at is not None:
        said.append(say("report.not.cartons", n=max(0, cartons - found.cartons_looked_at)))
    return said


def _people(conn: Connection, found: Overview) -> tuple[str, ...]:
    """Who confirmed marks, each once."""
    return tuple(
        dict.fromkeys(
            shown(word.context.actor.name)
            for unit in found.units
            for photo in unit.state.photos
            for word in confirmations.standing(
                confirmations.of_photo(conn, photo.photo_id)
            ).in_force
        )
    )


def _caveat(found: Overview, people: Sequence[str], say: Phrases) -> Section:
    declared = found.content["units_declared"]
    cartons = found.content["cartons_declared"]
    opened = found.cartons_looked_at
    of_them = say("report.caveat.of", declared=declared) if declared else ""
    if cartons and opened is not None:
        of_them += say("report.caveat.cartons", opened=opened, cartons=cartons)
    return parts.caveat(
        (
            say("report.caveat.units", n=found.roll_up.looked_at, of=of_them),
            say("report.caveat.photos"),
            parts.confirmed_by(people, say),
            say("report.caveat.firm"),
        ),
        say,
    )


def _evidence(
    found: Overview, head: Head, rulebook: Rulebook, say: Phrases
) -> list[tuple[str, str]]:
    rows = [("consignment", found.entry.id), ("record", found.entry.hash)]
    if found.plan is not None:
        rows.append(("plan", found.plan.hash))
    rows += [("rules_now", rulebook.edition), ("head", head.head), ("rows", head.counts)]
    return [(say(f"report.evidence.{key}"), value) for key, value in rows]
