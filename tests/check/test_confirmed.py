"""What a person's word does to a check. The expectations are the project's own contract: issue 19,
points 1 and 9, and the decisions on marks.
"""

import copy
import datetime as dt
from collections.abc import Sequence
from dataclasses import replace

import pytest

from inkwitness import rulebook
from inkwitness.check.contract import CheckOut
from inkwitness.check.judge import Criteria, judge
from inkwitness.check.outward import check_out
from inkwitness.check.values import Check, Confirmation, Reading
from inkwitness.cli.serving.demo import DAY, FIRST_SAMPLE, SAMPLES, circumstances_of, demo_list
from inkwitness.findings.values import Circumstances
from inkwitness.marks.read_marks import marks_of_text
from inkwitness.marks.values import Mark
from inkwitness.reading.readers.engines import load_readers
from inkwitness.records import old_form
from tests.offers import OFFERS, PLAIN
from tests.real import Checker
from tests.typed import item_of
from tests.typed import reading_of as typed_reading


@pytest.fixture(scope="module")
def checker() -> Checker:
    return Checker(load_readers(with_second=False), rulebook.load(), demo_list())


@pytest.fixture(scope="module")
def about() -> Circumstances:
    return circumstances_of(SAMPLES / FIRST_SAMPLE)


@pytest.fixture(scope="module")
def checked(checker: Checker, about: Circumstances) -> Check:
    return checker.check((SAMPLES / FIRST_SAMPLE).read_bytes(), "photo", about)


@pytest.fixture(scope="module")
def reading(checked: Check) -> Reading:
    return checked.reading


def judged(
    reading: Reading, words: Sequence[Confirmation], criteria: Criteria, about: Circumstances
) -> CheckOut:
    """A reading with a person's words in it, judged, as the contract has it."""
    made = Check(reading, judge(reading, criteria, about, words))
    return check_out(made, criteria.rulebook)


@pytest.mark.parametrize("mark", ["approval_number", "filter_class", "agency", "model", "lot"])
def test_a_mark_that_cannot_be_read_is_neither_missing_nor_a_conflict(
    mark: str, checker: Checker, about: Circumstances, reading: Reading
) -> None:
    told = judged(reading, (Confirmation(0, mark, None),), checker.criteria, about)

    assert told.outcome == "cannot_tell"
    assert not [f for f in told.findings if f.severity in ("conflict", "missing")]
    shown = told.marks[mark]
    assert (shown.printed, shown.standing, shown.confirmed) == ("", "doubtful", True)


def test_a_word_on_a_mark_makes_the_basis_confirmed_and_leaves_the_reading_alone(
    checker: Checker, about: Circumstances, reading: Reading
) -> None:
    before = copy.deepcopy(reading)
    words = (Confirmation(0, "filter_class", "KN95"),)
    told = judged(reading, words, checker.criteria, about)

    assert (told.basis, told.outcome) == ("confirmed", "conflict")
    assert told.marks["filter_class"].value == "KN95"
    assert reading == before


def test_another_list_changes_no_reading(
    checker: Checker, about: Circumstances, checked: Check
) -> None:
    """Decisions on the list: it is opened only after the marks are read."""
    empty = replace(checker, holder_list=None)
    data = (SAMPLES / FIRST_SAMPLE).read_bytes()
    again = empty.check(data, "photo", about)

    assert again.reading.items == checked.reading.items
    assert again.judgement.holder_match.state == "no_list_for_scheme"
    assert checked.judgement.holder_match.state == "listed_agrees"
    assert dt.date(2026, 11, 25) == DAY == checked.judgement.on


# ---- print whose name is a guess, and marks named by their ids ----------------------------------

BOOK = rulebook.load()
TYPED = Criteria(BOOK, demo_list())
FACE = Circumstances(DAY, "facepiece", "yes")


def reading_of(*lines: str, offers: Sequence[Mark] = ()) -> Reading:
    """A reading with these lines and offers; what the grammars read in the lines has no ids and no
    parts, as it was stored before marks had them: such a row was opened.
    """
    marks = marks_of_text(lines, BOOK.grammars, BOOK.vocabulary)
    named = [
        replace(mark, id="", parts=())
        for mark in marks
        if mark.named_by != "place" and mark.mark not in {one.mark for one in offers}
    ]
    return opened(typed_reading(item_of(lines, (*named, *offers))))


def opened(reading: Reading) -> Reading:
    """A reading as a row of the old form has it, opened."""
    row = judged(reading, (), TYPED, FACE).model_dump(mode="json")
    return old_form.check_of(row).reading


def said(read: Reading, *words: Confirmation) -> CheckOut:
    return judged(read, words, TYPED, FACE)


def named(check: CheckOut, mark: str) -> list[str]:
    return [one.printed for one in check.items[0].marks if one.mark == mark]


def test_ink_that_a_person_names_is_that_mark_read_and_nothing_else() -> None:
    told = said(
        reading_of(*PLAIN, offers=OFFERS),
        Confirmation(0, "model", "9417", id="0:1:lot", named="lot"),
    )
    (lot,) = [mark for mark in told.items[0].marks if mark.mark == "lot"]
    assert (lot.printed, lot.named_by, lot.standing) == ("9417", "person", "read")
    assert (lot.confirmed, lot.reasons, lot.id) == (True, [], "0:1:lot")
    assert named(told, "model") == ["TAMBERLOW", "KEEP DRY"]  # the ink 9417 is no model any more


def test_one_offer_of_an_ink_can_be_answered_with_the_name_of_another() -> None:
    told = said(
        reading_of(*PLAIN, offers=OFFERS),
        Confirmation(0, "manufacturer", "TAMBERLOW", id="0:0:manufacturer", named="model"),
    )
    assert named(told, "manufacturer") == ["KEEP DRY"]
    assert sorted(named(told, "model")) == ["9417", "KEEP DRY", "TAMBERLOW"]


@pytest.mark.parametrize("what", ["other_text", "not_a_mark"])
def test_ink_that_a_person_says_is_no_mark_is_kept_and_not_judged(what: str) -> None:
    read = reading_of(*PLAIN, offers=OFFERS)
    told = said(read, Confirmation(0, "model", "KEEP DRY", id="0:2:model", named=what))
    (kept,) = [mark for mark in told.items[0].marks if mark.mark == what]
    assert (kept.printed, kept.named_by, kept.standing) == ("KEEP DRY", "person", "read")
    assert "KEEP DRY" not in named(told, "manufacturer") + named(told, "model")
    assert what not in told.marks
    assert not [finding for finding in told.findings if "KEEP DRY" in str(finding.values)]


def test_a_whole_text_can_be_typed_with_the_name() -> None:
    told = said(
        reading_of(*PLAIN, offers=OFFERS),
        Confirmation(
            0, "manufacturer", "TAMBERLOW LTD", id="0:0:manufacturer", named="manufacturer"
        ),
    )
    assert told.marks["manufacturer"].value == "TAMBERLOW LTD"


def test_the_name_without_the_letters_is_ink_that_cannot_be_read_and_is_not_missing() -> None:
    told = said(
        reading_of(*PLAIN, offers=OFFERS), Confirmation(0, "lot", None, id="0:1:lot", named="lot")
    )
    (lot,) = [mark for mark in told.items[0].marks if mark.mark == "lot"]
    assert (lot.printed, lot.standing, lot.named_by) == ("", "doubtful", "person")
    assert told.aspects["reading"] == "cannot_tell"


def test_a_person_adds_a_mark_that_was_not_read_under_an_id_of_its_own() -> None:
    read = reading_of(*PLAIN)
    told = said(read, Confirmation(0, "expiry_date", "2029-03", id="added:1"))
    (added,) = [mark for mark in told.items[0].marks if mark.mark == "expiry_date"]
    assert (added.id, added.printed, added.named_by) == ("added:1", "2029-03", "person")
    assert (added.standing, added.confirmed, added.line) == ("read", True, None)


# EN 149 and 42 CFR Part 84 beside each other, as on goods made for both markets.
DUAL = (
    "HALCYRA RESPIRE",
    "HR-F2",
    "EN 149:2001+A1:2009",
    "FFP2 NR",
    "CE 2999",
    "NIOSH N95",
    "TC-84A-9981",
)


@pytest.mark.parametrize("by_id", [True, False], ids=["by id", "as stored before ids"])
def test_the_second_class_of_a_dual_marked_unit_is_confirmed_and_counts(by_id: bool) -> None:
    """Issue 19, point 9. The page counted marks of the name, the server those of the scheme too."""
    read = reading_of(*DUAL)
    classes = [mark for mark in read.items[0].marks if mark.mark == "filter_class"]
    assert len({mark.scheme for mark in classes}) == len(classes) == 2
    second = classes[1]
    id_ = second.id if by_id else ""
    word = Confirmation(0, "filter_class", "N99", scheme=second.scheme, occurrence=1, id=id_)
    told = said(read, word)
    now = [mark for mark in told.items[0].marks if mark.mark == "filter_class"]
    assert [(mark.printed, mark.confirmed) for mark in now] == [
        (classes[0].printed, False),
        ("N99", True),
    ]


def test_which_of_two_lots_an_old_word_is_about_is_told_by_its_occurrence() -> None:
    read = reading_of("N95", "LOT 25C114", "LOT 25C115")
    told = said(read, Confirmation(0, "lot", "25C116", occurrence=1))
    assert [mark.confirmed for mark in told.items[0].marks if mark.mark == "lot"] == [False, True]


def test_a_check_stored_before_marks_had_ids_gets_the_same_ones_each_time() -> None:
    read = reading_of(*DUAL)
    ids = [mark.id for mark in read.items[0].marks]
    assert len(set(ids)) == len(ids)
    again = said(reading_of(*DUAL), Confirmation(0, "lot", "5", id="added:1"))
    assert set(ids) <= {mark.id for mark in again.items[0].marks}


def test_opening_an_old_check_does_not_lose_the_parts_of_its_marks() -> None:
    """A rule on the digits of the serial needs the part `serial`."""
    lines = ("N95", "NIOSH", "TC-84A-99817")
    today = said(
        typed_reading(item_of(lines, marks_of_text(lines, BOOK.grammars, BOOK.vocabulary)))
    )
    read = said(reading_of(*lines))
    assert [f.rule for f in read.findings] == [f.rule for f in today.findings]
    assert read.marks["approval_number"].parts == today.marks["approval_number"].parts != {}
