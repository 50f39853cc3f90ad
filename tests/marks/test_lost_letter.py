"""A class that may have lost its first letters is asked about, never shown as read."""

import numpy as np
import pytest

from inkwitness.marks.read_marks import marks_of_lines
from inkwitness.marks.scores.lost_letter import longer_class, may_have_lost_its_first_letter
from inkwitness.marks.values import Mark
from inkwitness.photo.values import Photo, Pixels
from inkwitness.reading.read import read
from inkwitness.reading.readers.engines import Readers, load_readers
from inkwitness.reading.values import Line
from inkwitness.rulebook import load
from tests.reading.lost_letters import WAYS, drawn

AGENCY = ("agency", "NIOSH")
RESTS = load().vocabulary.printing.rests


def lost(value: str, line: Line, before: str, others: list[tuple[str, str]]) -> bool:
    return may_have_lost_its_first_letter(value, line, before, others, RESTS)


@pytest.fixture(scope="module")
def readers() -> Readers:
    return load_readers()


def line(before: float) -> Line:
    return Line(0, (), 12.0, np.zeros((64, 90, 3), np.uint8), (), before=before)


@pytest.mark.parametrize(
    ("value", "other"),
    [
        ("N95", AGENCY),
        ("P100", ("approval_number", "TC-84A-4406")),
        ("R95", ("standard", "42 CFR 84")),
        ("P2", ("standard", "AS/NZS 1716:2012")),
    ],
)
def test_on_plain_ground_print_of_its_own_scheme_backs_a_class(
    value: str, other: tuple[str, str]
) -> None:
    """N, R and P: 42 CFR 84.170; P2: AS/NZS 1716:2012 (from memory)."""
    assert not lost(value, line(0.1), "", [other])
    assert lost(value, line(0.9), "", [other])
    assert lost(value, line(0.1), "", [])


def test_print_of_another_scheme_backs_nothing() -> None:
    """GB 2626-2019 has KN and KP, EN 149:2001+A1:2009 has FFP: what is left of them is N95, P2."""
    for value, standard in (("N95", "GB 2626-2019"), ("P2", "EN 149:2001+A1:2009")):
        assert lost(value, line(0.0), "", [("standard", standard)])


def test_a_stroke_that_was_read_as_a_sign_is_a_mark_on_the_ground() -> None:
    assert lost("N95", line(0.0), "/", [AGENCY])
    assert not lost("N95", line(0.9), "NIOSH ", [AGENCY])


def test_a_whole_class_has_lost_nothing() -> None:
    for value in ("KN95", "FFP2", "PFF2", "DS2"):
        assert not lost(value, line(2.0), "", [])
    assert tuple(longer_class(value, RESTS) for value in ("N95", "P2", "KN95")) == (
        "KN95",
        "FFP2",
        "",
    )


def classes(pixels: Pixels, readers: Readers) -> list[Mark]:
    """The classes that are seen in a photo."""
    reading = read(Photo("drawn.png", "0" * 64, "image/png", pixels), readers)
    book = load()
    marks = [
        mark
        for area in reading.areas
        for mark in marks_of_lines(area.lines, book.grammars, book.vocabulary)
    ]
    return [mark for mark in marks if mark.mark == "filter_class"]


@pytest.mark.parametrize("way", WAYS)
def test_of_letters_that_hardly_show_none_is_lost_as_read(way: str, readers: Readers) -> None:
    """NIOSH stands below, so that other print backs the class and only the ground can tell."""
    for seed in range(4):
        size = (30, 44, 60)[seed % 3]
        for found in classes(drawn("KN95", 1, way, seed, size=size, below="NIOSH"), readers):
            assert (found.value, found.standing) != ("N95", "read"), seed


def test_a_class_on_plain_ground_beside_its_agency_is_read(readers: Readers) -> None:
    (found,) = classes(drawn("N95", 0, "plain", 1, below="NIOSH"), readers)
    assert (found.value, found.standing) == ("N95", "read")


def test_a_class_by_itself_is_asked_with_the_longer_one_beside_it(readers: Readers) -> None:
    (found,) = classes(drawn("N95", 0, "plain", 1), readers)
    assert (found.value, found.standing) == ("N95", "doubtful")
    assert found.reasons == ("lost_letter",)
    assert found.alternatives[0].value == "KN95"
