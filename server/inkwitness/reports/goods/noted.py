"""What was noted on the units of a consignment: each thing once, with the units it was seen on."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from inkwitness.check.aside import further
from inkwitness.check.contract import (
    FindingOut,
    HolderMatchOut,
    ItemOut,
    OtherItemOut,
    UnitCheckOut,
)
from inkwitness.check.outward import check_out, unit_check_out
from inkwitness.phrases import Phrases
from inkwitness.records import chain, checks
from inkwitness.records.chain import Entry
from inkwitness.records.tables import unit_checks
from inkwitness.records.units import UnitSummary
from inkwitness.reports import words
from inkwitness.reports.answers import sentence
from inkwitness.reports.document import shown
from inkwitness.rulebook import Rulebook
from inkwitness.use_cases import answers
from inkwitness.use_cases.prints import marks_of_unit

#: What was judged of a unit: its photos together, another item of them, or an item of one photo.
Judged = UnitCheckOut | OtherItemOut | ItemOut


@dataclass(frozen=True, slots=True)
class Noted:
    """One thing that was noted, and the names of the units it was noted on.

    `kind` is `conflict`, `missing`, or `list` for what differs from the user's list. `plain` is
    what it says without its source. `aside` is who set it aside, when and why; empty: it is open.
    """

    kind: str
    says: str
    units: tuple[str, ...]
    plain: str
    aside: str = ""


@dataclass(frozen=True, slots=True)
class Print:
    """Units whose marks read alike: number, holder's name, model, and the lots among them."""

    number: str
    holder: str
    model: str
    lots: tuple[str, ...]
    units: int


@dataclass(frozen=True, slots=True)
class OfUnit:
    """What was judged of a unit: `parts`, its photos together or each item of its only photo.

    `findings` are all of theirs, each with the answer that set it aside, where one did.
    """

    parts: tuple[Judged, ...]
    findings: tuple[tuple[FindingOut, Entry | None], ...]


def judged(conn: Connection, unit: UnitSummary, rulebook: Rulebook) -> OfUnit:
    """What was judged of a unit, read once."""
    placed = _placed(conn, unit, rulebook)
    given = answers.in_force(conn, unit)
    return OfUnit(
        tuple(part for _, part in placed),
        tuple(
            (finding, given.get((where, finding.id)))
            for where, part in placed
            for finding in part.findings
        ),
    )


def _placed(conn: Connection, unit: UnitSummary, rulebook: Rulebook) -> list[tuple[str, Judged]]:
    """What was judged, each with the place that an answer to its findings names."""
    if unit.unit_check_id is not None:
        entry = chain.get(conn, unit_checks, unit.unit_check_id)
        photos = entry.content["photos"]
        together = unit_check_out(checks.load_unit(conn, entry), rulebook)
        others = [(further(photos[one.photo], one.item), one) for one in together.others]
        return [("", together), *others]
    made = [(one.photo_id, checks.newest(conn, one.photo_id)) for one in unit.state.photos]
    return [
        (further(photo_id, number), item)
        for photo_id, check in made
        if check is not None
        for number, item in enumerate(check_out(checks.load(conn, check), rulebook).items)
    ]


def name_of(unit: UnitSummary) -> str:
    """A unit as people call it: its place, its label, or the end of its id."""
    return shown(unit.state.place or unit.label or unit.unit_id[-6:])


def noted(
    conn: Connection, members: Sequence[UnitSummary], rulebook: Rulebook, say: Phrases
) -> list[Noted]:
    """Conflicts, what is missing, and what differs from the list; what most units have first.

    Questions are left out: they were not concluded. What a person set aside stands behind what is
    open, each word of theirs by itself.
    """
    found: dict[tuple[str, str, str, str], dict[str, None]] = {}
    for unit in members:
        seen = judged(conn, unit, rulebook)
        for finding, answer in seen.findings:
            if finding.severity in ("conflict", "missing") and not finding.question:
                says = words.finding(finding, rulebook, say)
                plain = words.finding(finding.model_copy(update={"source": ""}), rulebook, say)
                aside = sentence(answer, say) if answer is not None else ""
                key = (finding.severity, says, plain, aside)
                found.setdefault(key, {})[name_of(unit)] = None
        for part in seen.parts:
            for says in _list(part.holder_match, say):
                found.setdefault(("list", says, says, ""), {})[name_of(unit)] = None
    order = {"conflict": 0, "list": 1, "missing": 2}
    ranked = sorted(found.items(), key=lambda one: (one[0][3], order[one[0][0]], -len(one[1])))
    return [
        Noted(kind, says, tuple(names), plain, aside)
        for (kind, says, plain, aside), names in ranked
    ]


def prints(conn: Connection, members: Sequence[UnitSummary], say: Phrases) -> list[Print]:
    """The prints of the units, what most of them carry first; only marks that were read."""
    none = say("report.not_read")
    counted: Counter[tuple[str, str, str]] = Counter()
    lots: dict[tuple[str, str, str], dict[str, None]] = {}
    for unit in members:
        marks = marks_of_unit(conn, unit)

        def one(name: str, marks: dict[str, tuple[str, ...]] = marks) -> str:
            return shown(", ".join(marks.get(name, ()))) or none

        key = (one("approval_number"), one("manufacturer"), one("model"))
        counted[key] += 1
        lots.setdefault(key, {}).update(dict.fromkeys(marks.get("lot", ())))
    return [
        Print(*key, tuple(shown(lot) for lot in lots[key]) or (none,), n)
        for key, n in counted.most_common()
    ]


def _list(match: HolderMatchOut, say: Phrases) -> Iterator[str]:
    """What differs from the list, worded for somebody who does not keep it."""
    kept = ", ".join(
        one for one in (shown(match.list_name), words.date(match.list_checked_on)) if one
    )
    if match.question:
        return
    if match.state == "listed_differs":
        for field in match.fields:
            if field.state == "differs":
                yield say(
                    "message.list_differs",
                    field=words.compared_field(field.field, say),
                    printed=shown(field.printed),
                    listed=shown(field.listed),
                    list=kept,
                )
    elif match.state == "listed_ended":
        status = say.named("entry", match.status)
        yield say("message.list_ended", number=shown(match.looked_up), status=status, list=kept)
    elif match.state == "not_listed":
        yield say("message.list_absent", number=shown(match.looked_up), list=kept)
