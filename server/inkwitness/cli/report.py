"""A check as readable text. Words and shapes as on the page; a word always beside the shape."""

from inkwitness.check.contract import (
    CheckOut,
    FindingOut,
    HolderMatchOut,
    ItemOut,
    MarkOut,
    PlaceOut,
    UnitCheckOut,
)
from inkwitness.phrases import Phrases, capital
from inkwitness.reports import words

_SEVERITIES = {"conflict": "▲", "missing": "△", "caution": "!", "note": "·"}


def report_text(check: CheckOut, say: Phrases) -> str:
    """The whole report of one photo, ready to print; the check's sentences are in `say` already."""
    lines = [f"{check.photo}  ({check.width} x {check.height})", *_head(check, say)]
    for number, item in enumerate(check.items, start=1):
        if len(check.items) > 1:
            lines.append(f"  -- {say('terminal.item', n=number, of=len(check.items))} --")
        lines += _item(item, say)
    if not check.items:
        lines.append(f"  {say('terminal.no_print')}")
    lines += _looked_at(check, say)
    poor = [fact for fact in check.photo_quality if fact.state == "poor"]
    if poor:
        lines.append(f"  {say('terminal.photo')}")
    for fact in poor:
        told = say(
            "terminal.fact",
            what=say(f"poor.{fact.fact}"),
            value=f"{fact.value:.3g}",
            limit=f"{fact.limit:.3g}",
            unit=fact.unit,
            remedy=say(f"remedy.{fact.fact}"),
        )
        lines.append(f"    {told}")
    lines += [f"  {say.named('notice', note)}" for note in check.notes]
    made = say(
        "terminal.made",
        day=check.on.isoformat(),
        readers=", ".join(check.readers),
        edition=check.rules_edition,
        milliseconds=check.milliseconds,
        sha256=check.sha256[:12],
    )
    return "\n".join([*lines, f"  {made}"]) + "\n"


def unit_text(check: UnitCheckOut, say: Phrases) -> str:
    """What several photos of one unit come to together, ready to print."""
    lines = [say("terminal.unit", n=len(check.photos)), *_head(check, say), _claims(check, say)]
    width = _width(list(check.marks), say)
    lines += [
        f"    {_mark(place.mark, width, say)}   [{_where(place, check, say)}]"
        for place in check.placed
    ]
    for finding in check.findings:
        lines += [f"  {text}" for text in _finding(finding, say)]
        if len(finding.places) > 1:
            lines += [
                f"      {place.mark.printed}   [{_where(place, check, say)}]"
                for place in finding.places
            ]
    lines += _list(check.holder_match, say)
    for other in check.others:
        alone = say(
            "terminal.alone",
            item=other.item + 1,
            photo=check.photos[other.photo].photo,
            outcome=say(f"state.{other.outcome}"),
        )
        lines.append(f"  -- {alone} --")
        lines += [f"  {text}" for finding in other.findings for text in _finding(finding, say)]
    lines += [*_looked_at(check, say), f"  {say('terminal.apart')}"]
    lines += [
        f"    {photo.photo} ({words.surface(photo.surface, say)}): {say(f'state.{photo.outcome}')}"
        for photo in check.photos
    ]
    made = say("terminal.made_unit", day=check.on.isoformat(), edition=check.rules_edition)
    return "\n".join([*lines, f"  {made}"]) + "\n"


def _head(check: CheckOut | UnitCheckOut, say: Phrases) -> list[str]:
    """The outcome, what it rests on, and what no check of print can show."""
    confirmed = check.basis == "confirmed"
    basis = say("basis.confirmed") + "." if confirmed else say("report.to_be_confirmed")
    status = words.status(check.outcome, say)
    caveats = f"{say('caveat.long')} {say('caveat.short')}"
    return [f"  {text}" for text in (f"{status.shape} {status.text}", basis, caveats)]


def _looked_at(check: CheckOut | UnitCheckOut, say: Phrases) -> list[str]:
    return [
        f"  {say('terminal.looked_at')}",
        *(f"    {say(f'aspect.{name}')}: {say(f'state.{s}')}" for name, s in check.aspects.items()),
    ]


def _where(place: PlaceOut, check: UnitCheckOut, say: Phrases) -> str:
    return f"{words.surface(place.surface, say)}, {check.photos[place.photo].photo}"


def _claims(of: ItemOut | UnitCheckOut, say: Phrases) -> str:
    schemes = ", ".join(of.schemes) or say("terminal.no_scheme")
    return f"  {say('terminal.claims', schemes=schemes)}"


def _item(item: ItemOut, say: Phrases) -> list[str]:
    width = _width([mark.mark for mark in item.marks], say)
    return [
        _claims(item, say),
        *(f"    {_mark(mark, width, say)}" for mark in item.marks),
        *(f"  {text}" for finding in item.findings for text in _finding(finding, say)),
        *_list(item.holder_match, say),
    ]


def _width(marks: list[str], say: Phrases) -> int:
    return max((len(say.named("marks", mark)) for mark in marks), default=0)


def _mark(mark: MarkOut, width: int, say: Phrases) -> str:
    name = say.named("marks", mark.mark).ljust(width)
    if mark.standing == "absent":
        return f"{name}  {say('standing.absent')}"
    ink = "" if mark.value == mark.printed else f"   {say('terminal.ink', printed=mark.printed)}"
    if mark.standing == "read":
        return f"{name}  {mark.value}{ink}"
    others = [other.value or other.printed for other in mark.alternatives]
    either = f"; {say('either')} {', '.join(others)}" if others else ""
    return f"{name}  {mark.value}{ink}   ? {say('standing.doubtful')}{either}"


def _finding(finding: FindingOut, say: Phrases) -> list[str]:
    kind = "question" if finding.question else finding.severity
    shape = "?" if finding.question else _SEVERITIES[finding.severity]
    says = finding.says or say("report.raised", rule=finding.rule)
    source = [f"    {say('report.source', source=finding.source)}"] if finding.source else []
    steps = [f"    {number}. {step}" for number, step in enumerate(finding.next_steps, start=1)]
    return [f"{shape} {say(f'kind.{kind}')}: {says}", *steps, *source]


def _list(match: HolderMatchOut, say: Phrases) -> list[str]:
    """What the list says, then what was compared, what is near, what was searched."""
    first, *rest = words.list_says(match, say)
    lines = [f"  {say('terminal.list', says=first)}"]
    for field in match.fields:
        name = capital(words.compared_field(field.field, say))
        told = f"{name}: {say(f'field.{field.state}')}"
        if field.state == "differs":
            told += f" {say('terminal.beside', printed=field.printed, listed=field.listed)}"
        note = f" - {say.named('note', field.note)}" if field.note else ""
        lines.append(f"      {told}{note}")
    for near in match.near:
        letters = "".join(
            f"[{letter.printed or '_'}|{letter.listed or '_'}]"
            if letter.differs
            else (letter.printed or "")
            for letter in near.letters
        )
        lines.append(f"      {say('terminal.near', letters=letters, holder=near.holder)}")
    lines += [f"      {text}" for text in rest]
    return lines + [f"      {n}. {step}" for n, step in enumerate(match.next_steps, start=1)]
