"""Dates as the trade prints them. Expected readings follow ISO 8601:2004 (year first), the trade's
day-first and month-first orders, and GS1 General Specifications 3.4 (yymmdd, day 00 a month)."""

import datetime as dt

import pytest
from biip.gs1_messages import GS1Message
from hypothesis import given
from hypothesis import strategies as st

from inkwitness.marks.dates import months_of, normal_date, readings

PLAIN = [
    ("2027.10.08", "2027-10-08"),
    ("2030-01-15", "2030-01-15"),
    ("2028/04", "2028-04"),
    ("12/2028", "2028-12"),
    ("08.2027", "2027-08"),
    ("20260110", "2026-01-10"),
    ("202405", "2024-05"),
    ("MAR 2025", "2025-03"),
    ("15 MAR 2029", "2029-03-15"),
    ("Mar 15, 2025", "2025-03-15"),
    ("15MAR2025", "2025-03-15"),
    ("2025 SEP", "2025-09"),
    ("DEZ 2026", "2026-12"),
    ("AGO/2026", "2026-08"),
    ("25/12/2027", "2027-12-25"),
    ("12/25/2027", "2027-12-25"),
    ("2026年1月10日", "2026-01-10"),
    ("2028년 05월", "2028-05"),
    ("２０２８．０５．１０", "2028-05-10"),
    ("2025-123", "2025-05-03"),
    ("2029", "2029"),
    ("02/02/2026", "2026-02-02"),
]


@pytest.mark.parametrize(("printed", "normal"), PLAIN)
def test_date_with_one_reading(printed: str, normal: str) -> None:
    assert [reading.normal for reading in readings(printed)] == [normal]
    assert normal_date(printed) == normal


AMBIGUOUS = [
    ("05/06/2013", {"2013-06-05", "2013-05-06"}),
    ("05-06-13", {"2013-06-05", "2013-05-06", "2005-06-13"}),
    ("250314", {"2025-03-14", "2014-03-25"}),
    ("10/11", {"2011-10", "2010-11"}),
    ("31/05/28", {"2028-05-31", "2031-05-28"}),
]


@pytest.mark.parametrize(("printed", "normals"), AMBIGUOUS)
def test_unclear_order_gives_every_reading_and_is_never_guessed(
    printed: str, normals: set[str]
) -> None:
    assert {reading.normal for reading in readings(printed)} == normals
    assert normal_date(printed) == printed


@pytest.mark.parametrize(
    ("order", "normal"), [("dmy", "2013-06-05"), ("mdy", "2013-05-06"), ("ymd", None)]
)
def test_a_persons_answer_leaves_one_reading(order: str, normal: str | None) -> None:
    found = [reading.normal for reading in readings("05/06/2013", order)]
    assert found == ([normal] if normal else ["2013-06-05", "2013-05-06"])


@pytest.mark.parametrize(
    "printed", ["", "LOT 12", "31/02/2025", "2025-13", "99999999", "1899-01", "TC-84A", "MAR"]
)
def test_what_is_no_date_has_no_reading(printed: str) -> None:
    assert readings(printed) == ()


@given(st.dates(dt.date(2000, 1, 1), dt.date(2049, 12, 31)))
def test_gs1_dates_are_among_the_readings_as_biip_reads_them(date: dt.date) -> None:
    """Against the library biip, AI 17. It reads yy as 19yy from 51 on; here 20yy is meant."""
    printed = date.strftime("%y%m%d")
    message = GS1Message.parse_hri(f"(17){printed}")
    assert message.element_strings[0].date == date
    assert date.isoformat() in {reading.normal for reading in readings(printed)}


@given(st.dates(dt.date(1990, 1, 1), dt.date(2050, 12, 31)))
def test_iso_form_is_its_own_and_only_reading(date: dt.date) -> None:
    found = readings(date.isoformat())
    assert [(reading.first, reading.last) for reading in found] == [(date, date)]


@pytest.mark.parametrize(
    ("printed", "months"),
    [
        ("3 YEARS", 36),
        ("36 MONTHS", 36),
        ("5年", 60),
        ("24 MESES", 24),
        ("2 anos", 24),
        ("18个月", 18),
        ("SHELF LIFE 1 YEAR", 12),
        ("NONE", None),
    ],
)
def test_shelf_life_phrases(printed: str, months: int | None) -> None:
    assert months_of(printed) == months
