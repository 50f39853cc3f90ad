"""The judge: every rule of the book on one item (or on several photos of one unit).

A conflict rests only on marks that are `read` or confirmed; from a doubtful mark it is a question.
A mark is `missing` only where its surface was photographed whole and legible; else the note says
that it was not seen in this photo. Nothing is ever concluded between two items of one photo.
"""

from collections.abc import Sequence

from inkwitness.findings.checks import Hit, run
from inkwitness.findings.conditions import holds
from inkwitness.findings.evidence import Evidence, evidence_of, surface_names
from inkwitness.findings.values import Finding, Item, Severity
from inkwitness.rulebook.values import Rule, Rulebook

NOT_SEEN = "not-seen-in-this-photo"
SCRIPT_NOT_READ = "script-not-read"
_ORDER: tuple[Severity, ...] = ("conflict", "missing", "caution", "note")
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
    found: dict[tuple[str, tuple[tuple[str, str], ...]], Finding] = {}
    for rule in rulebook.rules:
        state = holds(rule.when, rule.scheme, evidence)
        if state is False:
            continue
        for hit in run(rule, evidence, rulebook):
            if hit.unseen and not hit.could_miss and rule.severity != "missing":
                continue  # what is only recommended is not looked for in half a picture
            finding = _finding(rule, hit, evidence, sure=state is True)
            found.setdefault((finding.rule, finding.values), finding)
    return tuple(sorted(found.values(), key=lambda f: _ORDER.index(f.severity)))


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
    doubtful = not sure or hit.unclear or open_end or any(not placed.sure for placed in hit.found)
    marks = tuple(dict.fromkeys(placed.mark.mark for placed in hit.found)) or (
        (hit.unseen,) if hit.unseen else ()
    )
    about = {"on": evidence.on.isoformat(), "surface": surface_names(evidence.surfaces)}
    values: tuple[tuple[str, str], ...] = tuple((about | dict(hit.values)).items())
    name, severity, question = rule.id, rule.severity, doubtful
    if hit.unseen and not reads_script(evidence, rule.script):
        name, severity, question = SCRIPT_NOT_READ, "note", True
        values = (("rule", rule.id), ("script", rule.script), *values)
    elif hit.unseen and severity == "missing" and not hit.could_miss:
        name, severity, question = NOT_SEEN, "note", False
        values = (("rule", rule.id), *values)
    return Finding(
        rule=name,
        scheme=rule.scheme,
        severity=severity,
        aspect=rule.aspect,
        question=question or rule.asks,
        values=values,
        marks=marks,
        places=hit.found,
    )
