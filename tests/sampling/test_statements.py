"""What may be said, word for word, and what is never said."""

from typing import Any, cast

import pytest

from inkwitness import phrases
from inkwitness.sampling.answers import (
    answer_bound,
    answer_cartons,
    answer_discovery,
    answer_draw,
    answer_estimate,
    answer_plan,
    answer_process,
)
from inkwitness.sampling.arguments import Looked
from inkwitness.sampling.cartons import CartonQuestion
from inkwitness.sampling.statements import Statement, after_sample
from inkwitness.use_cases import plans

SAY = phrases.shipped().of("en")
ENGLISH = {
    key.removeprefix("sampling."): text
    for key, text in SAY.texts.items()
    if key.startswith("sampling.")
}


def _keys(statements: tuple[Statement, ...]) -> list[str]:
    return [statement.key for statement in statements]


def _text(statements: tuple[Statement, ...], key: str) -> str:
    return next(one.said(SAY) for one in statements if one.key == key)


def test_none_differed():
    # 20,000 / 312 / sensitivity 0.95 / 95 %: at most 199 not excluded. Computed by scipy.
    said = after_sample(Looked(20_000, 312, 0, seed="C-117;dice 4 1 6"), "0.95", "0.95")
    assert said[0].said(SAY) == (
        "From the list of 20,000 units, 312 were drawn at random (seed C-117;dice 4 1 6) and "
        "looked at; none differed. If 200 or more of the 20,000 (1 %) had differed in a way that "
        "this check sees (sensitivity 0.95), a sample drawn like this would have shown at least "
        "one with probability of at least 95 %."
    )
    assert said[1].said(SAY) == (
        "19,688 of the 20,000 units were not looked at. Nothing is known about any one of them."
    )
    assert _keys(said) == ["after.none_differed", "after.not_looked_at", "caveat"]


def test_with_a_check_that_misses_nothing_the_same_sample_excludes_more():
    said = after_sample(Looked(20_000, 312, 0), "0.95")
    assert said[0].values["nonconforming"] == 190


def test_one_confirmed_conflict_ends_the_sampling_question():
    # 1 of 296 from 20,000: 4 to 316, 95 % on each side. Computed by scipy.
    said = after_sample(Looked(20_000, 296, 1), "0.95")
    assert said[0].said(SAY) == (
        "Confirmed to differ: 1 of 296. One confirmed conflict ends the sampling question: hold "
        "the consignment."
    )
    assert said[1].said(SAY) == (
        "With 95 % confidence on each side, at least 4 and at most 316 of the 20,000 units differ "
        "in a way that this check sees (sensitivity 1)."
    )
    assert "after.not_looked_at" in _keys(said)


@pytest.mark.parametrize("design", ["random", "cartons", "chosen"])
@pytest.mark.parametrize("differed", [0, 2])
def test_what_was_not_opened_is_said_each_time(design, differed):
    looked = Looked(40_000, 300, differed, design=design, cartons=100, opened=30)
    said = after_sample(looked, "0.95")
    assert _text(said, "after.not_looked_at").startswith("39,700 of the 40,000 units")
    assert _text(said, "after.not_opened") == "70 of 100 cartons were not opened."
    assert ("after.hold" in _keys(said)) == bool(differed)
    assert said[-1].key == "caveat"


def test_units_that_were_not_drawn_at_random_say_nothing_of_the_others():
    looked = Looked(40_000, 300, 0, design="chosen")
    answer = answer_bound(looked)
    assert answer.at_most == 39_700
    assert answer.statements[0].said(SAY) == (
        "Of 300 units looked at, 0 differed. They were not a random sample of the 40,000 units: "
        "nothing follows about the others."
    )


def test_a_draw_by_carton_speaks_of_cartons():
    answer = answer_bound(Looked(40_000, 300, 0, design="cartons", cartons=100, opened=30))
    assert answer.at_most == 39_700
    assert answer.nonconforming_cartons_at_most == 8
    assert answer.statements[0].key == "after.none_in_cartons"
    assert "If 9 or more of the cartons had been nonconforming throughout" in answer.statements[
        0
    ].said(SAY)


def test_the_same_number_from_every_carton_speaks_of_units():
    answer = answer_bound(Looked(40_000, 300, 0, design="cartons", cartons=100, opened=100))
    assert answer.at_most == 396
    assert answer.nonconforming_cartons_at_most == 0
    assert "If 397 or more of the 40,000 (0.993 %) had differed" in answer.statements[0].said(SAY)
    assert "wherever they lay" in answer.statements[0].said(SAY)


def test_a_conflict_in_a_draw_by_carton_bounds_nothing():
    answer = answer_bound(Looked(40_000, 300, 2, design="cartons", cartons=100, opened=100))
    assert (answer.at_least, answer.at_most, answer.nonconforming_cartons_at_most) == (
        2,
        39_702,
        None,
    )
    assert _keys(answer.statements)[:2] == ["after.hold", "after.some_in_cartons"]


def test_a_whole_lot_and_a_sample_that_excludes_nothing():
    assert after_sample(Looked(60, 60, 0), "0.95")[0].key == "after.all_looked_at"
    blind = Looked(10, 2, 0)
    assert after_sample(blind, "0.95", "0.1")[0].key == "after.nothing_excluded"
    carton = Looked(100, 2, 0, design="cartons", cartons=10, opened=2)
    assert after_sample(carton, "0.95", "0.1")[0].key == "after.none_in_cartons_excluded"


def test_open_units_are_counted_each_by_itself_and_at_their_worst():
    looked = Looked(1000, 100, 0, untold=2, lacking=3, set_apart=1)
    said = after_sample(looked, "0.95")
    worst = after_sample(Looked(1000, 106, 6), "0.95")[1].values["at_most"]
    assert [statement.said(SAY) for statement in said] == [
        (
            "106 of the 1,000 units were looked at. 100 have an outcome and show no conflict; "
            "6 are open, so nothing is said of the other units yet."
        ),
        (
            "Units on which a required mark was not seen: 3. They are not counted as agreeing; a "
            "person decides on each."
        ),
        (
            "Units of which nothing can be told: 2. They are not counted as agreeing; take the "
            "photos again, or the next units of the draw."
        ),
        "Units that a person set apart: 1. They are not counted as agreeing.",
        (
            f"If each of these 6 differed, at most {worst} of the 1,000 units would differ, with "
            "95 % confidence."
        ),
        "894 of the 1,000 units were not looked at. Nothing is known about any one of them.",
        ENGLISH["caveat"],
    ]
    assert answer_bound(looked).at_most == worst
    chosen = after_sample(Looked(1000, 100, 0, untold=2, design="chosen"), "0.95")
    assert _keys(chosen)[:3] == ["after.open", "after.chosen", "after.untold"]


def test_an_acceptance_number_is_offered_for_ordinary_faults_only():
    said = answer_plan(5000).statements
    assert _keys(said) == ["plan.use", "plan.only_for", "plan.single_lot"]
    assert "makes no sense for a doubt about origin" in _text(said, "plan.only_for")
    assert "plan.whole_lot" in _keys(answer_plan(10, aql="0.65").statements)
    assert "plan.between" in _keys(answer_plan(2000, aql="0.65", inspection="reduced").statements)


def test_no_sample_size_is_explained():
    answer = answer_discovery(100, nonconforming=1, sensitivity="0.9", cartons=10)
    assert answer.n is None
    assert answer.per_carton is None
    assert answer.statements[0].said(SAY) == (
        "No sample size can do it. Even if all 100 units are looked at, the chance of noticing 1 "
        "nonconforming is 90 %, below the 95 % asked for. Raise the sensitivity (better photos, a "
        "second reader), ask for less confidence, or ask about more nonconforming units."
    )
    assert answer_cartons(CartonQuestion(100, 1, 1, sensitivity="0.9")).plan is None


def test_forty_thousand_units_in_a_hundred_cartons():
    answer = answer_discovery(40_000, nonconforming_share="0.01", cartons=100)
    assert (answer.n, answer.nonconforming, answer.per_carton) == (297, 400, 3)
    assert answer.statements[-1].said(SAY) == (
        "By carton: look at 3, drawn at random, in every one of the 100 cartons, 300 units in all. "
        "Wherever 400 nonconforming units lie, at least one is noticed with probability of at "
        "least 95.1 % (sensitivity 1), and no carton stays closed."
    )
    assert "discovery.whole_lot" in _keys(answer_discovery(10, nonconforming=1).statements)


def test_no_more_flags_than_false_alarms_explain():
    # R package epiR, manual (read): 6 of 151 with specificity 0.927
    answer = answer_estimate(151, 6, "0.964", "0.927")
    assert _keys(answer.statements) == ["estimate.no_more"]
    assert _keys(answer_estimate(120, 25, "0.9", "0.99").statements) == ["estimate.share"]


def _everything() -> list[Statement]:
    """Statements of every kind, for the checks on words."""
    said: list[Statement] = []
    for design in ("random", "cartons", "chosen"):
        for differed, untold, opened in ((0, 0, 100), (0, 3, 30), (2, 3, 30)):
            looked = Looked(
                40_000, 300, differed, untold, "s", design, 100, opened, lacking=untold, set_apart=1
            )
            said += after_sample(looked, "0.95", "0.9")
            looked = Looked(40_000, 300, differed, 0, "s", design, 100, opened)
            said += after_sample(looked, "0.95", "0.9")
    said += after_sample(Looked(60, 60, 0), "0.95")
    said += after_sample(Looked(10, 2, 0), "0.95", "0.1")
    said += after_sample(Looked(100, 2, 0, design="cartons", cartons=10, opened=2), "0.95", "0.1")
    said += answer_process(100, 1).statements
    for inspection in ("normal", "reduced"):
        said += answer_plan(10, aql="0.65", inspection=inspection).statements
    said += answer_plan(2000, aql="0.65", inspection="reduced").statements
    said += answer_discovery(10, nonconforming=1).statements
    said += answer_discovery(100, nonconforming=1, sensitivity="0.9", cartons=10).statements
    said += answer_discovery(40_000, nonconforming=400, cartons=100).statements
    said += answer_cartons(CartonQuestion(100, 400, 5)).statements
    said += answer_cartons(CartonQuestion(100, 1, 1, sensitivity="0.9")).statements
    said += answer_estimate(151, 6, "0.964", "0.927").statements
    said += answer_estimate(120, 25, "0.9", "0.99").statements
    units = ["A/C1..C3/U1..U9"]
    said += answer_draw(units, "s", n=2).statements
    said += answer_draw(units, "s", n=2, lots=True).statements
    said += answer_draw(units, "s", cartons=2, per_carton=2).statements
    asked = plans.Question(
        "discovery",
        "s",
        nonconforming_share="0.5",
        units=("A/C1..C3/U1..U9", "B/C4..C6/U1..U9"),
        each_lot=True,
        open_cartons=4,
    )
    kept = cast("list[dict[str, Any]]", plans.make(asked, {"lots": []})["statements"])
    said += [Statement(one["key"], one["values"]) for one in kept]
    return said


@pytest.mark.parametrize("language", sorted(phrases.shipped().languages))
def test_every_statement_is_said_in_every_language(language):
    say = phrases.shipped().of(language)
    said = _everything()
    for statement in said:
        assert "{" not in statement.said(say)
    sentences = {key for key in ENGLISH if not key.startswith("curve.") and key != "seed"}
    assert sentences == {statement.key for statement in said}


def test_a_statement_is_a_key_and_values_and_no_sentence():
    """Records keep what can be said in any language."""
    said = after_sample(Looked(20_000, 312, 0, seed="C-117"), "0.95")[0]
    assert said.values["seed"] == "C-117"
    assert not [value for value in said.values.values() if " " in str(value).replace(" %", "")]


def test_the_one_denial_is_made():
    assert ENGLISH["caveat"].endswith("Not proof of authenticity.")
