"""The normal form of numbers, and the distance that shows where two of them differ."""

import csv
from collections import Counter
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rapidfuzz.distance import OSA

from inkwitness.holders import near
from inkwitness.holders.numbers import (
    NEAR_LIMIT,
    align,
    distance,
    folded,
    normal_form,
    spaced_form,
)

PAIRS = Path(__file__).with_name("number_pairs.csv")
_numbers = st.text(st.sampled_from("0158ABGIOSX-"), max_size=8).map(normal_form)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("TC-84A-9981", "tc 84a 9981"),
        ("TC-84A-9981", "TC84A-9981"),
        ("TC-84A-9981", "TC–84A–9981"),
        ("TC-84A-9981", "ＴＣ－８４Ａ－９９８１"),
        ("ZK/31/0457", "ZK 31 0457"),
        ("VX-910", "VX910"),
    ],
)
def test_signs_width_and_case_are_no_evidence(one: str, other: str) -> None:
    """How signs vary in print: common practice; full width forms: Unicode UAX 15 (NFKC)."""
    assert normal_form(one) == normal_form(other)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("TC-84A-0042", "TC-84A-42"),
        ("3-95", "395"),
        ("12-3", "1-23"),
        ("TC-84A-9898n", "TC-84A-9898"),
        ("X+", "X"),
        ("TC-84A-99O1", "TC-84A-9901"),
    ],
)
def test_zeros_letters_and_where_digits_part_are(one: str, other: str) -> None:
    assert normal_form(one) != normal_form(other)


@given(st.text(max_size=20))
def test_a_normal_form_is_its_own_normal_form(text: str) -> None:
    assert normal_form(normal_form(text)) == normal_form(text)


@given(_numbers, _numbers)
def test_the_distance_is_zero_only_for_equal_numbers_and_the_same_both_ways(a: str, b: str) -> None:
    assert (distance(a, b) == 0) == (a == b)
    assert distance(a, b) == pytest.approx(distance(b, a))


@given(st.text(st.sampled_from("AXJ5"), max_size=8), st.text(st.sampled_from("AXJ5"), max_size=8))
def test_without_look_alikes_it_is_the_optimal_string_alignment_distance(a: str, b: str) -> None:
    """Against rapidfuzz (OSA.distance): none of A, X, J, 5 is taken for another of them."""
    assert distance(a, b) == pytest.approx(OSA.distance(a, b))


@given(_numbers, _numbers)
def test_letters_alone_are_never_further_apart_than_unweighted(a: str, b: str) -> None:
    """Against rapidfuzz: a weight is at most 1, so no distance is above the unweighted one."""
    one, other = folded(a), folded(b)
    assert distance(one, other) <= OSA.distance(one, other) + 1e-9


@given(_numbers, _numbers)
def test_an_alignment_spells_both_numbers(a: str, b: str) -> None:
    pairs = align(a, b)
    assert "".join(pair.left or "" for pair in pairs) == a
    assert "".join(pair.right or "" for pair in pairs) == b


def test_letters_that_are_taken_for_each_other_weigh_less() -> None:
    assert distance("99S1", "9951") < distance("99X1", "9951") == 1
    assert distance("99O1", "9901") < distance("99S1", "9951")


@settings(max_examples=200)
@given(_numbers, st.lists(_numbers, max_size=12))
def test_the_index_finds_what_a_look_at_each_number_finds(read: str, listed: list[str]) -> None:
    expected = {
        other: distance(read, other)
        for other in listed
        if other and other != read and distance(read, other) <= NEAR_LIMIT
    }
    found = dict(near.build(listed).near(read)) if read else {}
    assert found == (expected if read else {})


@settings(max_examples=50)
@given(st.data())
def test_a_long_alphabet_is_searched_otherwise_and_finds_the_same(data: st.DataObject) -> None:
    signs = "".join(chr(0x4E00 + i) for i in range(900))
    text = st.text(st.sampled_from(signs[:6] + "08B"), min_size=1, max_size=7)
    read = data.draw(text)
    listed = [*data.draw(st.lists(text, max_size=8)), signs]
    expected = {o for o in listed if o != read and distance(read, o) <= NEAR_LIMIT}
    assert {other for other, _ in near.build(listed).near(read)} == expected


def test_near_on_the_labelled_pairs(capsys: pytest.CaptureFixture[str]) -> None:
    """What the limit on the distance finds and lets through; `make_pairs.py` says what a label is.

    Numbers issued one after the other differ in one digit, as a misread one does: no measure of
    letters can part them, so they are counted apart.
    """
    rows = list(csv.DictReader(PAIRS.read_text("utf-8").splitlines()))
    counts: Counter[tuple[str, bool]] = Counter()
    by_rule: Counter[tuple[str, str]] = Counter()
    for row in rows:
        one, other = normal_form(row["printed"]), normal_form(row["listed"])
        found = one != other and bool(near.build([other]).near(one))
        counts[row["label"], found] += 1
        by_rule[row["label"], row["rule"]] += found
    neighbours = by_rule["other", "issued one after the other"]
    recall = counts["same", True] / (counts["same", True] + counts["same", False])
    precision = counts["same", True] / (counts["same", True] + counts["other", True])
    apart = counts["same", True] / (counts["same", True] + counts["other", True] - neighbours)
    with capsys.disabled():
        print(
            f"\nnear on {len(rows)} labelled pairs at {NEAR_LIMIT}: recall {recall:.3f}, "
            f"precision {precision:.3f}, without neighbouring serials {apart:.3f}"
        )
    assert len(rows) >= 300
    assert recall >= 0.93
    assert apart >= 0.96
    assert precision >= 0.84


def test_the_spaced_form_keeps_where_the_parts_are() -> None:
    assert spaced_form("tc#84a.9981") == "TC-84A-9981"
