"""What the units of a consignment say, from their newest checks: aspects, marks, photos."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from sqlalchemy import Connection

from inkwitness import rulebook
from inkwitness.check.values import Judgement, UnitJudgement
from inkwitness.consignment.across import DECLARED, Across, UnitPrint, across
from inkwitness.consignment.intake import Declared
from inkwitness.findings.evidence import PACKAGING
from inkwitness.findings.outcome import WORST_FIRST, worst
from inkwitness.findings.values import AspectState, Finding
from inkwitness.holders.numbers import normal_form
from inkwitness.marks.values import Mark
from inkwitness.records import chain, constructions
from inkwitness.records.chain import Entry
from inkwitness.records.tables import consignments, photos
from inkwitness.records.units import UnitSummary
from inkwitness.use_cases import answers
from inkwitness.use_cases.intake.declared import content_in_force, declared, lots_declared_later

_STATES = (*WORST_FIRST, "not_looked_at")


@dataclass(frozen=True, slots=True)
class SideBySide:
    """Units beside each other: how many came to which state in each aspect, and what they say.

    The states of an aspect come worst first. Nothing is added up over aspects. `answers` are those
    of people to findings of the consignment, in order; `prints` what each unit bears, `declared`
    what was declared, by mark, with the lots; `label` what the consignment is called. `findings`
    are those of each unit, by its id.
    """

    aspects: Mapping[str, Mapping[str, int]]
    across: tuple[Across, ...]
    answers: tuple[Entry, ...] = ()
    prints: tuple[UnitPrint, ...] = ()
    declared: Mapping[str, Sequence[str]] = field(default_factory=dict)
    label: str = ""
    findings: Mapping[str, tuple[Finding, ...]] = field(default_factory=dict)

    def answered(self, one: Across) -> tuple[Entry, ...]:
        """What people said to a finding, in order."""
        return tuple(entry for entry in self.answers if entry.content["finding"] == one.id)


def side_by_side(
    conn: Connection, consignment_id: str, members: Sequence[UnitSummary]
) -> SideBySide:
    """The units of a consignment beside each other and beside what was declared."""
    entry = chain.get(conn, consignments, consignment_id)
    aspects: dict[str, Counter[str]] = {}
    prints = []
    findings: dict[str, tuple[Finding, ...]] = {}
    for unit in members:
        made = [one.judgement for one in answers.judged(conn, unit)]
        for name, state in _worst(made).items():
            aspects.setdefault(name, Counter())[state] += 1
        prints.append(_print(conn, unit, made))
        findings[unit.unit_id] = tuple(one for judged in made for one in _findings(judged))
    content = content_in_force(conn, entry)
    lots = [lot["code"] for lot in content["lots"]]
    elsewhere = _lots_elsewhere(conn, consignment_id, entry.content["supplier"])
    of_goods = declared_of(declared(conn, consignment_id))
    printing = rulebook.shipped().vocabulary.printing
    found = across(prints, lots, elsewhere, of_goods, printing)
    ordered = {
        name: {state: counted[state] for state in _STATES if counted[state]}
        for name, counted in aspects.items()
    }
    return SideBySide(
        ordered,
        found,
        tuple(answers.of_consignment(conn, consignment_id)),
        tuple(prints),
        {**of_goods, **({"lot": lots} if lots else {})},
        entry.content["label"],
        findings,
    )


def marks_of_unit(conn: Connection, unit: UnitSummary) -> dict[str, tuple[str, ...]]:
    """What each mark of a unit reads, in normal form; only what was read, or a person said."""
    made = [one.judgement for one in answers.judged(conn, unit)]
    return dict(_print(conn, unit, made).marks)


def _worst(judged: Sequence[Judgement | UnitJudgement]) -> dict[str, AspectState]:
    names = dict.fromkeys(name for one in judged for name in one.aspects)
    return {
        name: worst(one.aspects[name] for one in judged if name in one.aspects) for name in names
    }


def declared_of(goods: Declared) -> dict[str, list[str]]:
    """What was declared of the goods when they were taken in, by mark; what was not is left out."""
    said = {"model": goods.product, "filter_class": goods.filter_class}
    return {mark: [said[mark]] for mark in DECLARED if said.get(mark)}


def _print(
    conn: Connection, unit: UnitSummary, judged: Sequence[Judgement | UnitJudgement]
) -> UnitPrint:
    marks: dict[str, list[str]] = {}
    packaging: dict[str, list[str]] = {}
    mask: dict[str, list[str]] = {}
    for mark, surface in (found for one in judged for found in _marks(one)):
        read = mark.standing == "read" and mark.named_by != "place"
        if read and (mark.value or mark.printed):
            side = packaging if surface in PACKAGING else mask
            for held in (marks, side):
                held.setdefault(mark.mark, []).append(mark.value or mark.printed)
    built = constructions.newest(conn, unit.unit_id)
    seen = built.content if built is not None else {"answers": {}, "measures": {}}
    sent = [chain.get(conn, photos, photo.photo_id) for photo in unit.state.photos]
    return UnitPrint(
        unit.unit_id,
        unit.state.place or unit.label or unit.unit_id[-6:],
        unit.state.place,
        _each_once(marks),
        tuple(photo.content["sha256"] for photo in sent),
        _each_once(packaging),
        _each_once(mask),
        seen["answers"],
        seen["measures"],
    )


def _each_once(marks: Mapping[str, Sequence[str]]) -> dict[str, tuple[str, ...]]:
    return {name: tuple(dict.fromkeys(values)) for name, values in marks.items()}


def _marks(judged: Judgement | UnitJudgement) -> list[tuple[Mark, str]]:
    """The marks of a unit's judgement with their sides, or of the largest item of a photo's."""
    if isinstance(judged, UnitJudgement):
        return [(placed.mark, placed.surface) for placed in judged.placed]
    return [(mark, item.surface) for item in judged.items[:1] for mark in item.marks]


def _findings(judged: Judgement | UnitJudgement) -> list[Finding]:
    """Those of a unit, its further items in a photo as well."""
    if isinstance(judged, UnitJudgement):
        return [*judged.findings, *(one for part in judged.others for one in part.findings)]
    return [one for part in judged.items for one in part.findings]


def _lots_elsewhere(conn: Connection, consignment_id: str, supplier: str) -> dict[str, list[str]]:
    """Other suppliers that declared a lot, as it is declared now, by its normal form."""
    found: dict[str, list[str]] = {}
    later = lots_declared_later(conn)
    mine = " ".join(supplier.casefold().split())
    for entry in chain.entries(conn, consignments):
        other = entry.content.get("supplier", "")
        if entry.id == consignment_id or " ".join(other.casefold().split()) in ("", mine):
            continue
        opened = [lot["code"] for lot in entry.content.get("lots", ())]
        for lot in later.get(entry.id, opened):
            suppliers = found.setdefault(normal_form(lot), [])
            if other not in suppliers:
                suppliers.append(other)
    return found
