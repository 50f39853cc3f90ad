"""Print near a published form is a question with the form beside it; sure ink stays what it is.

The published forms are those of the rules; the misreadings are of the kinds met on photographs,
none of them taken from one.
"""

from dataclasses import replace

import pytest

from inkwitness.marks.match import find
from inkwitness.marks.read_marks import marks_of_lines, marks_of_text
from inkwitness.marks.typed import typed_line
from inkwitness.marks.values import Mark
from inkwitness.photo.values import Polygon
from inkwitness.reading.values import Line, SecondReading
from inkwitness.rulebook import load

BOOK = load()


def seen(text: str, second: str = "", *, index: int = 0, polygon: Polygon = ()) -> Line:
    """A line as a photo shows it; the second reader says `second`, or nothing."""
    line = typed_line(index, text)
    view = replace(line.views[0], augmentation="colour", confidence=0.93)
    said = (SecondReading("tesseract", second, 0.9),) if second else ()
    return replace(line, views=(view,), second=said, x_height_px=12.0, polygon=polygon)


def of(name: str, *lines: Line) -> list[Mark]:
    marks = marks_of_lines(lines, BOOK.grammars, BOOK.vocabulary)
    return [mark for mark in marks if mark.mark == name]


@pytest.mark.parametrize(
    ("ink", "form"),
    [
        ("ENH145:2001", "EN 149:2001"),
        ("EN 1492001+A1:2009", "EN 149:2001+A1:2009"),
        ("EM149:200T+A1:209FFP3", "EN 149:2001+A1:2009"),
        ("AS/NZB 1716", "AS/NZS 1716"),
        ("GP2626-2019", "GB 2626-2019"),
        ("NOM-11-STPS-2009", "NOM-116-STPS-2009"),
    ],
)
def test_ink_near_a_published_form_is_asked_about_with_the_form_beside_it(
    ink: str, form: str
) -> None:
    (mark,) = of("standard", seen(ink, "something else"))
    assert mark.standing == "doubtful"
    assert mark.printed == ink.removesuffix("FFP3")
    assert form in {other.value for other in mark.alternatives} | {mark.value}
    assert "near_form" in mark.reasons


def test_what_both_readers_are_sure_of_stays_the_ink() -> None:
    """A misprint is what one looks for: no published form is put in its place."""
    assert of("standard", seen("ENH145:2001", "")) != []
    assert of("standard", seen("ENH145:2001", "ENH145:2001")) == []
    marks = marks_of_text(["ENH145:2001"], BOOK.grammars, BOOK.vocabulary)
    assert not [mark for mark in marks if mark.mark == "standard"]


@pytest.mark.parametrize(
    ("ink", "value"),
    [
        ("EN 149:2001+A1:2019", "EN 149:2001+A1:2019"),
        ("GB 2626-2020", "GB 2626-2020"),
        ("EN 143", "EN 143"),
        ("GB/T 2626-2019", "GB/T 2626-2019"),
    ],
)
def test_a_form_that_a_grammar_reads_is_not_taken_for_its_neighbour(ink: str, value: str) -> None:
    assert [mark.value for mark in of("standard", seen(ink, ink))] == [value]
    assert [mark.value for mark in of("standard", seen(ink))] == [value]


@pytest.mark.parametrize(
    "ink", ["EN 166:2001", "EN 143:2000", "EN 12941:1998", "ISO 13485:2016", "GB 2890-2009"]
)
def test_the_number_of_another_standard_is_not_near(ink: str) -> None:
    """Eye protection, filters, powered hoods, quality, gas filters: other numbers, from memory."""
    assert not [m for m in of("standard", seen(ink)) if "near_form" in m.reasons]


def test_no_second_question_where_the_standard_stands() -> None:
    (mark,) = of(
        "standard", seen("EN 149:2001+A1:2009", index=0), seen("ENH145:2001", index=1)
    )  # fmt: skip
    assert mark.printed == "EN 149:2001+A1:2009"


def test_a_part_that_was_taken_for_another_standard_gives_way_and_stands_beside() -> None:
    (mark,) = of("standard", seen("EN140 2001-FFP2"))
    assert (mark.printed, mark.value) == ("EN140 2001", "EN 149:2001")
    assert [other.value for other in mark.alternatives] == ["EN 149:2001", "EN 140"]


def test_every_form_of_the_rules_is_read_whole_by_its_own_grammar() -> None:
    for grammar in BOOK.grammars:
        for form in grammar.near:
            (match,) = find(form, grammar, loosely=False)
            assert match.printed == form


@pytest.mark.parametrize("second", ["", "C-84A-9981"])
def test_a_number_that_lost_its_first_letter_is_asked_about(second: str) -> None:
    (mark,) = of("approval_number", seen("C-84A-9981", second))
    assert (mark.printed, mark.standing) == ("C-84A-9981", "doubtful")
    assert "TC-84A-9981" in {other.value for other in mark.alternatives}
    (typed,) = of("approval_number", typed_line(0, "C-84A-9981"))
    assert (typed.printed, typed.standing) == ("C-84A-9981", "doubtful")


def test_a_number_with_another_first_letter_is_not_the_number() -> None:
    assert not of("approval_number", seen("XC-84A-9981", "XC-84A-9981"))


@pytest.mark.parametrize(("line", "ink"), [("LOT 2304 15", "2304 15"), ("LOT C7 B20", "C7 B20")])
def test_a_lot_with_a_space_is_asked_about(line: str, ink: str) -> None:
    for one in (seen(line, line), typed_line(0, line)):
        (mark,) = of("lot", one)
        assert (mark.printed, mark.standing) == (ink, "doubtful")
        assert ink.split()[0] in {other.value for other in mark.alternatives}


@pytest.mark.parametrize("behind", ["N95", "2027-05", "20 PCS", "EXP 2027-05", "FFP2 NR"])
def test_a_lot_ends_where_other_print_begins(behind: str) -> None:
    (mark,) = of("lot", typed_line(0, f"LOT K501057 {behind}"))
    assert (mark.printed, mark.standing) == ("K501057", "read")


def box(x: float, y: float, width: float, height: float) -> Polygon:
    return ((x, y), (x + width, y), (x + width, y + height), (x, y + height))


SIGN = seen("CE", "CE", index=0, polygon=box(0, 0, 80, 60))


@pytest.mark.parametrize("top", [0.0, 15.0, 32.0])
def test_four_digits_beside_a_sign_two_lines_high_may_be_its_number(top: float) -> None:
    """CE of at least 5 mm, the body's number behind it: Regulation (EU) 2016/425, Article 17."""
    digits = seen("2999", "2999", index=1, polygon=box(90, top, 70, 28))
    (mark,) = of("body_number", SIGN, digits)
    assert (mark.printed, mark.standing, mark.named_by) == ("2999", "doubtful", "place")
    assert mark.reasons[0] == "named_by_place"


@pytest.mark.parametrize(
    "where", [box(300, 15, 70, 28), box(90, 130, 70, 28), box(-90, 15, 70, 28), box(90, 0, 150, 60)]
)
def test_digits_elsewhere_or_as_large_are_not(where: Polygon) -> None:
    assert not of("body_number", SIGN, seen("2999", "2999", index=1, polygon=where))


def test_other_print_beside_the_sign_is_not() -> None:
    for text in ("FFP2", "29991", "QR-2999"):
        line = seen(text, text, index=1, polygon=box(90, 15, 70, 28))
        assert not [mark for mark in of("body_number", SIGN, line) if mark.standing == "read"]
