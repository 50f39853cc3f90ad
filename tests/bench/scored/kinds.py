"""What is expected of the check of a print of which every mark is known.

In meaning as in `score`; here on the public contract, for the specification of kinds of layout.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from inkwitness.check.values import ItemJudged
from inkwitness.marks.values import Mark
from tests.bench.scored.contestants import Answer
from tests.bench.scored.score import found_by, is_form, is_printed, read_by
from tests.bench.scored.truth import RARER, SCORED, Case, Wanted, bare
from tests.renderer.printed.content import Print, Printed
from tests.renderer.printed.kinds import NAMES, Kind

_SEVERITY = ("caution", "missing", "conflict")


def answer_of(mark: Mark) -> Answer:
    """A mark of the contract as the benchmark takes it."""
    others = tuple(text for other in mark.alternatives for text in (other.value, other.printed))
    return Answer(mark.mark, mark.value, mark.printed, mark.standing, mark.probability,
                  mark.named_by, others)  # fmt: skip


def case_of(what: Print) -> Case:
    """A print as a case of the benchmark: all of it is legible."""
    printed: dict[str, set[str]] = {}
    for mark in what.printed:
        printed.setdefault(mark.mark, set()).update(map(bare, mark.forms))
    return Case(
        Path(what.kind),
        "typed",
        tuple(Wanted(mark.mark, mark.forms) for mark in what.printed),
        {mark: frozenset(forms) for mark, forms in printed.items()},
        frozenset((*SCORED, *RARER)),
    )


def not_read(what: Print, marks: Sequence[Mark]) -> list[str]:
    """Marks that a label or their form names and that are not shown as read and right."""
    return [_told(mark, marks) for mark in what.printed if mark.named and not _read(mark, marks)]


def not_found(what: Print, marks: Sequence[Mark]) -> list[str]:
    """Marks that a label or their form names and that are not shown with the right value."""
    return [
        _told(mark, marks)
        for mark in what.printed
        if mark.named
        and not any(is_form(mark.mark, (one.value, one.printed), mark.forms)
                    for one in _own(mark, marks))
    ]  # fmt: skip


def wrong_as_read(what: Print, marks: Sequence[Mark]) -> list[str]:
    """What is shown as read and is not printed, or is printed as something else."""
    case = case_of(what)
    return [
        f"{mark.mark} read as {mark.value!r}"
        for mark in marks
        if mark.standing == "read"
        and (mark.mark in case.stated or mark.mark in case.printed)
        and not is_printed(case, answer_of(mark))
    ]


def not_offered(what: Print, marks: Sequence[Mark]) -> list[str]:
    """Maker, model and lot that are not among the first candidates of their kind."""
    return [
        _told(mark, marks)
        for mark in what.printed
        if mark.mark in NAMES and not found_by(_wanted(mark), _own(mark, marks))
    ]


def false_conflicts(item: ItemJudged) -> list[str]:
    """Rules that raise a conflict, other than as a question."""
    return [f.rule for f in item.findings if f.severity == "conflict" and not f.question]


def false_missing(what: Print, kind: Kind, item: ItemJudged) -> list[str]:
    """Rules that call a mark missing that is printed."""
    printed = {mark.mark for mark in what.printed} - {*kind.lacks}
    return [
        f"{finding.rule} ({mark})"
        for finding in item.findings
        if finding.severity == "missing" and not finding.question
        for mark in finding.marks
        if mark in printed
    ]


def fault_found(kind: Kind, item: ItemJudged) -> str:
    """`found` as severe as expected, `asked` as a question, `weaker` as less, or `missed`."""
    about = [
        finding
        for finding in item.findings
        if finding.severity in _SEVERITY and {*finding.marks} & {*kind.about}
    ]
    least = _SEVERITY.index(kind.expect)
    strong = [finding for finding in about if _SEVERITY.index(finding.severity) >= least]
    if any(not finding.question for finding in strong):
        return "found"
    return "asked" if strong else "weaker" if about else "missed"


def _wanted(mark: Printed) -> Wanted:
    return Wanted(mark.mark, mark.forms)


def _own(mark: Printed, marks: Sequence[Mark]) -> list[Answer]:
    return [answer_of(one) for one in marks if one.mark == mark.mark]


def _read(mark: Printed, marks: Sequence[Mark]) -> bool:
    return read_by(_wanted(mark), _own(mark, marks)) is not None


def _told(mark: Printed, marks: Sequence[Mark]) -> str:
    offered = ", ".join(
        f"{one.printed!r} {one.standing} by {one.named_by}"
        for one in marks
        if one.mark == mark.mark
    )
    return f"{mark.mark} {mark.value!r}: {offered or 'nothing'}"
