"""A dozen kinds of layout, drawn flat and clean, through the real reader.

What is expected of each is what `test_kinds_of_layout.py` expects of the same lines typed.
"""

import functools
from typing import cast

import cv2
import pytest

from inkwitness import rulebook
from inkwitness.check.values import ItemJudged
from inkwitness.cli.serving.demo import DAY
from inkwitness.findings.values import Circumstances, Surface
from inkwitness.marks.values import Mark
from inkwitness.reading.readers.engines import load_readers
from tests.bench.scored.kinds import (
    false_conflicts,
    false_missing,
    fault_found,
    not_found,
    not_offered,
    not_read,
    wrong_as_read,
)
from tests.check.kinds_not_yet import DRAWN
from tests.real import Checker
from tests.renderer.printed.content import Print
from tests.renderer.printed.flat import flat_picture
from tests.renderer.printed.kinds import NAMES, compose_kind, kinds

SEED = 4
PICTURES = (
    "us-block", "us-warning-first", "us-family-and-plus", "us-bare-six-digit-lot",
    "us-label-and-value-on-two-lines", "us-department-and-telephone", "eu-valve-bare-model",
    "eu-address-line", "eu-bare-lot", "eu-round-a-circle", "eu-italian-pouch",
    "fault-nr-behind-n95", "fault-neither-nr-nor-r",
)  # fmt: skip


@functools.cache
def checker() -> Checker:
    return Checker(load_readers(), rulebook.load())


@functools.cache
def checked(name: str) -> tuple[Print, ItemJudged]:
    what = compose_kind(kinds()[name], SEED)
    written, data = cv2.imencode(".png", flat_picture(what))
    assert written
    seen = Circumstances(DAY, cast(Surface, kinds()[name].surface), "yes")
    items = checker().check(data.tobytes(), f"{name}.png", seen).judgement.items
    assert len(items) == 1, "one unit is drawn"
    return what, items[0]


def shown(item: ItemJudged) -> list[Mark]:
    return [mark for mark in item.marks if mark.standing != "absent"]


def every(expected: str, *, faulty: bool | None = None) -> pytest.MarkDecorator:
    failing = DRAWN.get(expected, "").split()
    assert set(failing) <= set(PICTURES), "no such picture"
    xfail = pytest.mark.xfail(strict=True, reason=f"not yet: {expected}")
    chosen = [name for name in PICTURES if faulty in (None, bool(kinds()[name].fault))]
    return pytest.mark.parametrize(
        "kind", [pytest.param(n, marks=[xfail] if n in failing else [], id=n) for n in chosen]
    )


@every("labelled or of a form: right")
def test_what_a_label_or_its_form_names_is_right(kind: str) -> None:
    what, item = checked(kind)
    assert not not_found(what, shown(item))


def test_most_of_what_a_label_or_its_form_names_is_shown_as_read() -> None:
    """Letters may be doubtful in a picture; in clean ones few are (the project's own limit)."""
    named = [mark for name in PICTURES for mark in checked(name)[0].printed if mark.named]
    unread = [
        one for name in PICTURES for one in not_read(checked(name)[0], shown(checked(name)[1]))
    ]
    assert len(unread) <= 0.1 * len(named), unread


@every("nothing read that is not printed")
def test_nothing_is_shown_as_read_that_is_not_printed(kind: str) -> None:
    what, item = checked(kind)
    assert not wrong_as_read(what, shown(item))


@every("by place never read")
def test_what_only_its_place_names_is_never_read(kind: str) -> None:
    what, item = checked(kind)
    named = {mark.mark for mark in what.printed if mark.named}
    for mark in shown(item):
        if (mark.mark in NAMES and mark.mark not in named) or mark.named_by == "place":
            assert mark.standing != "read", (mark.mark, mark.printed)


@every("among the first three")
def test_maker_model_and_lot_are_among_the_first_three_offered(kind: str) -> None:
    what, item = checked(kind)
    assert not not_offered(what, shown(item))


@every("no false conflict", faulty=False)
def test_a_genuine_kind_raises_no_conflict(kind: str) -> None:
    assert not false_conflicts(checked(kind)[1])


@every("no false missing", faulty=False)
def test_nothing_that_is_printed_is_called_missing(kind: str) -> None:
    what, item = checked(kind)
    assert not false_missing(what, kinds()[kind], item)


@every("planted fault found", faulty=True)
def test_a_planted_fault_is_found(kind: str) -> None:
    assert fault_found(kinds()[kind], checked(kind)[1]) == "found"
