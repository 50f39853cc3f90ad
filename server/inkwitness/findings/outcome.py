"""Aspects and outcome from findings, standings of marks and the state of the list.

The outcome is the worst aspect; cautions and notes stand beside it and never change it, but for the
notes that say that something could not be looked at: then nothing can be told.
"""

from collections.abc import Collection, Iterable, Sequence
from typing import get_args

from inkwitness.findings.evidence import is_free
from inkwitness.findings.looks import BUILD_WORDS
from inkwitness.findings.values import Aspect, AspectState, Finding
from inkwitness.findings.values import Outcome as Outcome
from inkwitness.marks.values import Mark

WORST_FIRST: tuple[Outcome, ...] = get_args(Outcome)
#: What each state of the holder list means for the aspect `list`.
LIST_ASPECT: dict[str, AspectState] = {
    "listed_agrees": "no_conflict_found",
    "listed_differs": "conflict",
    "listed_ended": "conflict",
    "near": "cannot_tell",
    "not_listed": "cannot_tell",
    "list_too_old": "cannot_tell",
    "no_list_for_scheme": "not_looked_at",
    "nothing_to_look_up": "not_looked_at",
}


def aspects_and_outcome(
    findings: Sequence[Finding],
    marks: Sequence[Mark],
    list_state: str = "no_list_for_scheme",
    *,
    list_question: bool = False,
    all_legible: bool = True,
    declared: Collection[str] = (),
) -> tuple[dict[Aspect, AspectState], Outcome]:
    """The state of each aspect, and the worst of them.

    `list_state` is one of the list states of the public contract; with `list_question` it rests on
    a doubtful mark or on print that only its place names, so it is only asked about. `declared`
    are a person's words: without any about the construction, that was not looked at.
    """
    named = [mark for mark in marks if not is_free(mark)]
    aspects: dict[Aspect, AspectState] = {
        "reading": _reading(named, all_legible),
        "marks": of_findings(findings, "marks") if named else "cannot_tell",
        "list": _list(list_state, list_question),
        "documents": aspect_of(findings, "documents"),
        "construction": aspect_of(
            findings, "construction", looked=bool(BUILD_WORDS & set(declared))
        ),
        "supplier": aspect_of(findings, "supplier"),
    }
    return aspects, outcome_of(aspects.values())


def outcome_of(states: Iterable[AspectState]) -> Outcome:
    """The worst of the states; nothing looked at at all cannot tell anything."""
    seen = set(states)
    return next((state for state in WORST_FIRST if state in seen), "cannot_tell")


def worst(states: Iterable[AspectState]) -> AspectState:
    """The worst state of one aspect over several items; `not_looked_at` only where all are."""
    seen = set(states)
    return next((state for state in WORST_FIRST if state in seen), "not_looked_at")


def _reading(marks: Sequence[Mark], all_legible: bool) -> AspectState:
    seen = [mark for mark in marks if mark.standing != "absent"]
    doubtful = any(mark.standing == "doubtful" and not mark.confirmed for mark in seen)
    return "cannot_tell" if doubtful or not seen or not all_legible else "no_conflict_found"


def aspect_of(findings: Sequence[Finding], aspect: Aspect, *, looked: bool = False) -> AspectState:
    """The state of an aspect from findings; `looked`: it was looked at, whatever was found."""
    if not looked and not any(finding.aspect == aspect for finding in findings):
        return "not_looked_at"
    return of_findings(findings, aspect)


def of_findings(findings: Sequence[Finding], aspect: Aspect) -> AspectState:
    """The worst state that the findings give an aspect."""
    mine = [finding for finding in findings if finding.aspect == aspect]
    states: set[AspectState] = set()
    for finding in mine:
        if finding.severity in ("conflict", "missing"):
            states.add("cannot_tell" if finding.question else finding.severity)
        elif finding.cannot_tell:
            states.add("cannot_tell")
    return next((state for state in WORST_FIRST if state in states), "no_conflict_found")


def _list(state: str, question: bool) -> AspectState:
    found = LIST_ASPECT[state]
    return "cannot_tell" if question else found
