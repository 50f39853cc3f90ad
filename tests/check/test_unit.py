"""Several photos of one unit, checked together.

Expectations: the project's decisions (marks keep their place; what the unit itself must carry is
not made up for by its box; nothing is concluded between two items of one photo), and the marks that
42 CFR 84.33 and EN 149:2001+A1:2009, clause 9, ask for on the unit and on its packaging.
"""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from inkwitness.check.contract import UnitCheckOut
from inkwitness.check.outward import unit_check_out
from inkwitness.check.pipeline import RulesJudge
from inkwitness.check.values import Check, UnitPhoto
from inkwitness.cli.main import app
from inkwitness.cli.serving.demo import SAMPLES
from inkwitness.errors import BadInput
from inkwitness.findings.values import Circumstances, Surface, Whole
from inkwitness.holders.files.importing import read_csv
from inkwitness.holders.values import HolderList
from tests.api import typed_checker
from tests.api.typed_checker import DAY

LIST = (
    "scheme,approval_number,holder,models,filter_class,status,checked_on\n"
    "us-niosh,TC-84A-9981,Vexholm Filtration,VX-910,N95,current,2031-03-01\n"
    "eu-en149,,Halcyra Respire,HR-F2,FFP2,current,2031-03-01\n"
)


@pytest.fixture(scope="module")
def checker() -> RulesJudge:
    return typed_checker.build_judge(30)


def photo(
    checker: RulesJudge,
    name: str,
    surface: Surface = "facepiece",
    whole: Whole = "yes",
    declared: tuple[str, ...] = (),
    held: HolderList | None = None,
) -> UnitPhoto:
    about = Circumstances(DAY, surface, whole, frozenset(declared))
    reading = typed_checker.typed(name)
    return UnitPhoto(Check(reading, checker.judge(reading, (), about, held)), about)


def together(
    checker: RulesJudge, *photos: UnitPhoto, held: HolderList | None = None
) -> UnitCheckOut:
    return unit_check_out(checker.judge_unit(photos, DAY, held), checker.rulebook)


def rules(found: UnitCheckOut, *severities: str) -> set[str]:
    return {one.rule for one in found.findings if one.severity in severities}


def test_a_facepiece_and_a_box_that_agree_come_to_no_conflict(checker: RulesJudge) -> None:
    found = together(
        checker, photo(checker, "us-face.png"), photo(checker, "us-box.png", "inner_box")
    )
    assert found.outcome == "no_conflict_found"
    assert {(one.mark.mark, one.surface, one.photo) for one in found.placed} >= {
        ("approval_number", "facepiece", 0),
        ("approval_number", "inner_box", 1),
    }
    assert found.marks["approval_number"].mark.value == "TC-84A-9981"


def test_a_facepiece_and_a_box_that_differ_are_a_conflict_with_both_places(
    checker: RulesJudge,
) -> None:
    face = photo(checker, "us-face.png")
    box = photo(checker, "us-box-other-class.png", "inner_box")
    found = together(checker, face, box)
    assert face.check.judgement.outcome == box.check.judgement.outcome == "no_conflict_found"
    assert found.outcome == found.aspects["marks"] == "conflict"
    (differ,) = [one for one in found.findings if one.rule == "x-facepiece-and-box-differ"]
    assert [(p.photo, p.surface, p.mark.printed, p.mark.line) for p in differ.places] == [
        (0, "facepiece", "N95", 2),
        (1, "inner_box", "P95", 2),
    ]
    assert differ.says.startswith("The filter class is N95 on the facepiece and P95 on the box.")


def test_a_difference_that_rests_on_a_doubtful_mark_is_a_question(checker: RulesJudge) -> None:
    face = photo(checker, "us-face.png")
    box = photo(checker, "us-box-other-class.png", "inner_box")
    item = box.check.judgement.items[0]
    marks = tuple(
        replace(mark, standing="doubtful") if mark.mark == "filter_class" else mark
        for mark in item.marks
    )
    doubtful = replace(box.check.judgement, items=(replace(item, marks=marks),))
    doubted = UnitPhoto(replace(box.check, judgement=doubtful), box.circumstances)
    found = together(checker, face, doubted)
    assert [one.question for one in found.findings if one.rule == "x-facepiece-and-box-differ"] == [
        True
    ]
    assert found.outcome == "cannot_tell"


def test_what_may_stand_on_another_surface_is_not_missing_in_the_unit(
    checker: RulesJudge,
) -> None:
    """42 CFR 84.33: the number on the facepiece or its harness."""
    face = photo(checker, "us-face-without-number.png")
    strap = photo(checker, "us-strap-number.png", "strap")
    found = together(checker, face, strap)
    assert face.check.judgement.outcome == "missing"
    assert found.outcome == "no_conflict_found"
    assert found.marks["approval_number"].surface == "strap"


def test_a_lot_that_may_stand_on_the_box_is_looked_for_there(checker: RulesJudge) -> None:
    face = photo(checker, "en-face.png")
    assert "eu-lot-may-stand-elsewhere" in {
        one.rule for one in face.check.judgement.items[0].findings
    }
    found = together(checker, face, photo(checker, "en-box-lot.png", "inner_box"))
    assert not rules(found, "missing")
    assert "eu-lot-may-stand-elsewhere" not in {one.rule for one in found.findings}
    assert found.outcome == "no_conflict_found"


def test_print_on_the_box_does_not_stand_in_for_the_facepiece(checker: RulesJudge) -> None:
    """EN 149:2001+A1:2009, clause 9: the type on the facepiece and on the packaging."""
    face = photo(checker, "en-face-name-only.png")
    found = together(checker, face, photo(checker, "en-box-lot.png", "inner_box"))
    (model,) = [one for one in found.findings if one.rule == "eu-model-absent"]
    assert (model.severity, model.values["surface"]) == ("missing", "facepiece")
    assert found.outcome == "missing"


def test_a_mark_of_the_packaging_is_missing_only_where_packaging_was_photographed(
    checker: RulesJudge,
) -> None:
    face = photo(checker, "en-face.png")
    assert not rules(together(checker, face, photo(checker, "nothing.png", "strap")), "missing")
    bare = together(checker, face, photo(checker, "en-face.png", "inner_box"))
    assert rules(bare, "missing") == {"eu-pack-shelf-life-absent"}
    part = together(checker, face, photo(checker, "en-face.png", "inner_box", "no"))
    assert not rules(part, "missing")
    assert part.outcome == "cannot_tell"


def test_a_photo_without_print_leaves_doubt_until_a_person_says_that_there_is_none(
    checker: RulesJudge,
) -> None:
    face = photo(checker, "us-face.png")
    unread = together(checker, face, photo(checker, "nothing.png", "strap"))
    assert (unread.aspects["reading"], unread.outcome) == ("cannot_tell", "cannot_tell")
    said = photo(checker, "nothing.png", "strap", declared=("no_print_seen",))
    assert together(checker, face, said).outcome == "no_conflict_found"


def test_two_photos_of_one_surface_that_differ_ask_whether_they_show_one_unit(
    checker: RulesJudge,
) -> None:
    found = together(
        checker, photo(checker, "us-face.png"), photo(checker, "us-box-other-class.png")
    )
    (asked,) = [one for one in found.findings if one.rule == "x-photos-of-one-surface-differ"]
    assert (asked.question, found.outcome) == (True, "cannot_tell")
    assert "two units" in asked.says


def test_nothing_is_concluded_between_two_items_of_one_photo(checker: RulesJudge) -> None:
    """A second box in the picture is another box: judged alone, its outcome kept in sight."""
    face = photo(checker, "us-face.png")
    boxes = photo(checker, "us-two-boxes.png", "inner_box")
    found = together(checker, face, boxes)
    assert "x-facepiece-and-box-differ" not in {one.rule for one in found.findings}
    assert not any(place.mark.printed == "N94" for place in found.placed)
    (other,) = found.others
    assert (other.photo, other.item, other.outcome) == (1, 1, "conflict")
    assert found.outcome == "conflict"


def test_the_list_is_compared_with_the_merged_marks(checker: RulesJudge, tmp_path: Path) -> None:
    """EN 149 is looked up by name and model: here one on the box only, one on both."""
    (tmp_path / "list.csv").write_text(LIST, encoding="utf-8")
    held = read_csv(tmp_path / "list.csv")
    face = photo(checker, "en-face-name-only.png")
    alone = photo(checker, "en-face-name-only.png", held=held).check.judgement
    found = together(checker, face, photo(checker, "en-box-lot.png", "inner_box"), held=held)
    assert alone.holder_match.state == "nothing_to_look_up"
    assert found.holder_match.state == "listed_agrees"
    assert found.holder_match.looked_up == "HALCYRA RESPIRE HR-F2 2999"


@pytest.mark.parametrize(("box", "agrees"), [("whole", True), ("short", False)])
def test_a_maker_on_the_box_agrees_with_the_list_only_where_its_name_is_whole(
    checker: RulesJudge, tmp_path: Path, box: str, agrees: bool
) -> None:
    """42 CFR 84.33 lets a facepiece carry a readily understood abbreviation; a box beside it is
    another surface. What is not agreement is still looked for, and found on the second photo."""
    (tmp_path / "list.csv").write_text(LIST, encoding="utf-8")
    held = read_csv(tmp_path / "list.csv")
    face = photo(checker, "us-face-nameless.png")
    match = together(
        checker, face, photo(checker, f"us-box-{box}-name.png", "inner_box"), held=held
    ).holder_match
    states = {field.field: field.state for field in match.fields}
    searched = [hit for hit in match.searched if hit.field == "manufacturer"]
    assert (states["manufacturer"] == "agrees") is agrees
    assert [(hit.state, hit.photo, hit.printed) for hit in searched] == (
        [] if agrees else [("printed", 1, "VEXHOLM")]
    )


def test_a_box_of_another_number_differs_from_the_list_too(
    checker: RulesJudge, tmp_path: Path
) -> None:
    (tmp_path / "list.csv").write_text(LIST, encoding="utf-8")
    face = photo(checker, "us-face.png")
    box = photo(checker, "us-box-other-class.png", "inner_box")
    found = together(checker, face, box, held=read_csv(tmp_path / "list.csv"))
    assert (found.holder_match.state, found.aspects["list"]) == ("listed_differs", "conflict")


def test_a_unit_is_confirmed_only_where_every_photo_is(checker: RulesJudge) -> None:
    face, box = photo(checker, "us-face.png"), photo(checker, "us-box.png", "inner_box")

    def said(one: UnitPhoto) -> UnitPhoto:
        judgement = replace(one.check.judgement, basis="confirmed")
        return replace(one, check=replace(one.check, judgement=judgement))

    assert together(checker, said(face), box).basis == "reading"
    assert together(checker, said(face), said(box)).basis == "confirmed"


def test_a_unit_needs_a_photo(checker: RulesJudge) -> None:
    with pytest.raises(BadInput, match="at least one photo"):
        checker.judge_unit((), DAY, None)


# ---- on the command line, read for real ---------------------------------------------------------


def run(*args: str) -> tuple[int, list[dict[str, Any]]]:
    fixed = ("--on", "2026-11-25", "--holders", str(SAMPLES / "holders.csv"), "--json")
    result = CliRunner().invoke(app, ["check", *args, *fixed])
    return result.exit_code, [json.loads(line) for line in result.stdout.splitlines()]


def test_the_command_adds_one_object_for_the_unit() -> None:
    code, told = run(
        "--unit",
        f"{SAMPLES / 'us-complete.jpg'}:facepiece:yes",
        f"{SAMPLES / 'us-carton.jpg'}:carton",
    )
    assert [sorted({"photo", "photos"} & set(one)) for one in told] == [
        ["photo"],
        ["photo"],
        ["photos"],
    ]
    assert [(one["surface"], one["whole"]) for one in told[2]["photos"]] == [
        ("facepiece", "yes"),
        ("carton", "unknown"),
    ]
    # name and model stand there without a word beside them: a person is asked what they are
    assert told[2]["outcome"] == "cannot_tell"
    assert {one["mark"]["named_by"] for one in told[2]["placed"]} >= {"place"}
    assert code == 1  # the exit code of everything but no conflict found
    UnitCheckOut.model_validate(told[2])


def test_the_command_finds_a_facepiece_in_the_wrong_box() -> None:
    code, told = run(
        "--unit",
        f"{SAMPLES / 'us-model-differs.jpg'}:facepiece",
        f"{SAMPLES / 'us-carton.jpg'}:carton",
    )
    differing = [one for one in told[2]["findings"] if one["rule"] == "x-facepiece-and-box-differ"]
    # the model stands on the facepiece without a label, so it contradicts nothing
    assert {one["values"]["mark"] for one in differing} >= {"approval_number"}
    assert all({place["photo"] for place in one["places"]} == {0, 1} for one in differing)
    assert (code, told[2]["outcome"]) == (1, "conflict")


def test_without_the_option_a_colon_is_part_of_the_name_and_nothing_is_added(
    tmp_path: Path,
) -> None:
    odd = tmp_path / "face.jpg:facepiece"
    odd.write_bytes((SAMPLES / "us-complete.jpg").read_bytes())
    _, told = run(str(odd))
    assert [one["photo"] for one in told] == ["face.jpg:facepiece"]
    assert told[0]["items"][0]["whole"] == "unknown"


def test_a_unit_of_which_a_photo_cannot_be_opened_is_not_checked(tmp_path: Path) -> None:
    code, told = run(
        "--unit", f"{SAMPLES / 'us-complete.jpg'}:facepiece", f"{tmp_path}/none.jpg:strap"
    )
    assert code == 2
    assert [one["photo"] for one in told] == ["us-complete.jpg"]
