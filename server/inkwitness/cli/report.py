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
from inkwitness.reports.words import OUTCOMES, STATUSES, SURFACES

_SEVERITIES = {"conflict": "▲", "missing": "△", "caution": "!", "note": "·"}
CAVEAT = (
    "This compares print with your list. It does not show origin, filtration or fit, and is not "
    "proof of authenticity. A person decides."
)

#: What to do about a fact of the photo that spoils the reading, by the fact's message key.
ADVICE = {
    "advice_blur": "Rest your hand on the table, wait for the focus, then take it again.",
    "advice_glare": "Turn the item or the lamp so that no light shines back at you.",
    "advice_too_dark": "Put the light on or go to a window.",
    "advice_too_bright": "Take less light, or let it fall from the side.",
    "advice_small_letters": "Go closer, until the print fills a third of the frame.",
    "advice_cut_off": "Go back a little, until all print is in the picture.",
}

BASIS = {
    "reading": "Based on what was read; to be confirmed by a person.",
    "confirmed": "Based on marks that a person confirmed.",
}


def report_text(check: CheckOut) -> str:
    """The whole report of one photo, ready to print."""
    lines = [
        f"{check.photo}  ({check.width} x {check.height})",
        f"  {STATUSES[check.outcome].shape} {STATUSES[check.outcome].text}",
        f"  {BASIS[check.basis]}",
        f"  {CAVEAT}",
    ]
    for number, item in enumerate(check.items, start=1):
        if len(check.items) > 1:
            lines.append(f"  -- item {number} of {len(check.items)} --")
        lines += _item(item)
    if not check.items:
        lines.append("  No print was found in this photo.")
    lines += ["  Looked at:"]
    lines += [f"    {name}: {OUTCOMES[state]}" for name, state in check.aspects.items()]
    poor = [fact for fact in check.photo_quality if fact.state == "poor"]
    if poor:
        lines.append("  The photo:")
        lines += [
            f"    {fact.fact.replace('_', ' ')}: {fact.value:.3g} {fact.unit} "
            f"(limit {fact.limit:.3g} {fact.unit}). {ADVICE[fact.advice]}"
            for fact in poor
        ]
    lines += [f"  {note.replace('_', ' ')}" for note in check.notes]
    lines.append(
        f"  For {check.on.isoformat()}; readers {', '.join(check.readers)}; rules "
        f"{check.rules_edition}; {check.milliseconds} ms; sha256 {check.sha256[:12]}…"
    )
    return "\n".join(lines) + "\n"


def unit_text(check: UnitCheckOut) -> str:
    """What several photos of one unit come to together, ready to print."""
    lines = [
        f"The unit, from {len(check.photos)} photos together",
        f"  {STATUSES[check.outcome].shape} {STATUSES[check.outcome].text}",
        f"  {BASIS[check.basis]}",
        f"  {CAVEAT}",
        f"  Claims: {', '.join(check.schemes) if check.schemes else 'no scheme recognised'}",
    ]
    width = max((len(name) for name in check.marks), default=0)
    lines += [
        f"    {_mark(place.mark, width)}   [{_where(place, check)}]" for place in check.placed
    ]
    for finding in check.findings:
        lines += [f"  {text}" for text in _finding(finding)]
        if len(finding.places) > 1:
            lines += [
                f"      {place.mark.printed}   [{_where(place, check)}]" for place in finding.places
            ]
    lines += [f"  List: {text}" for text in _list(check.holder_match)]
    for other in check.others:
        lines.append(
            f"  -- item {other.item + 1} of {check.photos[other.photo].photo}, judged alone: "
            f"{OUTCOMES[other.outcome]} --"
        )
        lines += [f"  {text}" for finding in other.findings for text in _finding(finding)]
    lines += ["  Looked at:"]
    lines += [f"    {name}: {OUTCOMES[state]}" for name, state in check.aspects.items()]
    lines += ["  Each photo on its own:"]
    lines += [
        f"    {photo.photo} ({SURFACES[photo.surface]}): {OUTCOMES[photo.outcome]}"
        for photo in check.photos
    ]
    lines.append(f"  For {check.on.isoformat()}; rules {check.rules_edition}")
    return "\n".join(lines) + "\n"


def _where(place: PlaceOut, check: UnitCheckOut) -> str:
    return f"{SURFACES[place.surface]}, {check.photos[place.photo].photo}"


def _item(item: ItemOut) -> list[str]:
    claims = ", ".join(item.schemes) if item.schemes else "no scheme recognised"
    lines = [f"  Claims: {claims}"]
    width = max((len(mark.mark) for mark in item.marks), default=0)
    lines += [f"    {_mark(mark, width)}" for mark in item.marks]
    lines += [f"  {text}" for finding in item.findings for text in _finding(finding)]
    lines += [f"  List: {text}" for text in _list(item.holder_match)]
    return lines


def _mark(mark: MarkOut, width: int) -> str:
    name = mark.mark.replace("_", " ").ljust(width)
    if mark.standing == "absent":
        return f"{name}  not seen"
    shown = mark.value if mark.value == mark.printed else f"{mark.value}   (ink: {mark.printed})"
    if mark.standing == "read":
        return f"{name}  {shown}"
    others = [other.value or other.printed for other in mark.alternatives]
    either = f"; or {', '.join(others)}" if others else ""
    return f"{name}  {shown}   ? doubtful{either}"


def _finding(finding: FindingOut) -> list[str]:
    shape = "?" if finding.question else _SEVERITIES[finding.severity]
    lead = "question" if finding.question else finding.severity
    lines = [f"{shape} {lead}: {finding.says or finding.rule}"]
    if finding.source:
        lines.append(f"    source: {finding.source}")
    return lines


def _list(match: HolderMatchOut) -> list[str]:
    lines = [match.says or match.state.replace("_", " ")]
    lines += [
        f"    {field.field.replace('_', ' ')}: {field.state.replace('_', ' ')}"
        + (f" (printed {field.printed}, listed {field.listed})" if field.state == "differs" else "")
        + (f" - {field.note}" if field.note else "")
        for field in match.fields
    ]
    for near in match.near:
        letters = "".join(
            f"[{letter.printed or '_'}|{letter.listed or '_'}]"
            if letter.differs
            else (letter.printed or "")
            for letter in near.letters
        )
        lines.append(f"    near, differs here: {letters} ({near.holder}); never a match")
    shapes = {"printed": "?", "near": "?", "not_seen": "·"}
    lines += [f"    {shapes[one.state]} {one.says}" for one in match.searched]
    if match.list_name:
        edition = f", edition {match.list_edition}" if match.list_edition else ""
        age = f", {match.list_age_days} days old" if match.list_age_days is not None else ""
        fictional = " FICTIONAL" if match.fictional else ""
        lines.append(f"    list: {match.list_name}{edition}{age}{fictional}")
    return lines
