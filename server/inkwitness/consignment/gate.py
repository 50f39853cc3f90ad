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
    NEED_LIMITS,
    RELEASES,
    SETTLES,
    Act,
    Disposition,
    answer_differs,
    awaited,
    held,
)
from inkwitness.consignment.draws import Draw, covers
from inkwitness.consignment.values import LookUp, Refusal, UnitState
from inkwitness.findings.outcome import Outcome
from inkwitness.holders.ended import Ended
from inkwitness.holders.numbers import normal_form

#: Units named in a sentence at most; the others are counted.
_MOST_NAMED = 5
#: Outcomes on which a person has to decide.
OPEN: tuple[Outcome, ...] = ("conflict", "missing", "cannot_tell")
#: The limits of a release and its last day (ISO 8601), each empty where there is none.
Bounds = tuple[str, str]
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
        "entry_ended",
        "loose",
    }
)


@dataclass(frozen=True, slots=True)
class Goods:
    """What is to be released, and all that people did about it.

    `acts` are the decisions on the consignment (or on the one unit or lot that is released alone),
    `unit_acts` those on each unit, both in order. `over` are the decisions on the whole that these
    goods are a lot of, `lot_acts` those on each lot of these goods: a hold on the whole holds every
    lot, and one on a lot holds the whole. `lost` are those on lots that are not declared any more:
    they count for the whole and for each lot. `gone` says that these goods are such a lot. `draws`
    is every draw that counts. `declared` is the number of units there are, None where nobody said,
    `sizes` those of each lot where all are known. `crisis` says that a crisis was declared for
    these goods, `crisis_ended` its last day where that is over. `papers_open` names what papers and
    supplier leave open and nobody decided on; `papers` is a digest of it, decided on or not, for a
    unit that stands by itself. `edition` is that of the user's list in force, None where there is
    none.
    """

    units: tuple[UnitState, ...]
    acts: tuple[Act, ...] = ()
    unit_acts: Mapping[str, tuple[Act, ...]] = field(default_factory=dict)
    draws: tuple[Draw, ...] = ()
    declared: int | None = None
    look_ups: tuple[LookUp, ...] = ()
    crisis: bool = False
    crisis_ended: str = ""
    papers_open: tuple[str, ...] = ()
    over: tuple[Act, ...] = ()
    lot_acts: Mapping[str, tuple[Act, ...]] = field(default_factory=dict)
    sizes: Mapping[str, int] = field(default_factory=dict)
    lost: Mapping[str, tuple[Act, ...]] = field(default_factory=dict)
    gone: bool = False
    papers: str = ""
    edition: int | None = None

    @property
    def drawn(self) -> tuple[str, ...]:
        """The places of every draw that counts, each once."""
        return tuple(dict.fromkeys(place for draw in self.draws for place in draw.places))


@dataclass(frozen=True, slots=True)
class Terms:
    """What this site asks for. `without_list` are schemes that have no public list of goods,
    `ended` the entries of the user's list of which the last day is over, and no other holds.
    """

    on: dt.date
    look_up_days: int = 7
    two_persons: bool = False
    without_list: frozenset[str] = frozenset()
    ended: tuple[Ended, ...] = ()


def blocks(
    goods: Goods,
    terms: Terms,
    *,
    kind: Disposition = "release",
    by: str = "",
    bounds: Bounds | None = None,
) -> tuple[Refusal, ...]:
    """Everything that stands in the way of a release of this kind, in the order to see to it.

    `by` is the actor who would release: a second person is somebody else. Without it, any one
    agreement counts. `bounds` are the limits and the last day of the release; None: any.
    """
    assert kind in RELEASES
    found = [
        *_looked_at(goods),
        *_outcomes(goods),
        *_compared(goods),
        *_holds(goods),
        *_looked_up(goods, terms),
        *_condition(goods),
        *_papers(goods),
    ]
    if kind == "downgrade":
        found = [one for one in found if one.key not in _NOT_FOR_DOWNGRADED]
    if kind == "crisis_reserve" and not goods.crisis:
        ended = goods.crisis_ended
        found.append(
            _refusal("crisis_ended", until=ended) if ended else _refusal("no_declared_crisis")
        )
    if terms.two_persons and not agreed(goods, kind, by, bounds):
        other = agreed(goods, kind, by)
        found.append(_refusal("second_person_bounds" if other else "second_person"))
    return tuple(found)


def agreed(goods: Goods, about: Disposition, by: str = "", bounds: Bounds | None = None) -> bool:
    """Whether a second person agreed to this, knowing what is known now, and nobody held since.

    A dissent of the same person, or a new question to the holder, takes the agreement away. Who
    agreed to limits, or to a last day, agreed to these alone.
    """
    now = evidence(goods)
    agreeing: set[str] = set()
    for act in goods.acts:
        if act.kind in HOLDS or act.kind == "ask_holder":
            agreeing.clear()
        elif act.kind == "dissent":
            agreeing.discard(act.by)
        elif (act.kind, act.about, act.evidence) == ("agree", about, now) and _bounded(act, bounds):
            agreeing.add(act.by)
    return bool(agreeing - {by})


def _bounded(act: Act, bounds: Bounds | None) -> bool:
    """Whether these are the limits that a person agreed to; a plain release may get some later."""
    theirs = (_spaced(act.limits), act.until)
    if bounds is None or (theirs == ("", "") and act.about not in NEED_LIMITS):
        return True
    return theirs == (_spaced(bounds[0]), bounds[1])


def _spaced(words: str) -> str:
    return " ".join(words.split()).casefold()


def evidence(goods: Goods) -> str:
    """A digest of what is known of the goods: how many they are, units, what was found on them and
    decided of them, answers, draws and look-ups.
    """
    units = sorted(
        (unit.unit_id, unit.count, unit.place, unit.outcome or "", unit.basis or "", unit.found)
        for unit in goods.units
    )
    keys = {normal_form(key) for unit in goods.units for key in unit.list_keys}
    looked_up = [
        (one.looked_up, one.answer, one.on.isoformat(), one.source)
        + ((one.paper, one.paper_lack) if one.paper else ())
        for one in goods.look_ups
        if normal_form(one.looked_up) in keys
    ]
    on_units = sorted(
        (unit_id, [(act.kind, act.by, act.about, act.outcome or "", act.found) for act in acts])
        for unit_id, acts in goods.unit_acts.items()
        if acts
    )
    many = [goods.declared, sorted(goods.sizes.items()), goods.papers]
    known: list[object] = [units, sorted(goods.drawn), looked_up, on_units, many]
    # what was agreed to before anybody could answer a finding stays agreed to
    if answered := sorted((unit.unit_id, unit.answers) for unit in goods.units if unit.answers):
        known.append(answered)
    # a hold on the whole, or on a lot of it, takes what was agreed to away, lifted or not
    lots = (*goods.lot_acts.values(), *goods.lost.values())
    beside = (*goods.over, *(act for acts in lots for act in acts))
    if doubts := sum(act.kind in HOLDS or act.kind == "ask_holder" for act in beside):
        known.append(doubts)
    text = json.dumps(known, ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


def decided(unit: UnitState, acts: Sequence[Act]) -> bool:
    """Whether a person decided on the unit as it stands.

    A later, other outcome is open again, and so is the same outcome for another finding, and the
    unit once a finding that had been set aside was taken up. That findings were set aside decides
    nothing: the outcome is the one found. A decision kept before what was found was noted with it
    settles nothing: which finding it meant is not known.
    """
    settled = [act for act in acts if act.kind in SETTLES]
    return (
        bool(settled)
        and settled[-1].outcome == unit.outcome
        and settled[-1].found == unit.found
        and settled[-1].taken_up == unit.taken_up
    )


def _looked_at(goods: Goods) -> list[Refusal]:
    units = goods.units
    found = []
    if not any(unit.outcome for unit in units):
        found.append(_refusal("nothing_looked_at"))
    at = {unit.place for unit in units if unit.kind == "unit" and unit.outcome is not None}
    unseen = [place for place in goods.drawn if place not in at]
    if unseen:
        found.append(_refusal("drawn_not_looked_at", units=str(len(unseen)), places=_some(unseen)))
    found += _planned(goods)
    unread = [u for u in units if not u.photos or any(p.outcome is None for p in u.photos)]
    by_reading = [u for u in units if any(photo.basis == "reading" for photo in u.photos)]
    return [*found, *_of_units("not_read", unread), *_of_units("to_be_confirmed", by_reading)]


def _planned(goods: Goods) -> list[Refusal]:
    """Whether there is a draw from all of these goods, or every one of them was looked at."""
    units = goods.units
    singles = sum(unit.kind == "unit" and unit.outcome is not None for unit in units)
    # a group stands for pieces that were not looked at one by one
    all_units = max(goods.declared or 0, sum(unit.count for unit in units))
    if goods.declared is not None and singles >= all_units:
        return []
    largest = max((draw.size for draw in goods.draws), default=0)
    if not largest:
        declared = "?" if goods.declared is None else str(all_units)
        return [_refusal("no_plan", looked_at=str(singles), declared=declared)]
    if goods.declared is None:
        return [_refusal("plan_of_unknown", drawn_from=str(largest))]
    if any(covers(draw, all_units, goods.sizes) for draw in goods.draws):
        return []
    return [_refusal("plan_of_other_goods", drawn_from=str(largest), declared=str(all_units))]


def _papers(goods: Goods) -> list[Refusal]:
    if not goods.papers_open:
        return []
    key = "unit_papers_open" if goods.papers else "papers_open"
    return [_refusal(key, n=str(len(goods.papers_open)))]


def _outcomes(goods: Goods) -> list[Refusal]:
    undecided = [
        unit for unit in goods.units if not decided(unit, goods.unit_acts.get(unit.unit_id, ()))
    ]
    found = []
    for outcome in OPEN:
        mine = [unit for unit in undecided if unit.outcome == outcome]
        found += _of_units(f"undecided_{outcome}", mine)
    return found


def _compared(goods: Goods) -> list[Refusal]:
    """Units that the newest edition of the list was not compared with: it may say otherwise."""
    if goods.edition is None:
        return []
    behind = [
        unit
        for unit in goods.units
        if any(one.basis == "confirmed" and one.edition != goods.edition for one in unit.photos)
    ]
    return _of_units("edition_not_compared", behind)


def _holds(goods: Goods) -> list[Refusal]:
    found = [_refusal("lot_gone")] if goods.gone else []
    found += [_refusal("held")] if held([act.kind for act in goods.acts]) else []
    if held([act.kind for act in goods.over]):
        found.append(_refusal("held_whole"))
    lots = [lot for lot, acts in goods.lot_acts.items() if held([act.kind for act in acts])]
    if lots:
        found.append(_refusal("lot_held", units=str(len(lots)), places=", ".join(lots)))
    before = [lot for lot, acts in goods.lost.items() if held([act.kind for act in acts])]
    if before:
        found.append(_refusal("lost_lot_held", places=", ".join(before)))
    on = [(unit, goods.unit_acts.get(unit.unit_id, ())) for unit in goods.units]
    found += _of_units("unit_held", [u for u, acts in on if held([act.kind for act in acts])])
    lots_acts = [*goods.lot_acts.values(), *goods.lost.values()]
    everyone = [goods.acts, goods.over, *lots_acts, *(acts for _, acts in on)]
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
        # the list is of all goods, a paper of those that it came with
        and (one.here or not on_papers)
    ]
    if not mine:
        return "no_papers_look_up" if on_papers else "no_official_look_up"
    # of two on one day the later entry: `max` keeps the first of equals
    newest = max(reversed(mine), key=lambda one: one.on)
    kept = [one for one in mine if one.paper]
    if newest.answer == "listed_same" and kept:
        # that nobody kept a paper opens nothing that the kept one shuts
        newest = max(reversed(kept), key=lambda one: one.on)
    if newest.paper_lack:
        return f"look_up_paper_{newest.paper_lack}"
    if newest.answer != "listed_same":
        return "look_up_says_other"
    if any(one.of(key) and newest.on <= one.day for one in terms.ended):
        return "entry_ended"
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
    return [_refusal(key, units=str(len(named)), places=_some(named))]


def _some(named: Sequence[str]) -> str:
    """The first of these, and how many more there are."""
    more = f" +{len(named) - _MOST_NAMED}" if len(named) > _MOST_NAMED else ""
    return ", ".join(named[:_MOST_NAMED]) + more


def _refusal(key: str, **values: str) -> Refusal:
    return Refusal(key, tuple(values.items()))
