"""The operating-characteristic curve, as data and as a picture."""

import xml.etree.ElementTree as ET
from itertools import pairwise

import pytest

from inkwitness import phrases
from inkwitness.sampling.answers import answer_curve
from inkwitness.sampling.chance import binomial
from inkwitness.sampling.curve import first_below, oc_curve
from inkwitness.sampling.curve_svg import curve_svg, described

SAY = phrases.shipped().of("en")
SVG = "{http://www.w3.org/2000/svg}"


@pytest.mark.parametrize(
    ("share", "percent"), [(0.005, 99.9), (0.01, 98.4), (0.02, 78.7), (0.03, 44.3), (0.05, 6.2)]
)
def test_what_code_letter_l_at_aql_1_really_does(share, percent):
    # MIL-STD-105E, L, 1.0: 200, 5/6. Binomial, as in Table X; computed by scipy.
    assert round(100 * binomial(200, share).up_to(5), 1) == percent


@pytest.mark.parametrize(
    ("nonconforming", "n", "accept", "chance"),
    [(5, 10, 0, 0.5838), (5, 10, 1, 0.9231), (10, 10, 2, 0.94)],
)
def test_a_lot_of_a_hundred(nonconforming, n, accept, chance):
    # Kenett, Zacks and Gedeck, Industrial Statistics, ch. 11, printed values, read.
    (point,) = oc_curve(100, n, accept, marks=(nonconforming,)).marked
    assert point.chance == pytest.approx(chance, abs=5e-5)


def test_the_curve_falls_from_certainty_to_next_to_nothing():
    curve = oc_curve(40_000, 297, marks=(400,))
    assert (curve.points[0].nonconforming, curve.points[0].chance) == (0, 1.0)
    assert all(left.chance > right.chance for left, right in pairwise(curve.points))
    assert curve.points[-1].chance < 0.002
    assert 50 <= len(curve.points) <= 125
    assert [point.nonconforming for point in curve.marked] == [400]
    assert curve.marked[0] in curve.points
    assert curve.marked[0].chance <= 0.05


@pytest.mark.parametrize(("lot", "n"), [(1, 1), (2, 1), (5, 5), (100, 1), (1_000_000_000, 3)])
def test_a_curve_of_any_size_can_be_drawn(lot, n):
    curve = oc_curve(lot, n)
    assert curve.points[0].nonconforming == 0
    assert curve.points[-1].nonconforming <= lot
    ET.fromstring(curve_svg(curve, SAY))


def test_where_the_curve_is_at_one_half():
    # 10 of 100 looked at: P(none | D = 6) = 0.5223, P(none | D = 7) = 0.4667. Computed.
    half = first_below(oc_curve(100, 10), 0.5)
    assert (half.nonconforming, round(half.chance, 4)) == (7, 0.4667)


def test_the_picture_has_a_title_and_says_in_words_what_it_shows():
    curve = answer_curve(5000, 290, nonconforming_share="0.01")
    picture = ET.fromstring(curve_svg(curve, SAY))
    title, desc = picture.find(f"{SVG}title"), picture.find(f"{SVG}desc")
    assert title is not None
    assert desc is not None
    assert picture.get("role") == "img"
    assert picture.get("aria-labelledby") == f"{title.get('id')} {desc.get('id')}"
    assert title.text == "Chance that 290 of 5,000 units show nothing"
    assert desc.text == described(curve, SAY)
    assert desc.text.startswith("The line falls from 100 % with no nonconforming unit to ")


def test_the_picture_needs_no_colour_and_marks_carry_their_words():
    picture = ET.fromstring(curve_svg(answer_curve(5000, 290, nonconforming_share="0.01"), SAY))
    used = {
        element.get(name)
        for element in picture.iter()
        for name in ("fill", "stroke")
        if element.get(name)
    }
    assert used == {"currentColor", "none"}
    words = [element.text for element in picture.iter(f"{SVG}text")]
    assert "50 nonconforming: 4.97 %" in words
    assert "nonconforming units in the lot" in words


def test_the_picture_of_a_plan_names_its_numbers():
    assert "within the plan 200, 7/8" in curve_svg(answer_curve(5000, 200, accept=7), SAY)
