"""What a person's word does to a check. The expectations are the project's own contract."""

import datetime as dt
from dataclasses import replace

import pytest

from inkwitness import rulebook
from inkwitness.check.contract import CheckOut
from inkwitness.check.pipeline import Checker, check_bytes, recheck
from inkwitness.check.values import Confirmation
from inkwitness.cli.demo import DAY, FIRST_SAMPLE, SAMPLES, circumstances_of, demo_list
from inkwitness.findings.values import Circumstances
from inkwitness.reading.engines import load_readers


@pytest.fixture(scope="module")
def checker() -> Checker:
    return Checker(load_readers(with_second=False), rulebook.load(), demo_list())


@pytest.fixture(scope="module")
def about() -> Circumstances:
    return circumstances_of(SAMPLES / FIRST_SAMPLE)


@pytest.fixture(scope="module")
def reading(checker: Checker, about: Circumstances) -> CheckOut:
    return check_bytes((SAMPLES / FIRST_SAMPLE).read_bytes(), "photo", checker, about).out


@pytest.mark.parametrize("mark", ["approval_number", "filter_class", "agency", "model", "lot"])
def test_a_mark_that_cannot_be_read_is_neither_missing_nor_a_conflict(
    mark: str, checker: Checker, about: Circumstances, reading: CheckOut
) -> None:
    told = recheck(reading, (Confirmation(0, mark, None),), checker, about)

    assert told.outcome == "cannot_tell"
    assert not [f for f in told.findings if f.severity in ("conflict", "missing")]
    shown = told.marks[mark]
    assert (shown.printed, shown.standing, shown.confirmed) == ("", "doubtful", True)


def test_a_word_on_a_mark_makes_the_basis_confirmed_and_leaves_the_reading_alone(
    checker: Checker, about: Circumstances, reading: CheckOut
) -> None:
    before = reading.model_copy(deep=True)
    told = recheck(reading, (Confirmation(0, "filter_class", "KN95"),), checker, about)

    assert (told.basis, told.outcome) == ("confirmed", "conflict")
    assert told.marks["filter_class"].value == "KN95"
    assert reading == before


def test_another_list_changes_no_reading(
    checker: Checker, about: Circumstances, reading: CheckOut
) -> None:
    """Decisions on the list: it is opened only after the marks are read."""
    empty = replace(checker, holder_list=None)
    data = (SAMPLES / FIRST_SAMPLE).read_bytes()
    again = check_bytes(data, "photo", empty, about).out

    assert again.items[0].marks == reading.items[0].marks
    assert again.holder_match.state == "no_list_for_scheme"
    assert reading.holder_match.state == "listed_agrees"
    assert dt.date(2026, 11, 25) == DAY == reading.on
