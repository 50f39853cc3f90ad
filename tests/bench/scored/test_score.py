"""What the benchmark counts, mark by mark: made-up photos and answers, no picture read."""

import csv
import json
from dataclasses import replace
from pathlib import Path

import pytest

from inkwitness.marks.values import Alternative, Mark
from inkwitness.rulebook import load
from tests.bench.losses import answer_of, is_loss
from tests.bench.scored.contestants import Answer, Result
from tests.bench.scored.score import Score, Tally
from tests.bench.scored.truth import SCORED, Case, Wanted, bare, made, transcribed
from tests.renderer.photo import render_kind
from tests.renderer.printed.kinds import compose_kind, kinds
from tests.renderer.writing import write_photo


def case(**printed: tuple[str, ...]) -> Case:
    return Case(
        Path("p.jpg"),
        "easy",
        tuple(Wanted(mark, forms) for mark, forms in printed.items()),
        {mark: frozenset(map(bare, forms)) for mark, forms in printed.items()},
        frozenset(SCORED),
    )


def shown(mark: str, value: str, standing: str = "read", named_by: str = "form",
          others: tuple[str, ...] = ()) -> Answer:  # fmt: skip
    doubled = tuple(text for other in others for text in (other, other))
    return Answer(mark, value, value, standing, 0.9, named_by, doubled)


def counted(of: Case, *answers: Answer) -> Score:
    score = Score()
    score.add(of, Result(answers, (), 0.5, 1000, 800))
    return score


def tally(of: Case, *answers: Answer) -> Tally:
    return counted(of, *answers).sum()


def test_a_right_mark_is_found_whether_read_or_doubtful() -> None:
    print_ = case(filter_class=("N95",))
    assert tally(print_, shown("filter_class", "N95")) == Tally(1, 1, 1, 0, 0, 1)
    assert tally(print_, shown("filter_class", "N95", "doubtful")) == Tally(1, 1, 0, 0, 0, 0)
    assert tally(print_) == Tally(1, 0, 0, 0, 0, 0)


def test_another_value_shown_as_read_is_wrong_and_a_mark_that_is_not_there_invented() -> None:
    print_ = case(filter_class=("KN95",))
    assert tally(print_, shown("filter_class", "N95")) == Tally(1, 0, 0, 1, 0, 1)
    assert tally(print_, shown("lot", "2024")) == Tally(1, 0, 0, 0, 1, 1)
    assert tally(print_, shown("lot", "2024", "doubtful")) == Tally(1, 0, 0, 0, 0, 0)


def test_the_same_wrong_value_twice_is_one_mistake() -> None:
    twice = (shown("model", "1-800-555-0101"), shown("model", "1-800-555-0101"))
    assert tally(case(model=("9100",)), *twice).wrong == 1


def test_a_mark_whose_truth_is_not_known_is_not_scored() -> None:
    unknown = Case(Path("p.jpg"), "partial", (), {}, frozenset())
    assert tally(unknown, shown("lot", "2024")) == Tally()


@pytest.mark.parametrize("mark", ["manufacturer", "model", "lot"])
def test_of_a_name_the_first_three_candidates_count(mark: str) -> None:
    print_ = case(**{mark: ("VEXHOLM",)})
    third = shown(mark, "ONE", "doubtful", "place", ("TWO", "VEXHOLM"))
    fourth = shown(mark, "ONE", "doubtful", "place", ("TWO", "THREE", "VEXHOLM"))
    assert tally(print_, third).found == 1
    assert tally(print_, fourth).found == 0
    own = [shown(mark, text, "doubtful", "place") for text in ("ONE", "TWO", "THREE", "VEXHOLM")]
    assert tally(print_, *own[1:]).found == 1
    assert tally(print_, *own).found == 0


def test_an_alternative_of_a_mark_with_a_form_is_no_find() -> None:
    doubtful = shown("filter_class", "N95", "doubtful", others=("KN95",))
    assert tally(case(filter_class=("KN95",)), doubtful).found == 0


def test_a_brand_and_its_company_are_one_mark() -> None:
    print_ = case(manufacturer=("Vexholm Safety GmbH", "Vexholm"))
    assert tally(print_, shown("manufacturer", "VEXHOLM")) == Tally(1, 1, 1, 0, 0, 1)


def test_a_standard_may_lack_the_prefix_of_its_national_edition() -> None:
    print_ = case(standard=("NF EN 149:2001+A1:2009",))
    assert tally(print_, shown("standard", "EN 149:2001+A1:2009")) == Tally(1, 1, 1, 0, 0, 1)
    assert tally(print_, shown("standard", "2009")).wrong == 1


def test_finds_and_mistakes_are_counted_by_how_the_mark_was_named() -> None:
    score = counted(
        case(model=("9100",), lot=("A1",)),
        shown("model", "9100", "doubtful", "place"),
        shown("lot", "A1", "read", "label"),
        shown("manufacturer", "tape", "read", "place"),
    )
    by = {naming: score.sum(lambda key, n=naming: key[2] == n) for naming in ("label", "place")}  # type: ignore[misc]
    assert by["label"] == Tally(0, 1, 1, 0, 0, 1)
    assert by["place"] == Tally(0, 1, 0, 0, 1, 1)


def test_a_photo_of_a_kind_states_every_mark_that_can_be_read(tmp_path: Path) -> None:
    what = compose_kind(kinds()["us-bare-six-digit-lot"], 3)
    write_photo(render_kind(3, what, "easy", longest=900), tmp_path / "k.jpg")
    (one,) = made(tmp_path, load().grammars)
    assert {wanted.mark for wanted in one.wanted} == {mark.mark for mark in what.printed}
    assert {"manufacturer", "model", "lot"} <= {wanted.mark for wanted in one.wanted}
    assert one.stated >= {*SCORED}


def test_a_truth_that_names_one_value_of_a_mark_knows_the_rest_from_its_lines(
    tmp_path: Path,
) -> None:
    truth = {
        "file": "p.jpg", "difficulty": "hard", "lines": [{"text": "KN95"}, {"text": "FFP2 NR"}],
        "marks": {"filter_class": "KN95", "lot": None}, "legible": {"filter_class": True},
    }  # fmt: skip
    (tmp_path / "p.json").write_text(json.dumps(truth), encoding="utf-8")
    (one,) = made(tmp_path, load().grammars)
    assert one.printed["filter_class"] == {"KN95", "FFP2"}
    assert tally(one, shown("filter_class", "FFP2")).wrong == 0
    assert tally(one, shown("lot", "2024")).invented == 1
    assert tally(one, shown("standard", "EN 149")) == Tally(1, 0, 0, 0, 0, 0)


def test_uncertain_fields_and_captions_are_not_scored(tmp_path: Path) -> None:
    columns = ("file", "legibility", "agency", "approval_number", "filter_class", "efficiency",
               "model", "lot", "manufacturer", "standard", "notified_body", "caption_only",
               "uncertain_fields")  # fmt: skip
    rows = [
        ("a.jpg", "clear", "NIOSH", "TC-84A-9981", "FFP2 NR;N95", "", "Halcyra 9100+", "",
         "Vexholm (Brisdaal)", "", "2999", "no", "approval_number;notified_body"),
        ("b.jpg", "clear", "", "", "N95", "", "", "", "", "", "", "yes", ""),
        ("c.jpg", "partial", "", "", "N95", "", "", "", "", "", "", "no", ""),
    ]  # fmt: skip
    with (tmp_path / "truth.csv").open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows([columns, *rows])
    first, last = transcribed(tmp_path)
    assert {(one.mark, one.forms) for one in first.wanted} == {
        ("filter_class", ("FFP2",)),
        ("filter_class", ("N95",)),
        ("reuse", ("NR",)),
        ("agency", ("NIOSH",)),
        ("model", ("Halcyra 9100+", "9100+")),
        ("manufacturer", ("Vexholm (Brisdaal)", "Vexholm", "Brisdaal")),
    }
    assert not {"approval_number", "body_number"} & first.stated
    assert tally(first, shown("approval_number", "TC-84A-1111")) == Tally(6, 0, 0, 0, 0, 0)
    assert tally(first, shown("lot", "2024")).invented == 1
    assert tally(last, shown("lot", "2024")).invented == 0


@pytest.mark.parametrize(
    ("value", "grade", "lost"),
    [("N95", "KN95", True), ("P2", "FFP2", True), ("95", "R95", True), ("KN95", "KN95", False),
     ("P95", "KN95", False), ("FFP3", "FFP2", False)],
)  # fmt: skip
def test_a_loss_is_what_is_left_of_a_class(value: str, grade: str, lost: bool) -> None:
    assert is_loss(value, grade) == lost


def test_a_class_that_is_asked_with_the_whole_one_beside_it_is_no_loss() -> None:
    whole = Alternative(printed="KN95", value="KN95", probability=0.3)
    asked = Mark(mark="filter_class", printed="N95", value="N95", standing="doubtful",
                    probability=0.6, alternatives=(whole,))  # fmt: skip
    assert answer_of("KN95", [asked]) == "asked, with the whole class"
    assert answer_of("KN95", [replace(asked, alternatives=())]) == "asked, without"
    assert answer_of("KN95", [replace(asked, standing="read")]) == "loss as read"
    assert answer_of("N95", [replace(asked, standing="read")]) == "read"
    assert answer_of("N95", []) == "not seen"
