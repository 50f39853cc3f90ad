"""What a judgement comes to without the findings that people set aside.

The judgement itself stays as it was found: this is said beside it, never in its place, and no
release rests on it.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from inkwitness.check.values import NO_MARKS, Judgement, UnitJudgement
from inkwitness.findings.evidence import is_free
from inkwitness.findings.identity import key_of
from inkwitness.findings.outcome import of_findings, outcome_of, worst
from inkwitness.findings.values import Aspect, AspectState, Finding, Outcome
from inkwitness.marks.values import Mark

#: A finding of a unit: where it was raised (empty: on the unit itself, else `PHOTO/ITEM` for a
#: further item of a photo), and its name (`findings.identity.key_of`).
Named = tuple[str, str]


@dataclass(frozen=True, slots=True)
class After:
    """Aspects and outcome without what was set aside."""

    aspects: Mapping[Aspect, AspectState]
    outcome: Outcome


def further(photo_id: str, item: int) -> str:
    """Where the findings of a further item of a photo are raised; the largest is the unit."""
    return f"{photo_id}/{item}" if item else ""


def placed_findings(
    judged: Judgement | UnitJudgement, photo_ids: Sequence[str]
) -> list[tuple[str, Finding]]:
    """Every finding with the place where it was raised; `photo_ids` are the photos judged."""
    if isinstance(judged, UnitJudgement):
        own = [("", finding) for finding in judged.findings]
        return own + [
            (further(photo_ids[other.photo], other.item), finding)
            for other in judged.others
            for finding in other.findings
        ]
    return [
        (further(photo_ids[0], number), finding)
        for number, item in enumerate(judged.items)
        for finding in item.findings
    ]


def without(
    judged: Judgement | UnitJudgement, photo_ids: Sequence[str], aside: Collection[Named]
) -> After:
    """Aspects and outcome without the findings in `aside`.

    An aspect that something else than a finding speaks for (a list, print that is not certain)
    stays as it was.
    """
    placed = placed_findings(judged, photo_ids)
    everything = [finding for _, finding in placed]
    left = [finding for where, finding in placed if (where, key_of(finding)) not in aside]
    aspects = dict(judged.aspects)
    for aspect in {finding.aspect for finding in everything}:
        if aspects.get(aspect) == of_findings(everything, aspect):
            aspects[aspect] = of_findings(left, aspect)
    if not all(map(_named, _marks(judged))):
        aspects["marks"] = worst([aspects["marks"], "cannot_tell"])
    return After(aspects, outcome_of(aspects.values()))


def _marks(judged: Judgement | UnitJudgement) -> list[Sequence[Mark]]:
    if isinstance(judged, UnitJudgement):
        return [[placed.mark for placed in judged.placed]]
    return [
        [mark for mark in item.marks if mark.printed and mark.mark not in NO_MARKS]
        for item in judged.items
    ]


def _named(marks: Sequence[Mark]) -> bool:
    """Whether some print has a name: without any, nothing can be told of the marks."""
    return any(not is_free(mark) for mark in marks)
