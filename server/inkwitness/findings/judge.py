"""The judge: every rule of the book on one item (or on several photos of one unit).

A conflict rests only on marks that are `read` or confirmed; from a doubtful mark it is a question.
A mark is `missing` only where its surface was photographed whole and legible; else the note says
that it was not seen in this photo. Nothing is ever concluded between two items of one photo.
"""

from collections.abc import Sequence
from typing import get_args

from inkwitness.findings.checks import Hit, run
from inkwitness.findings.conditions import holds
from inkwitness.findings.evidence import Evidence, evidence_of, surface_names
from inkwitness.findings.requires import Unseen, Wanted, with_free_print
from inkwitness.findings.values import Finding, Item, Severity, Surface
from inkwitness.rulebook.values import Rule, Rulebook

NOT_SEEN = "not-seen-in-this-photo"
SCRIPT_NOT_READ = "script-not-read"
_ORDER: tuple[Severity, ...] = get_args(Severity)
_SCRIPT_RANGES = {
    "hangul": ((0xAC00, 0xD7A3), (0x1100, 0x11FF)),
    "kana": ((0x3040, 0x30FF),),
    "han": ((0x3400, 0x9FFF),),
}


def judge(item: Item, rulebook: Rulebook) -> tuple[Finding, ...]:
    """The findings on one item, the gravest first."""
    return judge_unit((item,), rulebook)


def judge_unit(items: Sequence[Item], rulebook: Rulebook) -> tuple[Finding, ...]:
    """The findings on one unit that several photos show (facepiece, strap, pouch, box, ...)."""
    return judge_evidence(evidence_of(items, rulebook.schemes), rulebook)


def judge_evidence(evidence: Evidence, rulebook: Rulebook) -> tuple[Finding, ...]:
    """The findings on placed marks; the same finding is given once."""
    found: list[Finding] = []
    wanted: list[Wanted] = []
    for rule in rulebook.rules:
        state = holds(rule.when, rule.scheme, evidence)
        if state is False:
            continue
        for hit in run(rule, evidence, rulebook):
            if hit.unseen and rule.severity != "missing" and _not_looked_for(hit.unseen):
                continue
            finding = _finding(rule, hit, evidence, sure=state is True)
            if hit.unseen and finding.severity == "missing":
                wanted.append(Wanted(finding, hit.unseen))
            else:
                found.append(finding)
    once: dict[tuple[str, frozenset[tuple[str, str]]], Finding] = {}
    for finding in (*found, *with_free_print(wanted)):
        # The same ink on another line says nothing new.
        said = frozenset(pair for pair in finding.values if pair[0] != "line")
        once.setdefault((finding.rule, said), finding)
    return tuple(sorted(once.values(), key=lambda one: _ORDER.index(one.severity)))


def _not_looked_for(unseen: Unseen) -> bool:
    """What is only recommended is not looked for in half a picture, nor where print is left that
    could be it."""
    return not unseen.could_miss or bool(unseen.pieces)


def schemes_of(items: Sequence[Item], rulebook: Rulebook) -> tuple[str, ...]:
    """The schemes that the print claims, those with a sure mark first."""
    claimed = evidence_of(items, rulebook.schemes).claimed
    return tuple(sorted(claimed, key=lambda name: (not claimed[name], list(claimed).index(name))))


def reads_script(evidence: Evidence, script: str) -> bool:
    """Whether a reader had the script: a person or reader declared `reads_hangul` (and so on), or
    letters of it stand in the lines."""
    if script == "latin" or f"reads_{script}" in evidence.declared:
        return True
    ranges = _SCRIPT_RANGES[script]
    return any(low <= ord(letter) <= high for letter in evidence.text for low, high in ranges)


def _finding(rule: Rule, hit: Hit, evidence: Evidence, *, sure: bool) -> Finding:
    # What explains a combination away may stand outside a picture that does not show all.
    excused = bool(rule.when.not_seen or rule.when.not_claimed) and not evidence.seen_whole
    open_end = excused and rule.severity == "conflict"
    uncertain = not sure or any(not placed.sure for placed in hit.found)
    question = uncertain or hit.unclear or open_end or rule.asks
    unseen = hit.unseen
    wanted = (dict(hit.values)["mark"],) if unseen else ()
    marks = tuple(dict.fromkeys(placed.mark.mark for placed in hit.found)) or wanted
    values = {
        "on": evidence.on.isoformat(),
        "surface": surface_names(_seen_on(hit, evidence)),
        "line": _line_of(hit, evidence),
        **dict(hit.values),
    }
    name, severity = rule.id, rule.severity
    frames = _frames(severity, uncertain=uncertain, question=question, unseen=unseen is not None)
    if unseen and not reads_script(evidence, rule.script):
        name, severity, question, frames = SCRIPT_NOT_READ, "note", True, ()
        values = {"rule": rule.id, "script": rule.script, **values}
    elif unseen and severity == "missing" and not unseen.could_miss:
        name, severity, question, frames = NOT_SEEN, "note", rule.asks, ()
        values = {"rule": rule.id, **values}
    if frames:
        values["frames"] = ",".join(frames)
    return Finding(
        rule=name,
        scheme=rule.scheme,
        severity=severity,
        aspect=rule.aspect,
        question=question,
        values=tuple(values.items()),
        marks=marks,
        places=hit.found,
        cannot_tell=rule.cannot_tell or name in (NOT_SEEN, SCRIPT_NOT_READ),
    )


def _frames(
    severity: Severity, *, uncertain: bool, question: bool, unseen: bool
) -> tuple[str, ...]:
    """The sentences around that of the rule, from the inside out."""
    frames = ["unseen-mark"] if unseen else ["doubtful-reading"] if uncertain else []
    if severity in ("conflict", "missing") and not question:
        frames.append(f"next-step-{severity}")
    return tuple(frames)


def _seen_on(hit: Hit, evidence: Evidence) -> frozenset[Surface]:
    """The surfaces of the marks that a finding rests on; all that were photographed without any."""
    return frozenset(placed.surface for placed in hit.found) or evidence.surfaces


def _line_of(hit: Hit, evidence: Evidence) -> str:
    """The line of the first mark that a finding rests on: a word alone may mislead."""
    for placed in hit.found:
        lines, number = evidence.items[placed.photo].lines, placed.mark.line
        if number is not None and number < len(lines) and placed.mark.printed in lines[number]:
            return lines[number].strip()
        return placed.mark.printed
    return ""
