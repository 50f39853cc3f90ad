"""From a reading to a judgement: findings -> holders -> outcome. Nothing is read here.

Nothing asks for the date, touches a database or knows the web. The holder list comes in only after
the marks are read: it never makes a reading more likely.
"""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from inkwitness.check.confirm import added_id, with_confirmations
from inkwitness.check.values import (
    NO_MARKS,
    Confirmation,
    ItemJudged,
    ItemRead,
    Judgement,
    Reading,
)
from inkwitness.findings import judge as rules
from inkwitness.findings.outcome import aspects_and_outcome, outcome_of, worst
from inkwitness.findings.values import Aspect, AspectState, Circumstances, Finding, Item
from inkwitness.holders import match
from inkwitness.holders.values import HolderList, HolderMatch, ReadLine
from inkwitness.marks.values import Mark
from inkwitness.rulebook import Rulebook


@dataclass(frozen=True, slots=True, eq=False)
class Criteria:
    """What one judges by: the rules, the user's list (or None), and the days it may be old."""

    rulebook: Rulebook
    holder_list: HolderList | None = None
    max_age_days: int = 30


def judge(
    reading: Reading,
    criteria: Criteria,
    circumstances: Circumstances,
    confirmations: Sequence[Confirmation] = (),
) -> Judgement:
    """Judge a reading, with a person's words in it; it may be judged again at any time."""
    items = []
    for number, item in enumerate(reading.items):
        words = [word for word in confirmations if word.item == number]
        said = with_confirmations(item.marks, words, criteria.rulebook)
        told = replace(item, marks=said)
        items.append(
            judge_item(told, criteria, circumstances, number=number, legible=reading.legible)
        )
    aspects, outcome = aspects_and_outcome((), (), declared=circumstances.declared)
    if items:
        aspects = {name: worst(one.aspects[name] for one in items) for name in aspects}
        outcome = outcome_of(aspects.values())
    confirmed = any(mark.confirmed for item in items for mark in item.marks)
    return Judgement(
        on=circumstances.on,
        outcome=outcome,
        basis="confirmed" if confirmed else "reading",
        aspects=aspects,
        items=tuple(items),
        rules_edition=criteria.rulebook.edition,
    )


def judge_item(
    read: ItemRead,
    criteria: Criteria,
    circumstances: Circumstances,
    *,
    number: int = 0,
    legible: bool = True,
) -> ItemJudged:
    """Findings on the marks of one item, then the list, then what both come to.

    `number` is the item's place in its photo, `legible` False where the photo shows print that
    could not be read.
    """
    item = to_judge(read, circumstances, legible=legible)
    schemes = rules.schemes_of([item], criteria.rulebook)
    findings = rules.judge(item, criteria.rulebook)
    listed = on_the_list(item.marks, schemes, criteria, circumstances.on, read.to_search())
    return ItemJudged(
        surface=circumstances.surface,
        whole=circumstances.whole,
        schemes=schemes,
        marks=(*read.marks, *_absent(item, number, schemes, criteria.rulebook)),
        findings=findings,
        holder_match=listed,
        aspects=_aspects(item, findings, listed),
    )


def to_judge(read: ItemRead, circumstances: Circumstances, *, legible: bool) -> Item:
    """The item as the rules see it.

    Ink that a person cannot read is there: it is neither missing nor wrong, only illegible. What a
    person says is no mark is not judged.
    """
    marks = tuple(mark for mark in read.marks if mark.mark not in NO_MARKS)
    seen = tuple(mark for mark in marks if mark.printed)
    lines = tuple(line.text for line in read.lines)
    return Item(seen, circumstances, lines, legible and len(seen) == len(marks))


def on_the_list(
    marks: Sequence[Mark],
    schemes: Sequence[str],
    criteria: Criteria,
    on: dt.date,
    lines: Sequence[ReadLine],
    elsewhere: Sequence[Mark] = (),
) -> HolderMatch:
    """What the user's list says to the marks, as of the day `on`, and what of it is in the lines.

    `elsewhere` are the marks of them that stand on another surface of the unit than the facepiece.
    """
    return match.match(
        marks,
        schemes,
        criteria.holder_list,
        on=on,
        max_age_days=criteria.max_age_days,
        list_keys={scheme.scheme: scheme.list_key for scheme in criteria.rulebook.schemes},
        lines=lines,
        elsewhere=elsewhere,
        behind_class=criteria.rulebook.vocabulary.printing.behind_class,
    )


def asks_about_list(listed: HolderMatch) -> bool:
    """Whether what the list says is only a question, or agreement with a list that is too old."""
    return listed.question or (listed.list_too_old and listed.state == "listed_agrees")


def _aspects(
    item: Item, findings: Sequence[Finding], listed: HolderMatch
) -> Mapping[Aspect, AspectState]:
    aspects, _ = aspects_and_outcome(
        findings,
        item.marks,
        listed.state,
        list_question=asks_about_list(listed),
        all_legible=item.all_legible,
        declared=item.circumstances.declared,
    )
    return aspects


def _absent(
    item: Item, number: int, schemes: Sequence[str], rulebook: Rulebook
) -> tuple[Mark, ...]:
    """Required marks that were not seen. Half a surface, or print that nobody could read, says
    nothing of what is absent.
    """
    if not item.all_legible or item.circumstances.whole != "yes":
        return ()
    have = {mark.mark for mark in item.marks}
    required = [_required(scheme, item.circumstances, rulebook) for scheme in schemes]
    names = dict.fromkeys(name for group in required for name in group if name not in have)
    return tuple(
        Mark(name, "", "", "absent", 0.0, id=added_id(number, name, "", 0)) for name in names
    )


def _required(scheme: str, circumstances: Circumstances, rulebook: Rulebook) -> tuple[str, ...]:
    """Names of the marks that a scheme requires on the surface that was photographed."""
    found = rulebook.scheme(scheme)
    marks = found.marks if found else ()
    return tuple(m.mark for m in marks if circumstances.surface in m.required_on)
