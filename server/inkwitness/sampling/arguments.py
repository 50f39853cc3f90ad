"""Arguments taken exactly, and the errors for those that cannot be used.

`100 * 0.07` is 7.000000000000001 in floats and would ask about 8 units; here every number is
turned into a rational first, a float by the shortest decimal that prints it.

>>> nonconforming_units(100, 0.07)
7
>>> nonconforming_units(300, "0.5 %")
2
"""

import re
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from fractions import Fraction
from math import ceil

from inkwitness.errors import BadInput
from inkwitness.phrases import Sentence, Value

Exact = int | float | str | Decimal | Fraction

LARGEST_LOT = 1_000_000_000
LARGEST_LOOKED_AT = 1_000_000
DESIGNS = ("random", "cartons", "chosen")
_NUMBER = re.compile(
    r"[0-9]{1,10}(\.[0-9]{1,18})?|\.[0-9]{1,18}|[0-9](\.[0-9]{1,18})?[eE]-[0-9]{1,2}"
)


def exact(value: Exact, called: str) -> Fraction:
    """`value` as a rational, never negative; `called` is the phrase that sentences call it by.

    Text may be a decimal ("0.05") or a percentage ("5 %").
    """
    if isinstance(value, int | Fraction):
        number = Fraction(value)
    else:
        text = str(value).strip()
        digits, percent = (text[:-1].rstrip(), True) if text.endswith("%") else (text, False)
        unsigned = digits.removeprefix("-")
        if not _NUMBER.fullmatch(unsigned):
            raise BadInput("sample_number", name=Sentence(called, {}), value=text[:40])
        number = Fraction(unsigned) / (100 if percent else 1)
        if digits.startswith("-"):
            number = -number
    if number < 0:
        raise BadInput("sample_negative", name=Sentence(called, {}), value=str(value))
    return number


def share(value: Exact) -> Fraction:
    """A share of nonconforming units, above 0 and at most 1."""
    number = exact(value, "called.share")
    if not 0 < number <= 1:
        raise BadInput("sample_share", value=str(value))
    return number


def confidence(value: Exact) -> Fraction:
    """A probability above 0 and below 1."""
    number = exact(value, "called.confidence")
    if not 0 < number < 1:
        raise BadInput("sample_confidence", value=str(value))
    return number


def sensitivity(value: Exact) -> Fraction:
    """P(noticed | nonconforming) of the chain photo, reader, person: above 0 and at most 1."""
    number = exact(value, "called.sensitivity")
    if not 0 < number <= 1:
        raise BadInput("sample_sensitivity", value=str(value))
    return number


def specificity(value: Exact) -> Fraction:
    """P(not flagged | not nonconforming), above 0 and at most 1."""
    number = exact(value, "called.specificity")
    if not 0 < number <= 1:
        raise BadInput("sample_specificity", value=str(value))
    return number


def between(value: int, low: int, high: int, key: str, **values: Value) -> int:
    """`value` if it lies in `low..high`, else the error of that key."""
    if not low <= value <= high:
        raise BadInput(key, value=value, **values)
    return value


def lot_size(value: int) -> int:
    """Number of units in the lot, 1 to a thousand million."""
    return between(value, 1, LARGEST_LOT, "sample_lot", largest=LARGEST_LOT)


def sample_size(value: int, lot: int) -> int:
    """Number of units looked at, at least 1 and at most the lot."""
    if value < 1:
        raise BadInput("sample_none_looked_at", value=value)
    return between(value, 1, lot, "sample_over_lot", lot=lot)


def looked_at_size(value: int, lot: int | None) -> int:
    """Number of units that were looked at, of a lot or of a process: at most a million."""
    if value < 1:
        raise BadInput("sample_none_looked_at", value=value)
    if lot is not None:
        sample_size(value, lot)
    return between(value, 1, LARGEST_LOOKED_AT, "sample_looked_at", largest=LARGEST_LOOKED_AT)


def nonconforming_units(lot: int, nonconforming_share: Exact) -> int:
    """Fewest units that make up `nonconforming_share` of the lot or more: its exact ceiling."""
    return ceil(lot_size(lot) * share(nonconforming_share))


def nonconforming_wanted(
    lot: int, nonconforming_share: Exact | None, nonconforming: int | None
) -> int:
    """The number of nonconforming units asked about, given as a share or as a number."""
    if nonconforming_share is not None and nonconforming is not None:
        raise BadInput("sample_nonconforming_both")
    if nonconforming_share is not None:
        return nonconforming_units(lot, nonconforming_share)
    if nonconforming is None:
        raise BadInput("sample_nonconforming_neither")
    return between(nonconforming, 1, lot_size(lot), "sample_nonconforming", lot=lot)


def percent(number: Fraction | float, *, up: bool = False) -> str:
    """`number` as a percentage of at most three figures, rounded down, or up where that is safe.

    A chance is rounded down and a share that is excluded is rounded up, so that no sentence
    claims more than was computed. Above 99 % further figures are kept until one is not a 9.

    >>> percent(Fraction(73, 5000), up=True), percent(0.9504), percent(0.99996)
    ('1.46 %', '95 %', '99.996 %')
    """
    exactly = Fraction(number)
    if isinstance(number, float):
        # 1 - 0.05 is a little less than 0.95: the noise of floats must not cost a digit.
        tidy = Fraction(f"{number:.14g}")
        exactly = exactly if tidy == 1 else tidy
    value = exactly * 100
    if value == 0:
        return "0 %"
    if not up and 99 < value < 100:
        figures = 2
        while figures < 12 and value > 100 - Fraction(1, 10 ** (figures - 2)):
            figures += 1
    else:
        figures = 3
    decimal = Decimal(value.numerator) / Decimal(value.denominator)
    step = Decimal(1).scaleb(decimal.adjusted() - figures + 1)
    rounded = decimal.quantize(step, rounding=ROUND_CEILING if up else ROUND_FLOOR)
    return f"{rounded.normalize():f} %"


def plain(number: Fraction) -> str:
    """A rational that came from a decimal, as that decimal.

    >>> plain(Fraction(19, 20)), plain(Fraction(1))
    ('0.95', '1')
    """
    return f"{(Decimal(number.numerator) / Decimal(number.denominator)).normalize():f}"


@dataclass(frozen=True, slots=True)
class Looked:
    """A sample after it was looked at.

    Each unit counts once. `looked_at` were looked at and told, and of these `differed` are
    confirmed to differ. Open beside them are `lacking` (a required mark was not seen), `untold`
    (the print cannot be told) and `set_apart` (by a person): none of them agrees, and while one is
    open it is never said that none differed. `design` says how the units were chosen: `random`
    (units drawn at random from the whole list, or over its lots in proportion), `cartons` (cartons
    drawn at random, units within them) or `chosen` (anything else: top layer only, list
    incomplete). `opened` of `cartons` were opened, where that is known.
    """

    lot: int
    looked_at: int
    differed: int
    untold: int = 0
    seed: str = ""
    design: str = "random"
    cartons: int | None = None
    opened: int | None = None
    lacking: int = 0
    set_apart: int = 0

    def __post_init__(self) -> None:
        lot_size(self.lot)
        for count in (self.looked_at, self.lacking, self.untold, self.set_apart):
            between(count, 0, LARGEST_LOT, "sample_count")
        looked_at_size(self.units, self.lot if not self.open else None)
        between(self.differed, 0, self.looked_at, "sample_differed", looked_at=self.looked_at)
        left = self.lot - self.looked_at
        between(self.open, 0, left, "sample_open", left=left)
        if (self.cartons is None) != (self.opened is None):
            raise BadInput("sample_opened_lone")
        if self.cartons is not None and self.opened is not None:
            between(self.cartons, 1, LARGEST_LOT, "sample_cartons")
            between(self.cartons, 1, self.lot, "sample_cartons_over_lot", lot=self.lot)
            between(self.opened, 1, self.cartons, "sample_opened", cartons=self.cartons)
            if self.opened > self.units:
                raise BadInput("sample_opened_over_looked", value=self.opened, looked_at=self.units)
        if self.design not in DESIGNS:
            raise BadInput("sample_design", value=self.design, allowed=", ".join(DESIGNS))
        if self.design == "cartons" and self.cartons is None:
            raise BadInput("sample_design_cartons")

    @property
    def open(self) -> int:
        """Units that were looked at and do not count as agreeing, and not as differing either."""
        return self.lacking + self.untold + self.set_apart

    @property
    def units(self) -> int:
        """All units that were looked at."""
        return self.looked_at + self.open
