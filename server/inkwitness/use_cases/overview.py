"""A consignment as it stands: declared, drawn, looked at, decided, and what the sample shows."""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection

from inkwitness.check.outward import finding_says
from inkwitness.consignment.dispositions import answer_differs, held, released
from inkwitness.consignment.draws import lot_form
from inkwitness.consignment.gate import Goods, Terms, blocks
from inkwitness.consignment.lots import of_lot, parted, released_lot
from inkwitness.consignment.papers.values import PapersJudged
from inkwitness.consignment.roll_up import roll_up
from inkwitness.consignment.sample import OnUnits, on_units
from inkwitness.consignment.seen import Seen, seen_now
from inkwitness.consignment.values import LookUp, Refusal, RollUp, worst
from inkwitness.findings.outcome import Outcome
from inkwitness.findings.values import Aspect, AspectState
from inkwitness.phrases import Phrases
from inkwitness.records import chain, consignments, units
from inkwitness.records.chain import Entry
from inkwitness.records.tables import consignments as consignments_table
from inkwitness.records.units import UnitSummary
from inkwitness.rulebook import Rulebook
from inkwitness.sampling.statements import Statement
from inkwitness.use_cases import deciding, goods, plans
from inkwitness.use_cases.drawn import LotSample, Place, after, cartons_of, of_lots, places
from inkwitness.use_cases.intake import standing
from inkwitness.use_cases.intake.declared import content_in_force
from inkwitness.use_cases.photos import Retakes, retakes
from inkwitness.use_cases.plans import Made
from inkwitness.use_cases.prints import SideBySide
from inkwitness.use_cases.stores.standing import stopped_by


@dataclass(frozen=True, slots=True)
class LotStands:
    """One declared lot: whether it is held, released, and what a release of it waits for.

    `answered` is the newest answer of the holder about it, or about all lots. An answer that
    differs from the print is a conflict of the lot, whatever its units show. `stopped_by` is what
    stands in the way now of a lot that is released; `seen` is how it stands, for who decides on it.
    """

    code: str
    outcome: Outcome | None
    answered: Entry | None
    held: bool
    released: str
    in_the_way: tuple[Refusal, ...]
    stopped_by: tuple[Refusal, ...]
    seen: Seen


@dataclass(frozen=True, slots=True)
class Overview:
    """Everything that a screen or a report about a consignment shows.

    `content` is what it was declared to be, with what was declared later in its place.

    `plan` is the newest of `plans`, `drawn` the places of every draw that counts. `statements` says
    what the sample shows, once every drawn unit was looked at and confirmed; before that it is
    empty and `left_to_do` counts what is missing. `released` is the release of
    the whole that is in force, `stopped_by` what stands in its way now: then it lets nothing go.
    """

    entry: Entry
    units: tuple[UnitSummary, ...]
    roll_up: RollUp
    plan: Entry | None
    plans: tuple[Made, ...]
    drawn: tuple[Place, ...]
    reserve: tuple[Place, ...]
    left_to_do: int
    cartons_looked_at: int | None
    statements: tuple[Statement, ...]
    decisions: tuple[Entry, ...]
    held: bool
    look_ups: tuple[LookUp, ...]
    in_the_way: tuple[Refusal, ...]
    lots: tuple[LotSample, ...]
    lot_stands: tuple[LotStands, ...]
    came_with: Mapping[Aspect, AspectState]
    content: Mapping[str, Any]
    retakes: Retakes
    papers: PapersJudged
    released: str
    stopped_by: tuple[Refusal, ...]
    seen: Seen

    @property
    def outcome(self) -> Outcome | None:
        return _outcome(self.roll_up, self.came_with, self.decisions)

    @property
    def sample(self) -> tuple[str, ...]:
        """Single units that were looked at: the drawn ones where there is a draw, else all."""
        at_places = [place.unit for place in self.drawn]
        among = at_places if self.plan is not None else self.units
        return tuple(
            one.unit_id for one in among if one is not None and one.outcome and one.count == 1
        )


@dataclass(frozen=True, slots=True)
class Row:
    """What a list of consignments shows of one."""

    entry: Entry
    roll_up: RollUp
    held: bool
    came_with: Mapping[Aspect, AspectState]
    content: Mapping[str, Any]
    decisions: tuple[Entry, ...]

    @property
    def outcome(self) -> Outcome | None:
        return _outcome(self.roll_up, self.came_with, self.decisions)


def _outcome(
    counted: RollUp, came_with: Mapping[Aspect, AspectState], taken: Sequence[Entry]
) -> Outcome | None:
    """The worst of the units, of what came with them, and of what the holder answered."""
    looked = [one for one in came_with.values() if one != "not_looked_at"]
    whole, on_lots = parted(goods.acts(taken))
    differs = any(answer_differs(acts) for acts in (whole, *on_lots.values()))
    return worst([counted.outcome, *looked, "conflict" if differs else None])


def answer_says(entry: Entry, say: Phrases) -> str:
    """What the holder answered, with its day and their own words; nothing is made of it."""
    return say(
        f"answered.{entry.content['about']}",
        day=entry.at.date().isoformat(),
        lot=entry.content.get("lot", "") or "–",
        words=entry.content["reason"],
    )


def aspects_of(found: Overview, beside: SideBySide) -> dict[str, dict[str, int]]:
    """Units by state, an aspect at a time; what came with the consignment holds for all of them."""
    aspects = {name: dict(states) for name, states in beside.aspects.items()}
    for name, state in found.came_with.items():
        if state != "not_looked_at":
            aspects[name] = {state: max(1, len(found.units))}
    return aspects


def counted_says(
    found: Overview, beside: SideBySide, rulebook: Rulebook, say: Phrases
) -> list[tuple[OnUnits, str]]:
    """Each conflict and each missing mark with how many units of the sample show it, in words."""
    key = "counted.drawn" if found.plan is not None else "counted.all"
    told = []
    for one in on_units(beside.findings, found.sample):
        says = finding_says(one.finding, rulebook, say.language) or one.finding.rule
        told.append((one, say(key, n=one.n, of=one.of, says=says)))
    return told


def rows(conn: Connection, *, limit: int, on: dt.date, before: str | None = None) -> list[Row]:
    """Consignments, the newest first; `before` is the id of the last one of the page before.

    `on` is the day that their papers are looked at for.
    """
    found = []
    for entry in consignments.page(conn, limit=limit, before=before):
        states = [unit.state for unit in units.of_consignment(conn, entry.id)]
        plan = consignments.plan_in_force(conn, entry.id)
        drawn = [one["unit"] for one in plan.content["draw"]["units"]] if plan is not None else []
        decisions = tuple(deciding.decided(conn, consignment_id=entry.id))
        found.append(
            Row(
                entry,
                roll_up(states, drawn),
                deciding.held_by(decisions),
                standing.aspects_of(conn, entry.id, on),
                content_in_force(conn, entry),
                decisions,
            )
        )
    return found


def of_consignment(conn: Connection, consignment_id: str, terms: Terms) -> Overview:
    """The consignment as it stands now, and what a release waits for; raises NotFound."""
    entry = chain.get(conn, consignments_table, consignment_id)
    members = tuple(units.of_consignment(conn, consignment_id))
    plan = consignments.plan_in_force(conn, consignment_id)
    at = {unit.state.place: unit for unit in members if unit.state.place and unit.count == 1}
    made = plans.made(conn, consignment_id)
    counting = [one.entry for one in made if one.counts]
    drawn = places(counting, "units", at)
    alike = plans.drawn_alike(counting)
    sampled = tuple(place for place in drawn if place.place in alike)
    named = {place.place for place in drawn}
    states = [unit.state for unit in members]
    papers = standing.papers_of(conn, consignment_id, terms.on)
    found = goods.of_consignment(conn, consignment_id, members, on=terms.on, judged=papers)
    left = sum(not place.confirmed for place in drawn)
    apart = deciding.set_apart(conn, states)
    decisions = tuple(deciding.decided(conn, consignment_id=consignment_id))
    kind = released([act.kind for act in found.acts])
    return Overview(
        entry=entry,
        units=members,
        roll_up=roll_up(states, list(named)),
        plan=plan,
        plans=made,
        drawn=drawn,
        reserve=tuple(
            one for one in places(counting[-1:], "reserve", at) if one.place not in named
        ),
        left_to_do=left,
        cartons_looked_at=cartons_of(drawn),
        statements=after(plan, sampled, apart) if plan is not None and not left else (),
        decisions=decisions,
        held=deciding.held_by(decisions),
        look_ups=found.look_ups,
        in_the_way=blocks(found, terms),
        lots=of_lots(plan, sampled, apart) if plan is not None else (),
        came_with=standing.aspects_of(conn, consignment_id, terms.on, papers),
        content=content_in_force(conn, entry),
        lot_stands=_stands(conn, consignment_id, decisions, found, terms),
        retakes=retakes(conn, members),
        papers=papers,
        released=kind,
        stopped_by=stopped_by(found, terms, kind),
        seen=seen_now(found),
    )


def _stands(
    conn: Connection, consignment_id: str, decisions: Sequence[Entry], found: Goods, terms: Terms
) -> tuple[LotStands, ...]:
    """Where each declared lot stands, and each of before that was decided on; none where one lot
    alone, or none, was declared.
    """
    sizes = goods.lot_sizes(conn, consignment_id)
    if len(sizes) < 2 and not found.lost:
        return ()
    taken = goods.acts(decisions)
    return tuple(
        LotStands(
            code,
            worst(
                [
                    *(unit.outcome for unit in alone.units),
                    "conflict" if any(map(answer_differs, said)) else None,
                ]
            ),
            _answered(decisions, code),
            any(held([act.kind for act in acts]) for acts in said),
            kind,
            blocks(alone, terms),
            stopped_by(alone, terms, kind),
            seen_now(alone),
        )
        for code in (*sizes, *found.lost)
        for alone in (of_lot(found, code, sizes),)
        for said in ((alone.acts, alone.over, *alone.lost.values()),)
        for kind in (released_lot(taken, code),)
    )


def _answered(decisions: Sequence[Entry], lot: str) -> Entry | None:
    """The holder's newest answer about a lot, or about all of them."""
    about = [
        entry
        for entry in decisions
        if entry.content["disposition"] == "holder_answered"
        and (not entry.content.get("lot") or lot_form(entry.content["lot"]) == lot_form(lot))
    ]
    return about[-1] if about else None
