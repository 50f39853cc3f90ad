"""The closed list of kinds of check: each finds what a rule asks for, and nothing decides here.

Each function gives one `Hit` a raised case. `found` are the marks that it rests on; the judge makes
a question of it where one of them is doubtful.
"""

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, islice, product

from inkwitness.findings.evidence import Evidence, same_piece, surface_names
from inkwitness.findings.percentages import shares_of_classes
from inkwitness.findings.registers import in_register, old_registers
from inkwitness.findings.requires import Unseen, unseen_marks
from inkwitness.findings.values import Placed
from inkwitness.marks.dates import DateReading, months_of, months_past, whole_months
from inkwitness.marks.text import plain, ready
from inkwitness.rulebook.kinds import (
    CodeAgrees,
    DateAgainstToday,
    DateNotBefore,
    DateNotFrom,
    DateOrder,
    DatePlain,
    DigitCount,
    Matches,
    MatchesNot,
    NextTo,
    NotDeclared,
    NothingRead,
    NotTogether,
    OneValue,
    PercentageOfClass,
    RequiresMark,
    Seen,
    ShelfLife,
    ValueIn,
    ValueNotIn,
)
from inkwitness.rulebook.values import Rule, Rulebook

# What follows a standard's number where its edition is named: EN 149:2001, GB 2626-2019.
_YEAR_NEXT = re.compile(r"[:-](19|20)[0-9]{2}")


@dataclass(frozen=True, slots=True)
class Hit:
    """One case in which a rule is raised.

    `unseen` says that it rests on a mark not being there. `unclear` says that a date can be read in
    a way in which the rule does not hold, or that what it is held against is only remembered.
    """

    values: tuple[tuple[str, str], ...] = ()
    found: tuple[Placed, ...] = ()
    unseen: Unseen | None = None
    unclear: bool = False


def run(rule: Rule, evidence: Evidence, rulebook: Rulebook) -> list[Hit]:
    """All cases in which the rule's check is raised on the evidence."""
    check = rule.check
    if check.requires_mark is not None:
        return list(_requires(check.requires_mark, rule, evidence, rulebook))
    if check.percentage_of_class is not None:
        return list(_percentage(check.percentage_of_class, evidence, rulebook))
    if check.in_register is not None:
        found = in_register(check.in_register, evidence, rulebook)
        return [Hit(_values(placed, **more), (placed,)) for placed, more in found]
    if check.register_age is not None:
        found = old_registers(check.register_age, evidence, rulebook)
        return [Hit(_values(placed, **more), (placed,)) for placed, more in found]
    return list(_KINDS[check.kind](check.asked, evidence))


def _values(placed: Placed, **more: str) -> tuple[tuple[str, str], ...]:
    mark = placed.mark
    base = {"mark": mark.mark, "value": mark.value, "printed": mark.printed}
    return tuple({**base, **more}.items())


def _pair(first: Placed, second: Placed, **more: str) -> tuple[tuple[str, str], ...]:
    other = second.mark
    return _values(
        first, other=other.value, other_mark=other.mark, other_printed=other.printed, **more
    )


def _requires(
    check: RequiresMark, rule: Rule, evidence: Evidence, rulebook: Rulebook
) -> Iterator[Hit]:
    for gone in unseen_marks(check, rule, evidence, rulebook):
        values = (("mark", check.mark), ("surface", surface_names(gone.surfaces)))
        yield Hit(values, unseen=gone)


def _text_of(placed: Placed, part: str) -> str:
    return placed.mark.part(part) if part else placed.mark.value


def _chosen(
    check: ValueIn | ValueNotIn | Matches | MatchesNot | DigitCount, evidence: Evidence
) -> tuple[Placed, ...]:
    return evidence.find(Seen(mark=check.mark, matches=check.only, scheme=check.scheme))


def _value_in(check: ValueIn, evidence: Evidence) -> Iterator[Hit]:
    for placed in _chosen(check, evidence):
        if _text_of(placed, check.part) not in check.values:
            yield Hit(_values(placed, expected=", ".join(check.values)), (placed,))


def _value_not_in(check: ValueNotIn, evidence: Evidence) -> Iterator[Hit]:
    for placed in _chosen(check, evidence):
        if _text_of(placed, check.part) in check.values:
            yield Hit(_values(placed), (placed,))


def _matches(check: Matches, evidence: Evidence) -> Iterator[Hit]:
    for placed in _chosen(check, evidence):
        text = placed.mark.value if check.of == "value" else ready(placed.mark.printed).text
        if re.search(check.pattern, text) is None:
            yield Hit(_values(placed), (placed,))


def _matches_not(check: MatchesNot, evidence: Evidence) -> Iterator[Hit]:
    for placed in _chosen(check, evidence):
        text = placed.mark.value if check.of == "value" else ready(placed.mark.printed).text
        if re.search(check.pattern, text) is not None:
            yield Hit(_values(placed), (placed,))


def _not_together(check: NotTogether, evidence: Evidence) -> Iterator[Hit]:
    found = [evidence.find(seen) for seen in check.marks]
    # What stands on the box and what stands on the mask do not stand together.
    firsts = next(
        (hits for hits in product(*found) if all(same_piece(hits[0], hit) for hit in hits)), None
    )
    if firsts is not None:
        values = _pair(firsts[0], firsts[1]) if len(firsts) > 1 else _values(firsts[0])
        yield Hit(values, firsts)


def _digit_count(check: DigitCount, evidence: Evidence) -> Iterator[Hit]:
    for placed in _chosen(check, evidence):
        count = sum(c.isdigit() for c in _text_of(placed, check.part))
        if count not in check.counts:
            expected = " or ".join(str(n) for n in check.counts)
            yield Hit(_values(placed, count=str(count), expected=expected), (placed,))


def _clear(states: list[bool]) -> bool | None:
    """True where all readings agree that it is so, False where all deny it, None between."""
    return None if len(set(states)) > 1 else bool(states and states[0])


def _date_order(check: DateOrder, evidence: Evidence) -> Iterator[Hit]:
    for first in evidence.named(check.first):
        for then in evidence.named(check.then):
            state = _clear(
                [b.last < a.first for a in evidence.dates(first) for b in evidence.dates(then)]
            )
            if state is not False:
                yield Hit(_pair(first, then), (first, then), unclear=state is None)


def _date_hits(
    mark: str,
    evidence: Evidence,
    holds: Callable[[DateReading], bool],
    told: Callable[[Sequence[DateReading]], dict[str, str]],
) -> Iterator[Hit]:
    """Dates of which it holds, in one way of reading them or in all; `told` are more values."""
    for placed in evidence.named(mark):
        dates = evidence.dates(placed)
        state = _clear([holds(date) for date in dates])
        if state is not False:
            yield Hit(_values(placed, **told(dates)), (placed,), unclear=state is None)


def _date_not_before(check: DateNotBefore, evidence: Evidence) -> Iterator[Hit]:
    told = {"date": check.date.isoformat()}
    yield from _date_hits(check.mark, evidence, lambda d: d.last < check.date, lambda _: told)


def _date_not_from(check: DateNotFrom, evidence: Evidence) -> Iterator[Hit]:
    told = {"date": check.date.isoformat()}
    yield from _date_hits(check.mark, evidence, lambda d: d.first >= check.date, lambda _: told)


def _date_against_today(check: DateAgainstToday, evidence: Evidence) -> Iterator[Hit]:
    def holds(date: DateReading) -> bool:
        return date.last < evidence.on if check.raised_when == "past" else date.first > evidence.on

    yield from _date_hits(
        check.mark, evidence, holds, lambda dates: {"months_past": months_past(dates, evidence.on)}
    )


def _date_plain(check: DatePlain, evidence: Evidence) -> Iterator[Hit]:
    for mark in check.marks:
        for placed in evidence.named(mark):
            dates = evidence.dates(placed)
            if len(dates) > 1:
                values = _values(placed, first=dates[0].normal, second=dates[1].normal)
                yield Hit(values, (placed,))


def _shelf_life(check: ShelfLife, evidence: Evidence) -> Iterator[Hit]:
    printed = [
        (placed, months)
        for placed in evidence.named("shelf_life")
        if (months := months_of(placed.mark.value)) is not None
    ]
    told = evidence.told.get("shelf_life_months", "")
    lives = [(placed, months) for placed, months in printed]
    for made in evidence.named("manufacture_date"):
        dates = evidence.dates(made)
        for placed, months in lives or ([(made, int(told))] if told.isdigit() else []):
            if check.raised_when == "past":
                state = _clear([whole_months(date.first, evidence.on) >= months for date in dates])
                if state is not False:
                    values = _pair(made, placed, months=str(months))
                    yield Hit(values, (made, placed), unclear=state is None)
                continue
            for expiry in evidence.named("expiry_date"):
                apart = [
                    abs(whole_months(a.first, b.first) - months) > 2
                    for a in dates
                    for b in evidence.dates(expiry)
                ]
                if apart and all(apart):
                    yield Hit(_pair(made, expiry, months=str(months)), (made, expiry))


def _percentage(check: PercentageOfClass, evidence: Evidence, rulebook: Rulebook) -> Iterator[Hit]:
    for percent, placed, share, (minimum, known) in shares_of_classes(evidence, rulebook):
        if (share < minimum) if check.raised_when == "below" else (share > minimum):
            values = _values(percent, minimum=f"{minimum:g}", **{"class": placed.mark.value})
            yield Hit(values, (percent, placed), unclear=not known)


def _not_declared(check: NotDeclared, evidence: Evidence) -> Iterator[Hit]:
    for word in check.words:
        if word in evidence.declared:
            yield Hit((("word", word.replace("_", " ")),))


def _next_to(check: NextTo, evidence: Evidence) -> Iterator[Hit]:
    for placed in evidence.find(check.mark):
        for other in evidence.find(check.to):
            same = placed.photo == other.photo and placed.mark.line == other.mark.line
            if placed.mark.line is None or not same or placed.mark.value == other.mark.value:
                continue
            lines = evidence.items[placed.photo].lines
            line = lines[placed.mark.line] if placed.mark.line < len(lines) else ""
            after = re.escape(other.mark.printed) + r"[\s\-/(]*" + re.escape(placed.mark.printed)
            if re.search(after, line):
                yield Hit(_pair(placed, other), (placed, other))


def _one_value(check: OneValue, evidence: Evidence) -> Iterator[Hit]:
    for name in check.marks:
        pairs = combinations(evidence.named(name), 2)
        differing = (pair for pair in pairs if _differ(*pair, check.where, evidence))
        for first, second in islice(differing, 1):
            values = _pair(
                first,
                second,
                place=surface_names({first.surface}),
                other_place=surface_names({second.surface}),
            )
            values = tuple(pair for pair in values if pair[0] != "other_mark")
            yield Hit(values, (first, second))


def _differ(first: Placed, second: Placed, where: str, evidence: Evidence) -> bool:
    """Whether two occurrences of a mark cannot both be right.

    Two surfaces, or two photos of one, may each carry several values of one mark (two classes of
    a dual marking); only where they share none do they differ. Of one scheme's numbers, only the
    same scheme's are compared.
    """
    if where == "schemes":
        return _of_other_schemes(first, second, evidence)
    if first.mark.scheme != second.mark.scheme:
        return False
    across = first.surface != second.surface
    if where == "within":
        return not across and not _agree(first, second, evidence)
    if across is not (where == "across") or (not across and first.photo == second.photo):
        return False
    everywhere = evidence.named(first.mark.mark, first.mark.scheme)
    here, there = (
        [p for p in everywhere if p.surface == one.surface and (across or p.photo == one.photo)]
        for one in (first, second)
    )
    return not any(_agree(a, b, evidence) for a in here for b in there)


def _of_other_schemes(first: Placed, second: Placed, evidence: Evidence) -> bool:
    """Whether two pieces (mask, box) bear the mark for schemes of which they share none."""
    if same_piece(first, second):
        return False
    everywhere = evidence.named(first.mark.mark)
    here, there = (
        {p.mark.scheme for p in everywhere if same_piece(p, one)} for one in (first, second)
    )
    return not here & there


def _agree(first: Placed, second: Placed, evidence: Evidence) -> bool:
    """Whether two values are one, or one only says less than the other.

    A month agrees with a day in it, a standard without a year with the same standard's edition.
    """
    if _plain(first) == _plain(second):
        return True
    if first.mark.mark.endswith("_date"):
        return _overlap(first, second, evidence)
    short, long = sorted((first.mark.value, second.mark.value), key=len)
    undated = first.mark.mark == "standard" and long.startswith(short)
    return undated and _YEAR_NEXT.match(long[len(short) :]) is not None


def _overlap(first: Placed, second: Placed, evidence: Evidence) -> bool:
    """Whether two dates can be the same, under some way to read each."""
    return any(
        a.first <= b.last and b.first <= a.last
        for a in evidence.dates(first)
        for b in evidence.dates(second)
    )


def _plain(placed: Placed) -> str:
    return plain(placed.mark.value)


def _nothing_read(check: NothingRead, evidence: Evidence) -> Iterator[Hit]:
    if check.of == "any" and not evidence.placed and not evidence.text.strip():
        yield Hit()
    if check.of == "anchor" and not evidence.claimed and evidence.text.strip():
        yield Hit()


def _code_agrees(check: CodeAgrees, evidence: Evidence) -> Iterator[Hit]:
    if check.field == "check_digit":
        for placed in evidence.named("code_gtin_wrong_digit"):
            yield Hit(_values(placed), (placed,))
        return
    for code in evidence.named(f"code_{check.field}"):
        printed = evidence.named(check.field)
        if printed and not any(_same(code, other, check.field, evidence) for other in printed):
            yield Hit(_pair(printed[0], code), (printed[0], code))


def _same(code: Placed, printed: Placed, field: str, evidence: Evidence) -> bool:
    if field == "lot":
        return _plain(code) == _plain(printed)
    return _overlap(code, printed, evidence)


_KINDS: dict[str, Callable[..., Iterator[Hit]]] = {
    "value_in": _value_in,
    "value_not_in": _value_not_in,
    "matches": _matches,
    "matches_not": _matches_not,
    "not_together": _not_together,
    "digit_count": _digit_count,
    "date_order": _date_order,
    "date_not_before": _date_not_before,
    "date_not_from": _date_not_from,
    "date_against_today": _date_against_today,
    "date_plain": _date_plain,
    "shelf_life": _shelf_life,
    "not_declared": _not_declared,
    "next_to": _next_to,
    "one_value": _one_value,
    "nothing_read": _nothing_read,
    "code_agrees": _code_agrees,
}
