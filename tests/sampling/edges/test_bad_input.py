"""Input that cannot be used gets a sentence that says what to change."""

import re
from decimal import Decimal
from fractions import Fraction

import pytest

from inkwitness import phrases
from inkwitness.errors import BadInput
from inkwitness.sampling import answers
from inkwitness.sampling.arguments import Looked, exact, nonconforming_units, percent, plain
from inkwitness.sampling.bounds import most_nonconforming
from inkwitness.sampling.cartons import CartonQuestion, notice_cartons
from inkwitness.sampling.discovery import discovery_n
from inkwitness.sampling.draw import draw, draw_over_cartons, draw_over_lots
from inkwitness.sampling.false_alarms import estimate
from inkwitness.sampling.frame import names
from inkwitness.sampling.plans import plan_for_lot, single_plan

EN = phrases.shipped().of("en")
CASES = {
    "sample over lot": (
        lambda: most_nonconforming(10, 11, 0, "0.95"),
        "The sample is 11, the lot only 10. Look at 10 or fewer, or correct the lot.",
    ),
    "share 0": (
        lambda: nonconforming_units(10, 0),
        "Give the smallest share you want to notice, above 0 and at most 1",
    ),
    "share 5": (lambda: nonconforming_units(10, 5), "such as 0.01 or 1 %."),
    "negative share": (
        lambda: nonconforming_units(10, "-0.1"),
        "The nonconforming share is -0.1. It cannot be negative: give a number above 0.",
    ),
    "negative whole": (lambda: exact(-1, "called.share"), "It cannot be negative"),
    "negative lot": (
        lambda: discovery_n(-5, 1, "0.95"),
        "The lot is -5. Give the number of units in it, from 1 to 1,000,000,000.",
    ),
    "lot too large": (lambda: discovery_n(10**10, 1, "0.95"), "from 1 to 1,000,000,000."),
    "confidence 1": (
        lambda: discovery_n(10, 1, 1),
        "The confidence is 1. Give one above 0 and below 1, such as 0.95: no sample short of",
    ),
    "confidence 0": (lambda: discovery_n(10, 1, 0), "above 0 and below 1"),
    "confidence 95": (lambda: discovery_n(10, 1, 95), "such as 0.95"),
    "no number": (
        lambda: discovery_n(10, 1, "high"),
        "The confidence is “high”, which is not a number. Write it as 0.05 or as 5 %.",
    ),
    "not finite": (lambda: nonconforming_units(10, float("nan")), "which is not a number"),
    "endless digits": (lambda: nonconforming_units(10, "0." + "1" * 500), "which is not a number"),
    "sensitivity 0": (lambda: discovery_n(10, 1, "0.95", 0), "such as 0.95."),
    "specificity 2": (lambda: estimate(10, 1, "0.9", 2), "such as 0.99."),
    "no nonconforming": (
        lambda: discovery_n(10, 0, "0.95"),
        "Give at least 1 and at most the 10 units",
    ),
    "nonconforming twice": (
        lambda: answers.answer_discovery(10, nonconforming_share="0.1", nonconforming=1),
        "Give either the nonconforming share or the number of nonconforming units, not both.",
    ),
    "nonconforming never": (
        lambda: answers.answer_discovery(10),
        "Give the nonconforming share (such as",
    ),
    "none looked at": (lambda: most_nonconforming(10, 0, 0, "0.95"), "Look at one or more first"),
    "none looked at, process": (lambda: answers.answer_process(0, 0), "Look at one or more first"),
    "process too large": (
        lambda: answers.answer_process(10**7, 0),
        "one by one, at most 1,000,000.",
    ),
    "more differ than looked at": (
        lambda: most_nonconforming(10, 5, 6, "0.95"),
        "6 differed of 5 looked at. Give a number from 0 to 5.",
    ),
    "more open than left": (lambda: Looked(10, 8, 0, untold=2, lacking=1), "Count each unit once."),
    "a count below 0": (lambda: Looked(10, 8, 0, set_apart=-1), "Give 0 or more."),
    "design": (lambda: Looked(10, 8, 0, design="top layer"), "Use one of random, cartons, chosen"),
    "design without cartons": (lambda: Looked(10, 8, 0, design="cartons"), "give both."),
    "cartons alone": (lambda: Looked(10, 8, 0, cartons=2), "or neither."),
    "cartons over lot": (lambda: Looked(10, 8, 0, cartons=11, opened=2), "one carton for each"),
    "opened over looked": (lambda: Looked(10, 2, 0, cartons=5, opened=3), "Count only cartons"),
    "opened over cartons": (lambda: Looked(10, 8, 0, cartons=5, opened=6), "from 1 to 5."),
    "accept over n": (
        lambda: answers.answer_curve(10, 5, accept=5),
        "for a sample of 5. Give one from 0 to 4.",
    ),
    "level": (
        lambda: plan_for_lot(100, "IV"),
        "The inspection level is “IV”. Use one of S-1, S-2, S-3, S-4, I, II, III.",
    ),
    "inspection": (
        lambda: plan_for_lot(100, inspection="strict"),
        "The inspection is “strict”. Use one of normal, tightened, reduced.",
    ),
    "letter": (lambda: single_plan("I", "1.0"), "Use one of A, B, C"),
    "aql": (lambda: plan_for_lot(100, aql="1.6"), "Use one of 0.010, 0.015"),
    "aql no number": (lambda: plan_for_lot(100, aql="low"), "The AQL is “low”. Use one of"),
    "aql over 10": (lambda: plan_for_lot(100, aql="15"), "use 10 or less."),
    "lot of one": (lambda: plan_for_lot(1), "look at the one unit there is."),
    "no cartons": (lambda: CartonQuestion(0, 10, 1), "Give at least 1."),
    "empty cartons": (lambda: CartonQuestion(10, 0, 1), "Give at least 1."),
    "nonconforming cartons": (lambda: CartonQuestion(10, 10, 11), "Give a number from 1 to 10."),
    "nonconforming inside": (lambda: CartonQuestion(10, 5, 1, 6), "Give a number from 1 to 5."),
    "opened": (lambda: notice_cartons(CartonQuestion(10, 5, 1), 11, 1), "from 1 to 10."),
    "looked in carton": (lambda: notice_cartons(CartonQuestion(10, 5, 1), 1, 6), "from 1 to 5."),
    "no information": (lambda: estimate(10, 1, "0.5", "0.5"), "tells nothing."),
    "no seed": (lambda: draw(("a", "b"), 1, " "), "Make one in public after the list is fixed"),
    "unencodable seed": (lambda: draw(("a", "b"), 1, "\ud800"), "Use letters"),
    "no units": (lambda: names([]), "Name every unit once"),
    "blank unit": (lambda: names(["a", ""]), "Line 2 of the list"),
    "spaced unit": (lambda: names([" a"]), "Remove blank names"),
    "line break in a unit": (lambda: names(["a\nb"]), "Remove blank names"),
    "double unit": (lambda: names(["C1..C3", "C2"]), "C2 is twice in the list of units."),
    "too many units": (lambda: names(["C1..C1000/U1..U1000"]), "Draw cartons first"),
    "too long a range": (lambda: names(["C1..C999999999"]), "Draw cartons first"),
    "falling range": (lambda: names(["C3..C1"]), "such as C001..C100."),
    "broken range": (lambda: names(["C3..D9"]), "such as C001..C100."),
    "draw over list": (lambda: draw(("a", "b"), 3, "s"), "Give a number from 1 to 2."),
    "negative reserve": (lambda: draw(("a", "b"), 1, "s", reserve=-1), "Give 0 or more."),
    "no lot in name": (lambda: draw_over_lots(("a",), 1, "s"), "which lot it is in"),
    "no carton in name": (lambda: draw_over_cartons(("a",), 1, 1, "s"), "which carton it is in"),
    "short carton": (
        lambda: draw_over_cartons(("C1/a", "C1/b", "C2/a"), 2, 2, "s"),
        "C2 holds too few units: 1 where 2 are wanted.",
    ),
    "too many cartons": (lambda: draw_over_cartons(("C1/a",), 2, 1, "s"), "from 1 to 1."),
    "draw without n": (lambda: answers.answer_draw(["a"], "s"), "Say how many units to draw"),
    "half a carton draw": (lambda: answers.answer_draw(["a"], "s", cartons=1), "or neither."),
    "two kinds of draw": (
        lambda: answers.answer_draw(["C1/a"], "s", n=1, cartons=1, per_carton=1),
        "leave out the number to draw",
    ),
    "cartons for more than the lot": (
        lambda: answers.answer_discovery(10, nonconforming=1, cartons=11),
        "Give at most one carton for each unit.",
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_bad_input_says_what_to_change(case):
    call, sentence = CASES[case]
    with pytest.raises(BadInput) as caught:
        call()
    assert sentence in caught.value.message
    assert "{" not in caught.value.message


def test_every_sentence_about_bad_input_is_used():
    said = []
    for call, _ in CASES.values():
        with pytest.raises(BadInput) as caught:
            call()
        said.append(caught.value.message)
    for key, sentence in EN.texts.items():
        if key.startswith("error.sample_") and key != "error.sample_file":  # files: test_commands
            words = re.sub(r"\\\{\w+\\\}", ".*", re.escape(sentence))
            assert any(re.fullmatch(words, message) for message in said), key


@pytest.mark.parametrize("value", ["0.05", "5 %", "5%", 0.05, Decimal("0.05"), Fraction(1, 20)])
def test_a_number_may_be_given_in_many_ways_and_stays_exact(value):
    assert exact(value, "called.share") == Fraction(1, 20)


def test_a_small_float_is_read_by_its_shortest_decimal():
    assert exact(1e-05, "called.share") == Fraction(1, 100_000)


@pytest.mark.parametrize(
    ("number", "up", "text"),
    [
        (0.95, False, "95 %"),
        (1 - 0.05, False, "95 %"),
        (0.9500001, False, "95 %"),
        (0.94999, False, "94.9 %"),
        (0.9999999999999999, False, "99.9999999999 %"),
        (1.0, False, "100 %"),
        (0.0, True, "0 %"),
        (Fraction(1, 3), False, "33.3 %"),
        (Fraction(1, 3), True, "33.4 %"),
        (Fraction(1, 40_000), True, "0.0025 %"),
    ],
)
def test_a_percentage_never_claims_more_than_was_computed(number, up, text):
    assert percent(number, up=up) == text


def test_a_decimal_is_shown_as_it_was_given():
    assert plain(Fraction(19, 20)) == "0.95"
    assert plain(Fraction(100)) == "100"
