"""Dates as the trade prints them, in every order; an unclear order gives every reading.

A month or a year is a span of days: `2028-04` is 1 to 30 April. Nothing is guessed: `05/06/2013`
is two readings, and who needs one must ask. Forms: ISO 8601:2004 (year first), the day-first and
month-first orders of trade, EN 149 and ISO 15223-1 (`yyyy/mm` after the hourglass), GS1 AI 11 and
17 (`yymmdd`), Chinese and Korean suffixes. Two-digit years are 20yy (no respirator is older).
"""

import calendar
import datetime as dt
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from inkwitness.marks.text import ready

#: Names of months and their short forms, in the languages met on boxes, and their numbers 1 to 12.
_MONTHS = {
    name: number
    for number, names in enumerate(
        (
            "JAN JANUARY JANEIRO ENERO ENE JANVIER JANUAR",
            "FEB FEBRUARY FEVEREIRO FEV FEBRERO FEVRIER FEBRUAR",
            "MAR MARCH MARCO MARZO MARS MAERZ MRZ",
            "APR APRIL ABRIL ABR AVRIL AVR",
            "MAY MAIO MAI MAYO",
            "JUN JUNE JUNHO JUNIO JUIN JUNI",
            "JUL JULY JULHO JULIO JUILLET JUIL JULI",
            "AUG AUGUST AGOSTO AGO AOUT",
            "SEP SEPT SEPTEMBER SETEMBRO SET SEPTIEMBRE SEPTEMBRE",
            "OCT OCTOBER OUTUBRO OUT OCTUBRE OCTOBRE OKT OKTOBER",
            "NOV NOVEMBER NOVEMBRO NOVIEMBRE NOVEMBRE",
            "DEC DECEMBER DEZEMBRO DEZ DICIEMBRE DIC DECEMBRE DEZEMBER",
        ),
        start=1,
    )
    for name in names.split()
}
_ACCENTS = str.maketrans("ÇÉÛÄ", "CEUA")


@dataclass(frozen=True, slots=True)
class DateReading:
    """One way to read a printed date: a span of days, and its normal form (ISO 8601)."""

    first: dt.date
    last: dt.date
    order: str

    @property
    def normal(self) -> str:
        if self.first == self.last:
            return self.first.isoformat()
        if self.first.month == self.last.month:
            return self.first.strftime("%Y-%m")
        return self.first.strftime("%Y")


def readings(printed: str, order: str = "") -> tuple[DateReading, ...]:
    """Every way to read a printed date, none twice; empty where it is no date.

    `order` (`dmy`, `mdy`, `ymd`, ...) is a person's answer and leaves only that order.

    >>> [r.normal for r in readings("05/06/2013")]
    ['2013-06-05', '2013-05-06']
    >>> [r.normal for r in readings("2028.04")]
    ['2028-04']
    """
    text = re.sub(r"[年月년월]", "-", ready(printed).text).translate(_ACCENTS)
    text = re.sub(r"[日일]", "", text).strip(" .-")
    text = re.sub(r"\s*([-./,])\s*", r"\1", text)
    found: dict[tuple[dt.date, dt.date], DateReading] = {}
    for reading in _all(text):
        found.setdefault((reading.first, reading.last), reading)
    kept = tuple(found.values())
    chosen = tuple(reading for reading in kept if reading.order == order)
    return chosen or kept


def normal_date(printed: str) -> str:
    """The ISO form where there is one reading, else the print as it is."""
    found = readings(printed)
    return found[0].normal if len(found) == 1 else printed


def _all(text: str) -> Iterator[DateReading]:
    if named := _named(text):
        yield named
        return
    pieces = re.split(r"[-./ ]", text)
    if not all(piece.isascii() and piece.isdigit() for piece in pieces):
        return
    if len(pieces) == 1:
        yield from _joined(pieces[0])
    elif len(pieces) == 2:
        yield from _two(*pieces)
    elif len(pieces) == 3:
        yield from _three(*pieces)


def _named(text: str) -> DateReading | None:
    """A date with the month as a word: `MAR 2025`, `15 MAR 2025`, `MAR 15, 2025`, `2025 MAR`."""
    words = re.findall(r"[A-Z]+|[0-9]+", text)
    months = [_MONTHS[word] for word in words if word in _MONTHS]
    numbers = [word for word in words if word.isdigit()]
    if len(months) != 1 or len(words) != 1 + len(numbers) or not 1 <= len(numbers) <= 2:
        return None
    years = [n for n in numbers if len(n) == 4]
    if len(numbers) == 1:
        return _span(numbers[0], months[0], None, "named") if len(numbers[0]) in (2, 4) else None
    year = years[0] if len(years) == 1 else numbers[1]
    day = numbers[1] if numbers[0] is year else numbers[0]
    return _span(year, months[0], int(day), "named") if len(year) in (2, 4) else None


def _joined(digits: str) -> Iterator[DateReading]:
    if len(digits) == 8:
        yield from _kept(_span(digits[:4], int(digits[4:6]), int(digits[6:]), "ymd"))
        yield from _kept(_span(digits[4:], int(digits[2:4]), int(digits[:2]), "dmy"))
        yield from _kept(_span(digits[4:], int(digits[:2]), int(digits[2:4]), "mdy"))
    elif len(digits) == 6:
        yield from _kept(_span(digits[:4], int(digits[4:]), None, "ym"))
        yield from _kept(_span(digits[2:], int(digits[:2]), None, "my"))
        yield from _kept(_span(digits[:2], int(digits[2:4]), int(digits[4:]), "ymd"))
        yield from _kept(_span(digits[4:], int(digits[2:4]), int(digits[:2]), "dmy"))
        yield from _kept(_span(digits[4:], int(digits[:2]), int(digits[2:4]), "mdy"))
    elif len(digits) == 4:
        yield from _kept(_span(digits, None, None, "y"))


def _two(a: str, b: str) -> Iterator[DateReading]:
    if len(a) == 4 and len(b) == 3:
        yield from _kept(_ordinal(a, int(b)))
    elif len(a) == 4:
        yield from _kept(_span(a, int(b), None, "ym"))
    elif len(b) == 4:
        yield from _kept(_span(b, int(a), None, "my"))
    elif len(a) <= 2 and len(b) == 2:
        yield from _kept(_span(b, int(a), None, "my"))
        if len(a) == 2:
            yield from _kept(_span(a, int(b), None, "ym"))


def _three(a: str, b: str, c: str) -> Iterator[DateReading]:
    if len(a) == 4:
        yield from _kept(_span(a, int(b), int(c), "ymd"))
    elif len(c) == 4:
        yield from _kept(_span(c, int(b), int(a), "dmy"))
        yield from _kept(_span(c, int(a), int(b), "mdy"))
    elif len(c) == 2:
        yield from _kept(_span(c, int(b), int(a), "dmy"))
        yield from _kept(_span(c, int(a), int(b), "mdy"))
        if len(a) == 2:
            yield from _kept(_span(a, int(b), int(c), "ymd"))


def _kept(reading: DateReading | None) -> Iterator[DateReading]:
    if reading is not None:
        yield reading


def _span(year: str, month: int | None, day: int | None, order: str) -> DateReading | None:
    number = int(year) + (2000 if len(year) == 2 else 0)
    if not 1950 <= number <= 2099:
        return None
    if month is None:
        return DateReading(dt.date(number, 1, 1), dt.date(number, 12, 31), order)
    if not 1 <= month <= 12:
        return None
    last = calendar.monthrange(number, month)[1]
    if day is None or day == 0:  # GS1 writes day 00 for a whole month
        return DateReading(dt.date(number, month, 1), dt.date(number, month, last), order)
    if not 1 <= day <= last:
        return None
    date = dt.date(number, month, day)
    return DateReading(date, date, order)


def _ordinal(year: str, day: int) -> DateReading | None:
    first = _span(year, 1, 1, "ordinal")
    if first is None or not 1 <= day <= (366 if calendar.isleap(int(year)) else 365):
        return None
    date = first.first + dt.timedelta(days=day - 1)
    return DateReading(date, date, "ordinal")


def months_of(printed: str) -> int | None:
    """The months of a shelf-life phrase: `3 YEARS`, `36 MONTHS`, `5年`, `24 meses`; else None.

    >>> months_of("SHELF LIFE: 3 YEARS")
    36
    """
    text = ready(printed).text
    hit = re.search(
        r"([0-9]{1,3})\s?-?\s?(?:(YEARS?|YRS?|ANOS?|AÑOS?|ANS?|JAHRE?|年|년)|"
        r"(MONTHS?|MTHS?|MESES|MES|MOIS|MONATE?|个月|ヶ月|か月|개월))",
        text,
    )
    if hit is None:
        return None
    return int(hit.group(1)) * (12 if hit.group(2) else 1)


def whole_months(earlier: dt.date, later: dt.date) -> int:
    """Whole months from one day to another.

    >>> whole_months(dt.date(2019, 5, 31), dt.date(2031, 3, 18))
    141
    """
    months = 12 * (later.year - earlier.year) + later.month - earlier.month
    return months - (1 if later.day < earlier.day else 0)


def months_past(dates: Sequence[DateReading], on: dt.date) -> str:
    """How many whole months a day lies past a date; from least to most where it is read two ways.

    >>> months_past(readings("05/06/2013"), dt.date(2031, 3, 18))
    '213–214'
    """
    counted = [max(0, whole_months(date.last, on)) for date in dates]
    least, most = min(counted), max(counted)
    return str(least) if least == most else f"{least}–{most}"
