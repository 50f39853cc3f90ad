"""Typed text: marks, what look-alikes may do, and names and models without a label.

Examples are the project's own invented prints; the OCR pairs are those of the dossier on markings,
0.5 and 22.
"""

import pytest

from inkwitness.marks.ink import ink_span
from inkwitness.marks.match import find
from inkwitness.marks.read_text import marks_of_text
from inkwitness.marks.residual import residual_marks
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
    assert mark.doubtful_at
    assert mark.alternatives[0].printed == "TG-B4A-998I"


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


@pytest.mark.parametrize(
    ("lines", "name"),
    [
        (("TAMBERLOW MASK CO", "NIOSH"), "TAMBERLOW MASK CO"),
        (("Hobscarth & Lunt", "N95"), "Hobscarth & Lunt"),
        (("N95", "NIOSH", "OSTREVANE SAFETY"), "OSTREVANE SAFETY"),
        (("VX-910 N95 NIOSH", "Vexholm"), "Vexholm"),
        (("Lambrecque EPI", "REF LE 916V"), "Lambrecque EPI"),
    ],
)
def test_name_without_a_label(lines: tuple[str, ...], name: str) -> None:
    assert values(*lines)["manufacturer"] == name


@pytest.mark.parametrize(
    ("lines", "model"),
    [
        (("VEXHOLM FILTRATION", "VX-910", "N95"), "VX-910"),
        (("QUARRIMOND BREATHING", "QM 22", "N95"), "QM 22"),
        (("VEXHOLM FILTRATION VX910 N95",), "VX910"),
        (("PELLANOR INDUSTRIAL", "4450H", "N95"), "4450H"),
    ],
)
def test_model_without_a_label(lines: tuple[str, ...], model: str) -> None:
    assert values(*lines)["model"] == model


def test_residual_offers_only_what_nothing_took() -> None:
    lines = ("VX-910 N95",)
    found = residual_marks(lines, [(0, 0, 6)], BOOK.vocabulary)
    assert [r.printed for r in found if r.mark == "model"] == ["N95"]
    assert residual_marks(lines, [(0, 0, 10)], BOOK.vocabulary) == ()


def test_empty_print_has_no_marks() -> None:
    assert read() == ()
    assert read("", "   ") == ()
