"""Marks of a code's text: GS1 element strings, article numbers, addresses.

Element strings are parsed by biip (GS1 General Specifications: 01 article number, 10 lot, 11 date
of manufacture, 17 expiry, 21 serial), and so are check digits. The marks are named apart from the
printed ones (`code_lot`), so that the two can be compared.
"""

import re
from collections.abc import Iterator, Sequence
from urllib.parse import urlsplit

import biip
from biip.gs1_messages import GS1Message
from biip.gtin import Gtin

from inkwitness.marks.values import Mark
from inkwitness.reading.codes import Code

#: Application identifier to mark name.
FIELDS = {
    "01": "code_gtin",
    "10": "code_lot",
    "11": "code_manufacture_date",
    "17": "code_expiry_date",
    "21": "code_serial",
}


def marks_of_codes(codes: Sequence[Code]) -> tuple[Mark, ...]:
    """The marks of all codes, in order; a code that holds nothing known gives `code_text`."""
    return tuple(mark for code in codes for mark in _marks(code))


def _marks(code: Code) -> Iterator[Mark]:
    text = code.text.strip()
    if urlsplit(text).scheme in ("http", "https"):
        yield _mark(code, "code_link", text, text)
        return
    if text.isascii() and text.isdigit() and len(text) in (8, 12, 13, 14):
        yield from _article(code, text)
        return
    message = _message(code, text)
    if message is None:
        yield _mark(code, "code_text", text, text)
        return
    for element in message.element_strings:
        name = FIELDS.get(element.ai.ai)
        if name == "code_gtin":
            yield from _article(code, element.value)
        elif name is not None:
            value = _date(element.value) if name.endswith("_date") else element.value
            yield _mark(code, name, element.value, value)


def _message(code: Code, text: str) -> GS1Message | None:
    """The parsed element strings, or None where the text is none."""
    try:
        if re.match(r"\([0-9]{2,4}\)", text):
            return GS1Message.parse_hri(text)
        if code.gs1 or "\x1d" in text:
            return GS1Message.parse(text.lstrip("\x1d"))
    except biip.ParseError:
        return None  # kept as plain text by the caller, which shows it
    return None


def _date(yymmdd: str) -> str:
    """ISO form of a GS1 date; day 00 is the whole month. Years are 20yy."""
    year, month, day = f"20{yymmdd[:2]}", yymmdd[2:4], yymmdd[4:6]
    return f"{year}-{month}" if day == "00" else f"{year}-{month}-{day}"


def _article(code: Code, digits: str) -> Iterator[Mark]:
    name = "code_gtin" if _check_digit_fits(digits) else "code_gtin_wrong_digit"
    yield _mark(code, name, digits, digits.zfill(14))


def _check_digit_fits(digits: str) -> bool:
    try:
        Gtin.parse(digits)
    except biip.ParseError:
        return False  # 8, 12, 13 or 14 digits, as the callers see to: the last one does not fit
    return True


def _mark(code: Code, name: str, printed: str, value: str) -> Mark:
    return Mark(
        mark=name,
        printed=printed,
        value=value,
        standing="read",
        probability=1.0,
        polygon=code.polygon,
        readers=(code.kind,),
    )
