"""Release is a gate: everything that stands in the way of putting goods into someone's hands.

Pure functions over what is known: units with their outcomes, what people decided, what was drawn,
what was looked up. A person releases; this says what is not done yet, each thing with the way to
lift it. The conditions are decisions of this project (no source), stricter than any one practice.
"""

import datetime as dt
import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from inkwitness.consignment.dispositions import (
    HOLDS,
    RELEASES,
    SETTLES,
    Act,
    Disposition,
    answer_differs,
    awaited,
    held,
)
from inkwitness.consignment.values import LookUp, Refusal, UnitState
from inkwitness.findings.outcome import Outcome
from inkwitness.holders.numbers import normal_form

#: Units named in a sentence at most; the others are counted.
_MOST_NAMED = 5
_OPEN: tuple[Outcome, ...] = ("conflict", "missing", "cannot_tell")
#: What a down-graded mask need not show: it is relabelled and no respirator any more.
_NOT_FOR_DOWNGRADED = frozenset(
    {
        "nothing_to_look_up",
        "no_official_look_up",
        "no_papers_look_up",
        "look_up_says_other",
        "look_up_too_old",
        "look_up_paper_gone",
        "look_up_paper_differs",
        "loose",
    }
)


@dataclass(frozen=True, slots=True)
class Goods:
    """What is to be released, and all that people did about it.

    `acts` are the decisions on the consignment (or on the one unit or lot that is released alone),
    `unit_acts` those on each unit, both in order. `over` are the decisions on the whole that these
    goods are a lot of, `lot_acts` those on each lot of these goods: a hold on the whole holds every
    lot, and one on a lot holds the whole. `drawn` are the places of every draw that counts.
    `declared` is the number of units there are, None where nobody said. `crisis` says that a crisis
    was declared for these goods. `papers_open` names what papers and supplier leave open and nobody
    decided on.
    """

    units: tuple[UnitState, ...]
    acts: tuple[Act, ...] = ()
    unit_acts: Mapping[str, tuple[Act, ...]] = field(default_factory=dict)
    drawn: tuple[str, ...] = ()
    has_plan: bool = False
    declared: int | None = None
    look_ups: tuple[LookUp, ...] = ()
    crisis: bool = False
    papers_open: tuple[str, ...] = ()
    over: tuple[Act, ...] = ()
    lot_acts: Mapping[str, tuple[Act, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Terms:
    """What this site asks for. `without_list` are schemes that have no public list of goods."""

    on: dt.date
    look_up_days: int = 7
    two_persons: bool = False
    without_list: frozenset[str] = frozenset()


def blocks(
    goods: Goods, terms: Terms, *, kind: Disposition = "release", by: str = ""
) -> tuple[Refusal, ...]:
    """Everything that stands in the way of a release of this kind, in the order to see to it.

    `by` is the actor who would release: a second person is somebody else. Without it, any one
    agreement counts.
    """
    assert kind in RELEASES
    found = [
        *_looked_at(goods),
        *_outcomes(goods),
        *_holds(goods),
        *_looked_up(goods, terms),
        *_condition(goods),
        *([_refusal("papers_open", n=str(len(goods.papers_open)))] if goods.papers_open else []),
    ]
    if kind == "downgrade":
        found = [one for one in found if one.key not in _NOT_FOR_DOWNGRADED]
    if kind == "crisis_reserve" and not goods.crisis:
        found.append(_refusal("no_declared_crisis"))
    if terms.two_persons and not agreed(goods, kind, by):
        found.append(_refusal("second_person"))
    return tuple(found)


def agreed(goods: Goods, about: Disposition, by: str = "") -> bool:
    """Whether a second person agreed to this, knowing what is known now, and nobody held since.

    A dissent of the same person, or a new question to the holder, takes the agreement away.
    """
    now = evidence(goods)
    agreeing: set[str] = set()
    for act in goods.acts:
        if act.kind in HOLDS or act.kind == "ask_holder":
            agreeing.clear()
        elif act.kind == "dissent":
            agreeing.discard(act.by)
        elif act.kind == "agree" and act.about == about and act.evidence == now:
            agreeing.add(act.by)
    return bool(agreeing - {by})


def evidence(goods: Goods) -> str:
    """A digest of what is known of the goods: units, outcomes, answers, draws and look-ups."""
    units = sorted(
        (unit.unit_id, unit.count, unit.place, unit.outcome or "", unit.basis or "")
        for unit in goods.units
    )
    keys = {normal_form(key) for unit in goods.units for key in unit.list_keys}
    looked_up = [
        (one.looked_up, one.answer, one.on.isoformat(), one.source)
        + ((one.paper, one.paper_lack) if one.paper else ())
        for one in goods.look_ups
        if normal_form(one.looked_up) in keys
    ]
    known: list[object] = [units, sorted(goods.drawn), looked_up]
    # what was agreed to before anybody could answer a finding stays agreed to
    if answered := sorted((unit.unit_id, unit.answers) for unit in goods.units if unit.answers):
        known.append(answered)
    # a hold on the whole, or on a lot of it, takes what was agreed to away, lifted or not
    beside = (*goods.over, *(act for acts in goods.lot_acts.values() for act in acts))
    if doubts := sum(act.kind in HOLDS or act.kind == "ask_holder" for act in beside):
        known.append(doubts)
    text = json.dumps(known, ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


def decided(unit: UnitState, acts: Sequence[Act]) -> bool:
    """Whether a person decided on the unit as it stands.

    A later, other outcome is open again, and so is the unit once a finding that had been set aside
    was taken up. That findings were set aside decides nothing: the outcome is the one found.
    """
    settled = [act for act in acts if act.kind in SETTLES]
    return (
        bool(settled)
        and settled[-1].outcome == unit.outcome
        and settled[-1].taken_up == unit.taken_up
    )


def _looked_at(goods: Goods) -> list[Refusal]:
    units = goods.units
    found = []
    if not any(unit.outcome for unit in units):
        found.append(_refusal("nothing_looked_at"))
    at = {unit.place for unit in units if unit.kind == "unit" and unit.outcome is not None}
    unseen = [place for place in dict.fromkeys(goods.drawn) if place not in at]
    if unseen:
        found.append(_refusal("drawn_not_looked_at", units=str(len(unseen))))
    singles = sum(unit.kind == "unit" and unit.outcome is not None for unit in units)
    # a group stands for pieces that were not looked at one by one
    all_units = max(goods.declared or 0, sum(unit.count for unit in units))
    if not goods.has_plan and (goods.declared is None or singles < all_units):
        declared = "?" if goods.declared is None else str(all_units)
        found.append(_refusal("no_plan", looked_at=str(singles), declared=declared))
    unread = [u for u in units if not u.photos or any(p.outcome is None for p in u.photos)]
    by_reading = [u for u in units if any(photo.basis == "reading" for photo in u.photos)]
    return [*found, *_of_units("not_read", unread), *_of_units("to_be_confirmed", by_reading)]


def _outcomes(goods: Goods) -> list[Refusal]:
    undecided = [
        unit for unit in goods.units if not decided(unit, goods.unit_acts.get(unit.unit_id, ()))
    ]
    found = []
    for outcome in _OPEN:
        mine = [unit for unit in undecided if unit.outcome == outcome]
        found += _of_units(f"undecided_{outcome}", mine)
    return found


def _holds(goods: Goods) -> list[Refusal]:
    found = [_refusal("held")] if held([act.kind for act in goods.acts]) else []
    if held([act.kind for act in goods.over]):
        found.append(_refusal("held_whole"))
    lots = [lot for lot, acts in goods.lot_acts.items() if held([act.kind for act in acts])]
    if lots:
        found.append(_refusal("lot_held", units=str(len(lots)), places=", ".join(lots)))
    on = [(unit, goods.unit_acts.get(unit.unit_id, ())) for unit in goods.units]
    found += _of_units("unit_held", [u for u, acts in on if held([act.kind for act in acts])])
    everyone = [goods.acts, goods.over, *goods.lot_acts.values(), *(acts for _, acts in on)]
    if any(awaited(acts) for acts in everyone):
        found.append(_refusal("answer_awaited"))
    if any(answer_differs(acts) for acts in everyone):
        found.append(_refusal("answer_differs"))
    return found


def _looked_up(goods: Goods, terms: Terms) -> list[Refusal]:
    """The look-ups that are missing, say something else, or are too old: a key at a time."""
    without = [unit for unit in goods.units if unit.outcome is not None and not unit.list_keys]
    found = _of_units("nothing_to_look_up", without)
    keys = sorted(
        {(key, unit.scheme in terms.without_list) for unit in goods.units for key in unit.list_keys}
    )
    wanting: dict[str, list[str]] = {}
    for key, on_papers in keys:
        if (lack := _lack(key, goods.look_ups, terms, on_papers=on_papers)) is not None:
            wanting.setdefault(lack, []).append(key)
    found += [
        _refusal(lack, looked_up=", ".join(keys), limit=str(terms.look_up_days))
        for lack, keys in wanting.items()
    ]
    return found


def _lack(key: str, look_ups: Sequence[LookUp], terms: Terms, *, on_papers: bool) -> str | None:
    """What is wrong with the look-ups of one key, or None. Only the newest of them counts."""
    mine = [
        one
        for one in look_ups
        if normal_form(one.looked_up) == normal_form(key)
        and (one.source != "official_list") == on_papers
        and one.answer != "no_answer"
    ]
    if not mine:
        return "no_papers_look_up" if on_papers else "no_official_look_up"
    # of two on one day the later entry: `max` keeps the first of equals
    newest = max(reversed(mine), key=lambda one: one.on)
    if newest.paper_lack:
        return f"look_up_paper_{newest.paper_lack}"
    if newest.answer != "listed_same":
        return "look_up_says_other"
    return "look_up_too_old" if (terms.on - newest.on).days > terms.look_up_days else None


def _condition(goods: Goods) -> list[Refusal]:
    found = []
    for word in ("loose", "worn"):
        found += _of_units(word, [unit for unit in goods.units if word in unit.declared])
    return found


def _of_units(key: str, units: Sequence[UnitState]) -> list[Refusal]:
    """The refusal that names these units; none where there are none."""
    named = [unit.place or unit.label or unit.unit_id[-6:] for unit in units]
    if not named:
        return []
    more = f" +{len(named) - _MOST_NAMED}" if len(named) > _MOST_NAMED else ""
    places = ", ".join(named[:_MOST_NAMED]) + more
    return [_refusal(key, units=str(len(named)), places=places)]


def _refusal(key: str, **values: str) -> Refusal:
    return Refusal(key, tuple(values.items()))
