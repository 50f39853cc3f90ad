"""What the judge may conclude, and what it must leave as a question.

Source of the expectations: the project's decisions on standings, `missing` and outcomes; the
worked examples of the dossier on markings, 22.
"""

import datetime as dt
from dataclasses import replace
from typing import get_args

import pytest

from inkwitness.errors import BadInput
from inkwitness.findings.evidence import evidence_of
from inkwitness.findings.judge import NOT_SEEN, SCRIPT_NOT_READ, judge, judge_unit, schemes_of
from inkwitness.findings.merge import best_of, unit_of
from inkwitness.findings.outcome import LIST_ASPECT, aspects_and_outcome
from inkwitness.findings.values import Circumstances, Finding, Item, Surface, Whole
from inkwitness.holders.values import ListState
from inkwitness.marks.read_marks import marks_of_text
from inkwitness.marks.values import Mark
from inkwitness.rulebook import load

BOOK = load()
ON = dt.date(2026, 11, 25)
US = (
    "MANUFACTURED BY VEXHOLM FILTRATION",
    "MODEL VX-910",
    "N95",
    "NIOSH",
    "TC-84A-9981",
    "LOT 25C114",
)


def item(
    *lines: str,
    surface: Surface = "facepiece",
    whole: Whole = "yes",
    doubtful: tuple[str, ...] = (),
    confirmed: bool = False,
    declared: tuple[str, ...] = (),
    legible: bool = True,
) -> Item:
    marks = tuple(
        replace(mark, standing="doubtful", confirmed=confirmed) if mark.mark in doubtful else mark
        for mark in marks_of_text(lines, BOOK.grammars, BOOK.vocabulary)
    )
    return Item(marks, Circumstances(ON, surface, whole, frozenset(declared)), lines, legible)


def rules(found: tuple[Finding, ...]) -> set[str]:
    return {finding.rule for finding in found}


def one(found: tuple[Finding, ...], rule: str) -> Finding:
    return next(finding for finding in found if finding.rule == rule)


def test_complete_print_raises_nothing_but_a_look_up() -> None:
    assert rules(judge(item(*US), BOOK)) == {"us-look-up-number"}


def test_conflict_from_a_doubtful_mark_is_a_question() -> None:
    lines = ("QUARRIMOND BREATHING", "KN95", "NIOSH", "TC-84A-9981")
    sure = one(judge(item(*lines), BOOK), "x-foreign-class-under-tc-number")
    asked = one(
        judge(item(*lines, doubtful=("filter_class",)), BOOK), "x-foreign-class-under-tc-number"
    )
    assert (sure.severity, sure.question) == ("conflict", False)
    assert (asked.severity, asked.question) == ("conflict", True)


def test_confirmed_mark_carries_a_conflict_again() -> None:
    lines = ("QUARRIMOND BREATHING", "KN95", "NIOSH", "TC-84A-9981")
    found = judge(item(*lines, doubtful=("filter_class",), confirmed=True), BOOK)
    assert not one(found, "x-foreign-class-under-tc-number").question


def test_conflict_that_something_outside_the_picture_may_explain_is_a_question() -> None:
    lines = ("QUARRIMOND BREATHING", "KN95", "NIOSH", "TC-84A-9981")
    found = judge(item(*lines, whole="unknown"), BOOK)
    assert one(found, "x-foreign-class-under-tc-number").question


@pytest.mark.parametrize(("whole", "legible"), [("no", True), ("unknown", True), ("yes", False)])
def test_missing_needs_a_whole_and_legible_surface(whole: Whole, legible: bool) -> None:
    lines = ("VEXHOLM FILTRATION", "VX-910", "N95", "NIOSH", "LOT 25C114")
    found = judge(item(*lines, whole=whole, legible=legible), BOOK)
    note = one(found, NOT_SEEN)
    assert (note.severity, dict(note.values)["rule"]) == ("note", "us-tc-number-absent")
    assert not any(finding.severity == "missing" for finding in found)


def test_missing_on_a_whole_facepiece() -> None:
    found = judge(item("VEXHOLM FILTRATION", "VX-910", "N95", "NIOSH", "LOT 25C114"), BOOK)
    assert one(found, "us-tc-number-absent").severity == "missing"


def test_mark_that_may_be_in_an_unread_script_is_never_missing() -> None:
    """Hangul, Han and kana are missed only where a reader has the script."""
    lines = ("KF94", "HALCYRA RESPIRE", "LOT A2511", "EXP 2028-05")
    blind = judge(item(*lines, surface="pouch"), BOOK)
    asked = one(blind, SCRIPT_NOT_READ)
    assert (asked.severity, asked.question) == ("note", True)
    seeing = judge(item(*lines, surface="pouch", declared=("reads_hangul",)), BOOK)
    assert one(seeing, "kr-quasi-drug-word-absent").severity == "missing"


def test_print_may_claim_several_schemes_and_each_is_judged() -> None:
    both = item(*US, "GB 2626-2006 KN95", "MFG 2022-03-05")
    assert set(schemes_of([both], BOOK)) == {"us-niosh", "cn-gb2626"}
    assert "cn-edition-2006-after-sunset" in rules(judge(both, BOOK))


def test_claim_that_rests_on_a_doubtful_mark_makes_questions_of_its_findings() -> None:
    found = judge(item("VEXHOLM FILTRATION", "VX-910", "N95", doubtful=("filter_class",)), BOOK)
    missing = [finding for finding in found if finding.severity == "missing"]
    assert missing
    assert all(finding.question for finding in missing)


def test_absent_marks_count_as_not_seen() -> None:
    with_absent = item("VEXHOLM FILTRATION", "VX-910", "N95", "NIOSH", "LOT 25C114")
    gone = Mark("approval_number", "", "", "absent", 0.9)
    found = judge(replace(with_absent, marks=(*with_absent.marks, gone)), BOOK)
    assert "us-tc-number-absent" in rules(found)


def test_findings_come_gravest_first_and_once() -> None:
    found = judge(item("VEXHOLM FILTRATION", "N94", "NIOSH", "TC-84A-XXXX", "FDA APPROVED"), BOOK)
    order = ["conflict", "missing", "caution", "note"]
    ranks = [order.index(finding.severity) for finding in found]
    assert ranks == sorted(ranks)
    assert len(found) == len({(finding.rule, finding.values) for finding in found})


def test_same_ink_on_two_lines_is_said_once() -> None:
    found = judge(item("VEXHOLM", "VX-9", "P99 MASK", "NIOSH P99", "TC-84A-9981", "LOT 1"), BOOK)
    assert [finding.rule for finding in found].count("us-class-rare") == 1


def test_draft_schemes_give_cautions_and_notes_only() -> None:
    drafts = {scheme.scheme for scheme in BOOK.schemes if scheme.status == "draft"}
    graver = {rule.scheme for rule in BOOK.rules if rule.severity in ("conflict", "missing")}
    assert not drafts & graver


# ---- several photos of one unit -----------------------------------------------------------------


def test_facepiece_and_box_that_disagree_are_a_conflict_with_both_places() -> None:
    box = item(*US[:4], "TC-84A-9918", "LOT 25C114", surface="carton")
    unit = unit_of([item(*US), box], BOOK)
    found = one(unit.findings, "x-facepiece-and-box-differ")
    values = dict(found.values)
    assert (found.severity, values["place"], values["other_place"]) == (
        "conflict",
        "facepiece",
        "carton",
    )
    assert {values["printed"], values["other_printed"]} == {"TC-84A-9981", "TC-84A-9918"}
    places = {(placed.mark.value, placed.surface) for placed in unit.marks}
    assert {("TC-84A-9981", "facepiece"), ("TC-84A-9918", "carton")} <= places


def test_mark_on_the_strap_is_not_missed_on_the_facepiece() -> None:
    facepiece = item("VEXHOLM FILTRATION", "VX-910", "N95", "NIOSH", "LOT 25C114")
    strap = item("TC-84A-9981", surface="strap")
    assert "us-tc-number-absent" in rules(judge(facepiece, BOOK))
    assert "us-tc-number-absent" not in rules(judge_unit([facepiece, strap], BOOK))


def test_two_items_judged_apart_never_contradict_each_other() -> None:
    """A conflict is never raised between two items: the judge sees one at a time."""
    other = item(*US[:4], "TC-84A-9918", "LOT 25C114")
    apart = rules(judge(item(*US), BOOK)) | rules(judge(other, BOOK))
    assert "x-facepiece-and-box-differ" not in apart


def test_best_occurrence_is_the_confirmed_one() -> None:
    box = item(*US[:4], "TC-84A-9918", surface="carton", doubtful=("approval_number",))
    unit = unit_of([box, item(*US)], BOOK)
    best = {name: at.mark.value for name, at in best_of(unit.marks, lambda at: at.mark).items()}
    assert best["approval_number"] == "TC-84A-9981"


def test_unit_needs_photos_of_one_date() -> None:
    with pytest.raises(BadInput, match="at least one"):
        unit_of([], BOOK)
    later = item(*US)
    moved = replace(later, circumstances=replace(later.circumstances, on=dt.date(2027, 1, 1)))
    with pytest.raises(BadInput, match="same date"):
        unit_of([item(*US), moved], BOOK)


def test_a_person_answers_the_order_of_a_date() -> None:
    lines = (*US, "EXP 05/06/2028")
    assert "x-date-order-unclear" in rules(judge(item(*lines), BOOK))
    told = item(*lines)
    answered = replace(
        told, circumstances=replace(told.circumstances, told=(("date_order", "mdy"),))
    )
    assert "x-date-order-unclear" not in rules(judge(answered, BOOK))
    placed = next(iter(evidence_of([answered], BOOK.schemes).named("expiry_date")))
    dates = evidence_of([answered], BOOK.schemes).dates(placed)
    assert [date.normal for date in dates] == ["2028-05-06"]


# ---- aspects and outcome ------------------------------------------------------------------------


def outcome(found: Item, state: str = "no_list_for_scheme", question: bool = False) -> str:
    return aspects_and_outcome(judge(found, BOOK), found.marks, state, list_question=question)[1]


def test_outcome_is_the_worst_of_the_aspects() -> None:
    assert outcome(item(*US)) == "no_conflict_found"
    assert outcome(item(*US[:4], "LOT 5")) == "missing"
    assert outcome(item(*US[:4], "LOT 5", whole="unknown")) == "cannot_tell"
    assert outcome(item(*US, "FDA APPROVED")) == "conflict"
    assert outcome(item(*US, "FDA APPROVED", doubtful=("claims",))) == "cannot_tell"


def test_cautions_and_notes_do_not_change_the_outcome() -> None:
    found = item(*US, "ISO 13485", "EXP 2026-01", declared=("decorated",))
    severities = {finding.severity for finding in judge(found, BOOK)}
    assert severities == {"caution", "note"}
    assert outcome(found) == "no_conflict_found"


@pytest.mark.parametrize(
    ("state", "expected"),
    [
        ("listed_agrees", "no_conflict_found"),
        ("listed_differs", "conflict"),
        ("listed_ended", "conflict"),
        ("near", "cannot_tell"),
        ("not_listed", "cannot_tell"),
        ("list_too_old", "cannot_tell"),
        ("no_list_for_scheme", "no_conflict_found"),
        ("nothing_to_look_up", "no_conflict_found"),
    ],
)
def test_list_state_enters_the_outcome(state: str, expected: str) -> None:
    assert outcome(item(*US), state) == expected


def test_list_difference_on_a_doubtful_mark_is_a_question() -> None:
    assert outcome(item(*US), "listed_differs", question=True) == "cannot_tell"


def test_every_list_state_has_an_aspect() -> None:
    assert set(LIST_ASPECT) == set(get_args(ListState))


def test_aspects_that_nobody_looked_at_are_called_so() -> None:
    found = item(*US)
    aspects, _ = aspects_and_outcome(judge(found, BOOK), found.marks)
    assert aspects["documents"] == aspects["supplier"] == "not_looked_at"
    assert aspects["construction"] == "not_looked_at"
    seen, _ = aspects_and_outcome(judge(found, BOOK), found.marks, declared=("head_straps",))
    assert seen["construction"] == "no_conflict_found"


def test_nothing_read_cannot_be_told() -> None:
    empty = item()
    aspects, worst = aspects_and_outcome(judge(empty, BOOK), empty.marks)
    assert aspects["reading"] == aspects["marks"] == "cannot_tell"
    assert worst == "cannot_tell"
