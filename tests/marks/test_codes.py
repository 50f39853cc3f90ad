"""Bar codes: drawn by one library, read by another, parsed as GS1 says.

Codes are drawn with segno (QR) and zxing-cpp's writer; check digits and element strings (GS1
General Specifications) are compared with python-stdnum, which the program does not use.
"""

import cv2
import numpy as np
import pytest
import segno
import zxingcpp
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from stdnum import ean, gs1_128

from inkwitness.marks.code_marks import FIELDS, marks_of_codes
from inkwitness.reading.codes import Code, read_codes

GTIN = "09506000134352"


def marks(text: str, *, gs1: bool = False) -> dict[str, str]:
    return {mark.mark: mark.value for mark in marks_of_codes([Code("text", text, gs1=gs1)])}


def picture(code: object) -> NDArray[np.uint8]:
    """A drawn code as a BGR picture with a quiet zone."""
    grey = np.asarray(code, dtype=np.uint8)
    big = cv2.resize(grey, None, fx=4, fy=4, interpolation=cv2.INTER_NEAREST)
    framed = cv2.copyMakeBorder(big, 60, 60, 60, 60, cv2.BORDER_CONSTANT, value=255)
    return np.asarray(cv2.cvtColor(framed, cv2.COLOR_GRAY2BGR), dtype=np.uint8)


def test_element_strings_agree_with_another_parser() -> None:
    text = f"(01){GTIN}(17)290531(10)25C114"
    ours = marks(text)
    theirs = gs1_128.info(text)
    assert ours["code_gtin"] == theirs["01"]
    assert ours["code_lot"] == theirs["10"]
    assert ours["code_expiry_date"] == theirs["17"].isoformat()


@pytest.mark.parametrize(
    ("text", "mark", "value"),
    [
        (f"(01){GTIN}(11)240500", "code_manufacture_date", "2024-05"),
        (f"(01){GTIN}(11)240531", "code_manufacture_date", "2024-05-31"),
        (f"(01){GTIN}(21)S77", "code_serial", "S77"),
        (f"01{GTIN}1025C114\x1d17290531", "code_expiry_date", "2029-05-31"),
        ("9506000134352", "code_gtin", GTIN),
        ("9506000134353", "code_gtin_wrong_digit", "09506000134353"),
        ("https://example.org/x", "code_link", "https://example.org/x"),
        ("hello", "code_text", "hello"),
        ("(99)", "code_text", "(99)"),
    ],
)
def test_marks_of_a_codes_text(text: str, mark: str, value: str) -> None:
    assert marks(text)[mark] == value


@given(
    st.sampled_from((8, 12, 13, 14)).flatmap(
        lambda n: st.text("0123456789", min_size=n, max_size=n)
    )
)
def test_check_digits_agree_with_another_library(digits: str) -> None:
    body, right = digits[:-1], ean.calc_check_digit(digits[:-1])
    for last in {right, digits[-1]}:
        name = "code_gtin" if ean.is_valid(body + last) else "code_gtin_wrong_digit"
        assert marks(body + last) == {name: (body + last).zfill(14)}


def test_every_field_has_its_own_name() -> None:
    assert all(name.startswith("code_") for name in FIELDS.values())
    assert len(set(FIELDS.values())) == len(FIELDS)


def test_qr_code_is_found_and_its_link_is_only_text() -> None:
    matrix = np.array([[0 if dark else 255 for dark in row] for row in segno.make("https://example.org/check", micro=False).matrix])  # fmt: skip  # noqa: E501
    found = read_codes(picture(matrix))
    assert [code.text for code in found] == ["https://example.org/check"]
    assert len(found[0].polygon) == 4
    mark = marks_of_codes(found)[0]
    assert (mark.mark, mark.standing) == ("code_link", "read")


@pytest.mark.parametrize(
    ("name", "text"), [("EAN13", "9506000134352"), ("Code128", "LOT25C114"), ("DataMatrix", "abc")]
)
def test_linear_and_matrix_codes_are_found(name: str, text: str) -> None:
    code = zxingcpp.create_barcode(text, getattr(zxingcpp.BarcodeFormat, name))
    found = read_codes(picture(np.array(zxingcpp.write_barcode_to_image(code))))
    assert [code.text for code in found] == [text]


def test_picture_without_a_code_gives_none() -> None:
    assert read_codes(np.full((200, 300, 3), 255, np.uint8)) == ()
