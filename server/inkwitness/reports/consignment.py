"""The report of a consignment."""

import datetime as dt
from collections import Counter

from sqlalchemy import Connection

from inkwitness.check.contract import ItemOut, OtherItemOut, UnitCheckOut
from inkwitness.consignment.gate import Terms
from inkwitness.records import chain, checks, confirmations, overview, unit_checks
from inkwitness.records import look_ups as look_ups_kept
from inkwitness.records.heads import Head, head_of
from inkwitness.records.overview import Overview
from inkwitness.records.prints import SideBySide, side_by_side
from inkwitness.records.tables import unit_checks as unit_checks_table
from inkwitness.records.units import UnitSummary
from inkwitness.reports import parts, words
from inkwitness.reports.document import Document, Section, Table, shown
from inkwitness.rulebook import Rulebook


def consignment_report(
    conn: Connection,
    rulebook: Rulebook,
    consignment_id: str,
    made_at: dt.datetime,
    terms: Terms,
) -> Document:
    """All that is known of a consignment, and what a release waits for; raises NotFound."""
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
    return Document(
        kind="consignment",
        title=f"What the print says: consignment “{shown(found.entry.content['label'])}”",
        made_at=made_at,
        statuses=parts.statuses(
            found.roll_up.outcome,
            "confirmed" if confirmed else "reading",
            found.decisions,
            held=found.held,
        ),
        sections=(
            _declared(found),
            _looked_at(found),
            _sample(found),
            _by_print(found),
            _named(conn, found),
            *_beside(side_by_side(conn, consignment_id, found.units)),
            _in_the_way(found),
            parts.look_ups(looked_up),
            Section("What was not looked at", (*_left(found), *words.NEVER_TESTED)),
            parts.use_cautions(
                caution for scheme in schemes if scheme for caution in scheme.cautions
            ),
            parts.decisions(found.decisions),
            _caveat(conn, found),
            parts.integrity(_evidence(found, head, rulebook)),
        ),
        records_head=head.head,
    )


def _declared(found: Overview) -> Section:
    content = found.entry.content
    rows = [
        ("supplier, as declared", shown(content["supplier"])),
        ("reference", shown(content["reference"])),
        ("units declared", _number(content["units_declared"])),
        ("cartons declared", _number(content["cartons_declared"])),
        *(
            (
                f"lot “{shown(lot['code'])}”",
                f"units {_number(lot['units'])}, cartons {_number(lot['cartons'])}",
            )
            for lot in content["lots"]
        ),
        ("note", shown(content["note"])),
        ("recorded", f"{shown(found.entry.hand.actor.name)}, {words.moment(found.entry.at)}"),
    ]
    told = tuple(row for row in rows if row[1])
    return Section("What was declared", (), Table(("What", "Value"), told))


def _looked_at(found: Overview) -> Section:
    counted = found.roll_up
    rows = tuple(
        (
            f"{_shape(key)} {text}".strip(),
            str(counted.by_outcome.get(key, 0)),
            str(counted.pieces_by_outcome.get(key, 0)),
        )
        for key, text in words.OUTCOMES.items()
    )
    said = [
        (
            f"Looked at: {counted.looked_at} single units and {counted.groups} groups of identical "
            f"items, {counted.pieces} pieces in all."
        ),
        f"Confirmed by a person: {counted.confirmed}.",
        "A group is never part of a random sample.",
    ]
    return Section(
        "What was looked at", tuple(said), Table(("Outcome", "Units and groups", "Pieces"), rows)
    )


def _sample(found: Overview) -> Section:
    if found.plan is None:
        return Section(
            "The sample",
            ("No plan was made, so what was looked at says nothing about the rest.",),
        )
    content = found.plan.content
    draw = content["draw"]
    said = [
        (
            f"Plan by {shown(found.plan.hand.actor.name)}, {words.moment(found.plan.at)}: "
            f"{content['kind'].replace('_', ' ')}, {content['n']} of {content['lot']} units."
        ),
        *(shown(one["text"]) for one in content["statements"]),
        f"Seed “{shown(draw['seed'])}”; SHA-256 of the list drawn from: {draw['frame_sha256']}.",
        f"Drawn units looked at: {found.roll_up.drawn_looked_at} of {found.roll_up.drawn}.",
    ]
    if found.left_to_do:
        said.append(
            f"{found.left_to_do} drawn units are not looked at and confirmed yet, so nothing is "
            "said about the rest."
        )
    said += [one.text for one in found.statements]
    for lot in found.lots:
        said += [f"Lot “{shown(lot.code)}”: {one.text}" for one in lot.statements]
    return Section("The sample", tuple(said))


def _by_print(found: Overview) -> Section:
    counted = Counter(
        (unit.approval_number or "not read", unit.holder or "not read", unit.outcome or "")
        for unit in found.units
    )
    rows = tuple(
        (shown(number), shown(holder), words.OUTCOMES[outcome or "not_looked_at"], str(count))
        for (number, holder, outcome), count in sorted(counted.items())
    )
    headings = ("Number as read", "Name", "Outcome", "Units and groups")
    return Section("What the print says", (), Table(headings, rows))


def _beside(beside: SideBySide) -> list[Section]:
    """Aspects side by side, the worst state first, and what units say beside each other."""
    rows = tuple(
        (
            name,
            ", ".join(f"{words.OUTCOMES[state]}: {count}" for state, count in states.items()),
        )
        for aspect, name in words.ASPECTS.items()
        if (states := beside.aspects.get(aspect))
    )
    found = [f"{shown(one.says)} {one.next_step}" for one in beside.across]
    sections = []
    if rows:
        table = Table(("About", "Units by result"), rows)
        sections.append(Section("Six results side by side, never added up", (), table))
    if found:
        sections.append(Section("What units say beside each other", tuple(found)))
    return sections


def _named(conn: Connection, found: Overview) -> Section:
    """Each unit that has a conflict or something missing, and what."""
    rows = []
    for unit in found.units:
        if unit.outcome not in ("conflict", "missing"):
            continue
        found_in = _checked(conn, unit)
        said = [
            parts.sentence(finding)
            for part in found_in
            for finding in part.findings
            if finding.severity in ("conflict", "missing") and not finding.question
        ]
        said += [
            words.list_says(part.holder_match)[0]
            for part in found_in
            if part.holder_match.state in ("listed_differs", "listed_ended")
        ]
        where = unit.state.place or unit.label or unit.unit_id
        rows.append((shown(where), words.OUTCOMES[unit.outcome], " ".join(dict.fromkeys(said))))
    if not rows:
        return Section("Units to look at again", ("No unit has a conflict or a missing mark.",))
    return Section(
        "Units to look at again", (), Table(("Unit", "Outcome", "What was noted"), tuple(rows))
    )


def _checked(conn: Connection, unit: UnitSummary) -> list[UnitCheckOut | OtherItemOut | ItemOut]:
    """What was judged of a unit: its photos together, or each item of its only photo."""
    if unit.unit_check_id is not None:
        together = unit_checks.out_of(chain.get(conn, unit_checks_table, unit.unit_check_id))
        return [together, *together.others]
    made = [checks.newest(conn, photo.photo_id) for photo in unit.state.photos]
    return [item for check in made if check is not None for item in checks.out_of(check).items]


def _in_the_way(found: Overview) -> Section:
    said = tuple(f"{one.says} {one.lift}" for one in found.in_the_way) or (
        "Nothing that this program knows of. A person decides.",
    )
    return Section("What stands in the way of a release", said)


def _left(found: Overview) -> list[str]:
    declared = found.entry.content["units_declared"]
    said = []
    if declared:
        said.append(
            f"Not opened or not looked at: {max(0, declared - found.roll_up.pieces)} units."
        )
    cartons = found.entry.content["cartons_declared"]
    if cartons and found.cartons_looked_at is not None:
        said.append(f"Cartons not opened: {max(0, cartons - found.cartons_looked_at)}.")
    return said


def _caveat(conn: Connection, found: Overview) -> Section:
    declared = found.entry.content["units_declared"]
    cartons = found.entry.content["cartons_declared"]
    of_units = f" of {declared}" if declared else ""
    where = ""
    if cartons and found.cartons_looked_at is not None:
        where = f" from {found.cartons_looked_at} of {cartons} cartons"
    people = dict.fromkeys(
        shown(word.hand.actor.name)
        for unit in found.units
        for photo in unit.state.photos
        for word in confirmations.standing(confirmations.of_photo(conn, photo.photo_id)).in_force
    )
    by = (
        f"Marks were confirmed by {', '.join(people)}."
        if people
        else "No person confirmed any mark yet."
    )
    return Section(
        "What this shows and what it does not",
        (
            f"We looked at {found.roll_up.looked_at}{of_units} units{where}.",
            "We read the print from photographs.",
            by,
            "This is not a finding about any person or firm.",
            *words.LAST_WORD,
        ),
    )


def _evidence(found: Overview, head: Head, rulebook: Rulebook) -> list[tuple[str, str]]:
    rows = [("consignment", found.entry.id), ("hash of its record", found.entry.hash)]
    if found.plan is not None:
        rows.append(("hash of the plan's record", found.plan.hash))
    rows += [("rules edition in force", rulebook.edition), ("head of all records", head.head)]
    rows.append(("rows under that head", head.counts))
    return rows


def _shape(outcome: str) -> str:
    return words.STATUSES[outcome].shape


def _number(value: int | None) -> str:
    return str(value) if value is not None else "not declared"
