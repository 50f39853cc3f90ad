"""Marks of lines: what look-alikes may do, how a mark got its name, labels on a line of their own.

Examples are the project's own invented prints; the OCR pairs are those of the dossier on markings,
0.5 and 22.
"""

import pytest

from inkwitness.marks.match import find, ink_span
from inkwitness.marks.read_marks import marks_of_text
from inkwitness.marks.values import Mark
from inkwitness.rulebook import load

BOOK = load()


def read(*lines: str, loosely: bool = True) -> tuple[Mark, ...]:
    return marks_of_text(lines, BOOK.grammars, BOOK.vocabulary, loosely=loosely)


def values(*lines: str) -> dict[str, str]:
    return {mark.mark: mark.value for mark in read(*lines)}


def test_whole_print() -> None:
    assert values(
        "Dravonel Safety Products", "MODEL DS 639V", "NIOSH TC 84A-3057", "N95", "95% FILTRATION",
        "LOT No. B53333",
    ) == {
        "manufacturer": "Dravonel Safety Products",
        "model": "DS 639V",
        "agency": "NIOSH",
        "approval_number": "TC-84A-3057",
        "filter_class": "N95",
        "efficiency": "95%",
        "lot": "B53333",
    }  # fmt: skip


def test_ink_is_kept_letter_for_letter_beside_the_normal_form() -> None:
    mark = next(m for m in read("ＴＣ–84A 3O57") if m.mark == "approval_number")
    assert (mark.printed, mark.value, mark.standing) == ("ＴＣ–84A 3O57", "TC-84A-3057", "read")


def test_letter_that_would_have_to_be_another_makes_a_doubt_never_a_number() -> None:
    mark = next(m for m in read("TG-B4A-998I") if m.mark == "approval_number")
    assert (mark.standing, mark.value) == ("doubtful", "TC-84A-9981")
    assert mark.printed == "TG-B4A-998I"
    assert mark.doubtful_at == (1, 3, 10)
    assert mark.reasons == ("needs_another_letter",)
    assert mark.alternatives[0].value == "TC-84A-9981"


def test_a_persons_letters_are_not_put_right() -> None:
    assert not [m for m in read("TG-B4A-998I", loosely=False) if m.mark == "approval_number"]


@pytest.mark.parametrize("wrong", ["TC-84A-59", "TC-84A-99812", "N94", "FFP4", "KN99", "CE 299"])
def test_form_that_the_scheme_does_not_have_is_read_as_it_stands(wrong: str) -> None:
    """Wide grammar, narrow rule: the rule raises it, the reading does not mend it."""
    assert any(mark.value in (wrong, wrong.removeprefix("CE ")) for mark in read(wrong))


def test_label_is_no_ink() -> None:
    grammar = next(g for g in BOOK.grammars if g.mark == "lot")
    line = "Lot No. K501057"
    start, end = ink_span(find(line, grammar)[0])
    assert line[start:end] == "K501057"


def test_label_says_what_a_token_is() -> None:
    assert values("MODEL N99-26", "P95")["model"] == "N99-26"
    assert values("MODEL N99-26", "P95")["filter_class"] == "P95"
    assert "approval_number" not in values("REF CA 369V")


def test_model_of_a_maker_is_no_japanese_number() -> None:
    found = values("TAMBERLOW MASK CO", "TM-95", "N95", "NIOSH", "TC-84A-9898")
    assert found["model"] == "TM-95"
    assert found["approval_number"] == "TC-84A-9898"


def test_body_number_and_conformity_mark_stand_side_by_side() -> None:
    found = [(m.mark, m.printed) for m in read("CE 0086")]
    assert found == [("conformity_mark", "CE"), ("body_number", "0086")]


def test_two_classes_of_a_double_marking_are_both_read() -> None:
    classes = [m.value for m in read("N95  KN95  FFP2 NR") if m.mark == "filter_class"]
    assert classes == ["N95", "KN95", "FFP2"]


EVERYDAY = [
    "MEDIUM / LARGE",
    "THIS SIDE OUT",
    "Do not wash",
    "Single use only",
    "SEE USER INSTRUCTIONS",
    "SIZE M",
    "MADE IN CHINA",
    "95% FILTRATION",
]


@pytest.mark.parametrize("line", EVERYDAY)
def test_everyday_words_are_no_name_and_no_model(line: str) -> None:
    assert not {"manufacturer", "model"} & set(values(line))


def first(mark: str, *lines: str) -> Mark:
    """The first that is offered, or read, of a mark."""
    return next(found for found in read(*lines) if found.mark == mark)


def test_a_label_a_form_and_a_place_name_the_ink() -> None:
    """Decisions on the contract: a name by place is a guess, never read (common practice)."""
    lines = ("VEXHOLM FILTRATION", "VX-910", "N95 NIOSH TC-84A-9981", "LOT 25C114", "CE 0299")
    named = {mark.mark: (mark.named_by, mark.standing) for mark in read(*lines)}
    assert named["lot"] == ("label", "read")
    assert named["body_number"] == ("label", "read")
    assert named["approval_number"] == ("form", "read")
    assert named["filter_class"] == ("form", "read")
    assert named["manufacturer"] == ("place", "doubtful")
    assert named["model"] == ("place", "doubtful")


def test_what_is_named_by_its_place_says_so_as_the_reason_of_its_doubt() -> None:
    assert first("model", "N95", "VX-910").reasons == ("named_by_place",)
    assert first("model", "MODEL VX-910").reasons == ()


def test_a_labelled_name_leaves_no_place_to_guess() -> None:
    found = [m for m in read("MODEL VX-910", "TR-77") if m.mark == "model"]
    assert [(m.printed, m.named_by) for m in found] == [("VX-910", "label")]


def test_an_id_names_line_span_and_mark() -> None:
    marks = read("N95 KN95", "N95")
    assert [mark.id for mark in marks] == [
        "0.0-3.filter_class.us-niosh",
        "0.4-8.filter_class.cn-gb2626",
        "1.0-3.filter_class.us-niosh",
    ]
    assert "N95 KN95"[slice(*(marks[1].span or ()))] == "KN95"


@pytest.mark.parametrize(
    ("lines", "mark", "value"),
    [
        (("LOT", "B24101"), "lot", "B24101"),
        (("Batch No.:", "7701-2"), "lot", "7701-2"),
        (("EXP", "2029-04"), "expiry_date", "2029-04"),
        (("MFG", "03/2026"), "manufacture_date", "2026-03"),
        (("MODEL", "AB 12"), "model", "AB 12"),
        (("LOT/MFD: 2601B / 2026-01",), "lot", "2601B"),
        (("LOT/MFD: 2601B / 2026-01",), "manufacture_date", "2026-01"),
        (("제조번호 및 사용기한 AB0426 2029-04-30",), "lot", "AB0426"),
        (("제조번호 및 사용기한 AB0426 2029-04-30",), "expiry_date", "2029-04-30"),
        (("L.2509A V.09/2028",), "lot", "2509A"),
        (("L.2509A V.09/2028",), "expiry_date", "2028-09"),
        (("EXP 12 2028",), "expiry_date", "2028-12"),
        (("MFG SET/2024",), "manufacture_date", "2024-09"),
        (("EXP 2030-W31",), "expiry_date", "2030-W31"),
        (("Haltbar bis 04/2030",), "expiry_date", "2030-04"),
        (("Scad. 06/2030",), "expiry_date", "2030-06"),
        (("Data ważności: 06.2030",), "expiry_date", "2030-06"),
        (("Nr partii: 118822",), "lot", "118822"),
        (("製造年月: 2026年6月",), "manufacture_date", "2026-06"),
    ],
)
def test_label_and_value_in_the_languages_of_the_schemes(
    lines: tuple[str, ...], mark: str, value: str
) -> None:
    """Labels of the trade (common practice, no source); hourglass and year-month: ISO 15223-1
    (from memory); week dates: ISO 8601-1:2019, 4.3.3 (from memory).
    """
    found = first(mark, *lines)
    assert (found.value, found.named_by, found.standing) == (value, "label", "read")


def test_a_line_that_is_more_than_a_label_names_nothing_below() -> None:
    assert "lot" not in values("LOT OF COMFORT", "BLUE")
    assert first("lot", "N95", "LOT SIZE", "774411").named_by == "place"


@pytest.mark.parametrize("typed", ["TC-84A-99812", "NOISH", "MODEL DK", "LOT 0298551"])
def test_typed_letters_are_certain_whatever_a_photo_would_be_asked(typed: str) -> None:
    assert all(mark.standing == "read" for mark in read(typed))


def test_empty_print_has_no_marks() -> None:
    assert read() == ()
    assert read("", "   ") == ()
