"""Kinds of layout as a specification: what each piece of print is, and what may be said of it.

Every kind of `tests/renderer/printed/kinds.yaml` (common practice, no source), with three draws of
names, as typed lines through the parser and the judge; what a kind is said to have is the
expectation. A dozen of them, drawn, go through the real reader in `test_kinds_as_pictures.py`.
"""

import functools
from collections.abc import Iterable
from typing import cast

import pytest

from inkwitness import rulebook
from inkwitness.check.judge import Criteria, judge_item
from inkwitness.check.values import ItemJudged
from inkwitness.cli.serving.demo import DAY
from inkwitness.findings.outcome import outcome_of
from inkwitness.findings.values import Circumstances, Surface
from inkwitness.marks.read_marks import marks_of_text
from inkwitness.marks.values import Mark
from tests.bench.scored.kinds import (
    false_conflicts,
    false_missing,
    fault_found,
    not_offered,
    not_read,
    wrong_as_read,
)
from tests.check.kinds_not_yet import TYPED
from tests.renderer.printed.content import Print
from tests.renderer.printed.kinds import NAMES, Kind, compose_kind, kinds
from tests.typed import item_of

BOOK = rulebook.load()
CRITERIA = Criteria(BOOK)
SEEDS = (1, 2, 3)
GENUINE = [kind for kind in kinds().values() if not kind.fault]
FAULTY = [kind for kind in kinds().values() if kind.fault]


@functools.cache
def judged(name: str, seed: int) -> tuple[Print, ItemJudged]:
    """The print of a kind, and what its lines come to on a surface that was seen whole."""
    kind = kinds()[name]
    what = compose_kind(kind, seed)
    lines = tuple(line.text for line in what.lines)
    marks = marks_of_text(lines, BOOK.grammars, BOOK.vocabulary)
    seen = Circumstances(DAY, cast(Surface, kind.surface), "yes")
    return what, judge_item(item_of(lines, marks), CRITERIA, seen)


def shown(item: ItemJudged) -> list[Mark]:
    return [mark for mark in item.marks if mark.standing != "absent"]


def every(expected: str, of: Iterable[Kind]) -> pytest.MarkDecorator:
    """The kinds as parameters of a test; those in `TYPED` are expected to fail, strictly."""
    failing = TYPED.get(expected, "").split()
    assert set(failing) <= set(kinds()), "no such kind"
    xfail = pytest.mark.xfail(strict=True, reason=f"not yet: {expected}")
    return pytest.mark.parametrize(
        "kind",
        [pytest.param(k.kind, marks=[xfail] if k.kind in failing else [], id=k.kind) for k in of],
    )


@every("labelled or of a form: read and right", kinds().values())
def test_what_a_label_or_its_form_names_is_read_and_right(kind: str) -> None:
    for what, item in (judged(kind, seed) for seed in SEEDS):
        assert not not_read(what, shown(item))


@every("nothing read that is not printed", kinds().values())
def test_nothing_is_shown_as_read_that_is_not_printed(kind: str) -> None:
    for what, item in (judged(kind, seed) for seed in SEEDS):
        assert not wrong_as_read(what, shown(item))


@every("by place never read", kinds().values())
def test_what_only_its_place_names_is_never_read(kind: str) -> None:
    for what, item in (judged(kind, seed) for seed in SEEDS):
        unnamed = {mark.mark for mark in what.printed if not mark.named}
        without = {*NAMES} - {mark.mark for mark in what.printed}
        for mark in shown(item):
            if mark.mark in unnamed | without or mark.named_by == "place":
                assert mark.standing != "read", (mark.mark, mark.printed)


@every("among the first three", kinds().values())
def test_maker_model_and_lot_are_among_the_first_three_offered(kind: str) -> None:
    for what, item in (judged(kind, seed) for seed in SEEDS):
        assert not not_offered(what, shown(item))


@every("no false conflict", GENUINE)
def test_a_genuine_kind_raises_no_conflict(kind: str) -> None:
    for _, item in (judged(kind, seed) for seed in SEEDS):
        assert not false_conflicts(item)


@every("no false missing", GENUINE)
def test_nothing_that_is_printed_is_called_missing(kind: str) -> None:
    for what, item in (judged(kind, seed) for seed in SEEDS):
        assert not false_missing(what, kinds()[kind], item)


@every("planted fault found", FAULTY)
def test_a_planted_fault_is_found(kind: str) -> None:
    for _, item in (judged(kind, seed) for seed in SEEDS):
        assert fault_found(kinds()[kind], item) == "found"


@every("outcome", [kind for kind in kinds().values() if kind.outcome])
def test_where_nothing_known_here_is_printed_nothing_can_be_told(kind: str) -> None:
    for _, found in (judged(kind, seed) for seed in SEEDS):
        assert outcome_of(found.aspects.values()) == kinds()[kind].outcome
