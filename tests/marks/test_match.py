"""Matching: what is changed to make a pattern hold is always told, and never the ink.

Pairs of look-alikes: dossier on markings, 0.5. Full-width forms and dashes: Unicode NFKC (UAX 15).
"""

import re
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inkwitness.marks.grammar import Grammar, Pattern
from inkwitness.marks.match import find, loosen, value_of
from inkwitness.marks.text import CONFUSABLE, confusable, look_alike, ready

NUMBER = Grammar(
    "approval_number",
    "us-niosh",
    (Pattern(r"(?<![A-Z0-9])TC-84A-([0-9]{4})(?![A-Z0-9])", "TC-84A-{1}", (("serial", 1),)),),
)
STRICT = Grammar("class", "x", (Pattern(r"(?<![A-Z0-9])FFP4(?![A-Z0-9])", "FFP4", (), False),))


def test_exact() -> None:
    found = find("NIOSH tc–84a–3057 N95", NUMBER)[0]
    assert (found.printed, found.value, found.nearness) == ("tc–84a–3057", "TC-84A-3057", "exact")
    assert found.parts == (("serial", "3057"),)
    assert found.changes == ()


def test_letter_o_for_zero_is_a_look_alike() -> None:
    found = find("TC-84A-3O57", NUMBER)[0]
    assert (found.value, found.nearness) == ("TC-84A-3057", "look_alike")
    assert found.changes == ((8, "O", "0"),)
    assert found.printed == "TC-84A-3O57"


def test_the_drawn_c_of_ce_may_be_read_as_a_bracket() -> None:
    """Only before an E with digits behind it; another bracket stays one."""
    assert ready("(€ 2797").text == "CE 2797"
    assert ready("(EN 149)").text == "(EN 149)"


def test_s_for_five_is_more_than_a_look_alike() -> None:
    found = find("TC-84A-30S7", NUMBER)[0]
    assert (found.value, found.nearness) == ("TC-84A-3057", "confusable")


def test_loosening_can_be_left_out() -> None:
    assert find("TC-84A-30S7", NUMBER, loosely=False) == ()


def test_pattern_that_may_not_be_loosened() -> None:
    assert find("FFPA", STRICT) == ()
    assert find("FFP4", STRICT)[0].value == "FFP4"


def test_too_many_changes_are_no_match() -> None:
    assert find("TG-B4A-SOSZ", NUMBER) == ()


def test_exact_place_is_not_matched_again_loosely() -> None:
    assert len(find("TC-84A-3057", NUMBER)) == 1


def test_value_of_a_whole_print() -> None:
    whole = value_of("TC-84A-3O57", NUMBER)
    assert whole is not None
    assert whole.value == "TC-84A-3057"
    assert value_of("TC-84A-30S7", NUMBER) is None
    assert value_of("NIOSH TC-84A-3057", NUMBER) is None


@given(st.from_regex(r"\ATC-84A-[0-9]{4}\Z"))
def test_every_number_of_the_form_is_found_as_it_is(number: str) -> None:
    found = find(f"x {number} y", NUMBER)
    assert [(match.value, match.nearness) for match in found] == [(number, "exact")]


@given(st.text(max_size=40))
def test_a_match_never_changes_the_ink(text: str) -> None:
    for match in find(text, NUMBER):
        assert match.printed == text[match.start : match.end]
        for at, seen, wanted in match.changes:
            assert text[at] == seen
            assert seen != wanted


@given(st.text(max_size=40))
def test_ready_text_is_nfkc_in_capitals_and_knows_its_origin(text: str) -> None:
    made = ready(text)
    assert len(made.text) == len(made.origin)
    assert list(made.origin) == sorted(made.origin)
    for letter, origin in zip(made.text, made.origin, strict=True):
        plain = unicodedata.normalize("NFKC", text[origin])
        # A dash, a drawn E and a plus stand for several signs (see `text.ready`).
        assert letter in "-E+" or letter in plain or letter in plain.upper()


@pytest.mark.parametrize("dash", "‐‑‒–—―−﹣－")
def test_every_dash_is_one(dash: str) -> None:
    assert ready(f"A{dash}1").text == "A-1"


def test_han_kana_and_hangul_stay() -> None:
    assert ready("医用 특급 ds2").text == "医用 특급 DS2"


def test_loosened_pattern_still_matches_what_the_pattern_matches() -> None:
    pattern = NUMBER.patterns[0].regex
    assert re.search(loosen(pattern), "TC-84A-3057")
    assert re.search(loosen(pattern), "TG-B4A-3O57")
    assert not re.search(loosen(pattern), "XTC-84A-3057")


def test_confusion_has_no_direction_and_look_alikes_are_a_part_of_it() -> None:
    for one, others in CONFUSABLE.items():
        for other in others:
            assert confusable(one, other)
            assert confusable(other, one)
    assert look_alike("0", "O")
    assert not look_alike("5", "S")
