"""The closed list of kinds of check, and the conditions under which a rule is looked at.

A browser must be able to run them too: plain data, patterns that Python and ECMAScript share.
"""

import datetime as dt
from dataclasses import dataclass
from typing import Literal

Surface = Literal["facepiece", "strap", "pouch", "inner_box", "carton", "leaflet"]
#: Whether a photo shows the whole of its surface.
Whole = Literal["yes", "no", "unknown"]
Severity = Literal["conflict", "missing", "caution", "note"]
Aspect = Literal["reading", "marks", "list", "documents", "construction", "supplier"]
#: Which form of a mark a pattern is held against: `printed` is the ink, letter for letter.
Form = Literal["value", "printed"]

#: Pydantic reads these dataclasses from YAML and refuses keys that they do not have.
STRICT = {"extra": "forbid"}


@dataclass(frozen=True, slots=True)
class Seen:
    """A mark on the item; `matches` and `printed` are patterns searched in value and ink, `on` the
    surfaces where it counts (any, where none is named)."""

    __pydantic_config__ = STRICT
    mark: str
    matches: str = ""
    printed: str = ""
    scheme: str = ""
    on: tuple[Surface, ...] = ()


@dataclass(frozen=True, slots=True)
class When:
    """The circumstances in which a rule is looked at; everything named must hold.

    `claimed`: one of the schemes is claimed; `not_claimed`: none is. `surface`: one of these was
    photographed; `whole`: one was photographed whole and legible. `declared`: a person recorded one
    of these; `not_declared`: none. `seen`: all of these marks; `any_seen`: one; `not_seen`: none.
    `made_before`, `made_from`: the printed date of manufacture under every way to read it.
    """

    __pydantic_config__ = STRICT
    claimed: tuple[str, ...] = ()
    not_claimed: tuple[str, ...] = ()
    surface: tuple[Surface, ...] = ()
    whole: Literal["", "yes"] = ""
    declared: tuple[str, ...] = ()
    not_declared: tuple[str, ...] = ()
    seen: tuple[Seen, ...] = ()
    any_seen: tuple[Seen, ...] = ()
    not_seen: tuple[Seen, ...] = ()
    made_before: dt.date | None = None
    made_from: dt.date | None = None


@dataclass(frozen=True, slots=True)
class RequiresMark:
    """Raised when the mark is not seen on the surfaces that it is required on."""

    __pydantic_config__ = STRICT
    mark: str
    matches: str = ""
    or_mark: tuple[Seen, ...] = ()
    on: tuple[Surface, ...] = ()


@dataclass(frozen=True, slots=True)
class ValueIn:
    """Raised for each mark whose value (or named part) is not among `values`."""

    __pydantic_config__ = STRICT
    mark: str
    values: tuple[str, ...]
    part: str = ""
    only: str = ""
    scheme: str = ""


@dataclass(frozen=True, slots=True)
class ValueNotIn:
    """Raised for each mark whose value (or named part) is among `values`."""

    __pydantic_config__ = STRICT
    mark: str
    values: tuple[str, ...]
    part: str = ""
    only: str = ""
    scheme: str = ""


@dataclass(frozen=True, slots=True)
class Matches:
    """Raised for each mark whose value (`of` printed: whose ink) does not match the pattern."""

    __pydantic_config__ = STRICT
    mark: str
    pattern: str
    of: Form = "value"
    only: str = ""
    scheme: str = ""


@dataclass(frozen=True, slots=True)
class MatchesNot:
    """Raised for each mark whose value (`of` printed: whose ink) matches the pattern."""

    __pydantic_config__ = STRICT
    mark: str
    pattern: str
    of: Form = "value"
    only: str = ""
    scheme: str = ""


@dataclass(frozen=True, slots=True)
class NotTogether:
    """Raised when all of these are seen; with one entry: when it is seen at all."""

    __pydantic_config__ = STRICT
    marks: tuple[Seen, ...]


@dataclass(frozen=True, slots=True)
class DigitCount:
    """Raised for each mark whose number of digits (in a named part) is not among `counts`."""

    __pydantic_config__ = STRICT
    mark: str
    counts: tuple[int, ...]
    part: str = ""
    only: str = ""
    scheme: str = ""


@dataclass(frozen=True, slots=True)
class DateOrder:
    """Raised when `then` is earlier than `first` under every way to read both dates."""

    __pydantic_config__ = STRICT
    first: str
    then: str


@dataclass(frozen=True, slots=True)
class DateNotBefore:
    """Raised when the date mark is earlier than `date` under every way to read it."""

    __pydantic_config__ = STRICT
    mark: str
    date: dt.date


@dataclass(frozen=True, slots=True)
class DateNotFrom:
    """Raised when the date mark is `date` or later under every way to read it."""

    __pydantic_config__ = STRICT
    mark: str
    date: dt.date


@dataclass(frozen=True, slots=True)
class DateAgainstToday:
    """Raised when the date mark is `past` (or `future`) on the date that the check is made for."""

    __pydantic_config__ = STRICT
    mark: str
    raised_when: Literal["past", "future"]


@dataclass(frozen=True, slots=True)
class DatePlain:
    """Raised for each of the date marks that can be read as more than one date."""

    __pydantic_config__ = STRICT
    marks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ShelfLife:
    """Raised when the printed or told shelf life, counted from the printed date of manufacture,
    has passed on the date of the check (`past`), or does not lead to the printed expiry
    (`differs`: more than two months apart under every reading)."""

    __pydantic_config__ = STRICT
    raised_when: Literal["past", "differs"]


@dataclass(frozen=True, slots=True)
class PercentageOfClass:
    """Raised for each printed percentage below (or above) the minimum of a printed class."""

    __pydantic_config__ = STRICT
    raised_when: Literal["below", "above"]


@dataclass(frozen=True, slots=True)
class NotDeclared:
    """Raised when a person recorded one of these words."""

    __pydantic_config__ = STRICT
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NextTo:
    """Raised for each `mark` that stands directly after `to` on one line."""

    __pydantic_config__ = STRICT
    mark: Seen
    to: Seen


@dataclass(frozen=True, slots=True)
class OneValue:
    """Raised when the mark stands with different values: `within` one surface, `across` two
    surfaces, or on two `photos` of one surface; `schemes`: two surfaces bear it for schemes of
    which they share none."""

    __pydantic_config__ = STRICT
    marks: tuple[str, ...]
    where: Literal["within", "across", "photos", "schemes"]


@dataclass(frozen=True, slots=True)
class NothingRead:
    """Raised when no mark of the kind was read: `anchor` (no scheme claimed) or `any` print."""

    __pydantic_config__ = STRICT
    of: Literal["anchor", "any"]


@dataclass(frozen=True, slots=True)
class CodeAgrees:
    """Raised when a bar code's field (`lot`, `expiry_date`, `gtin`) differs from the printed."""

    __pydantic_config__ = STRICT
    field: Literal["lot", "expiry_date", "manufacture_date", "check_digit"]


@dataclass(frozen=True, slots=True)
class InRegister:
    """Raised for each mark that the register is about and that is `in` it (or `not_in`)."""

    __pydantic_config__ = STRICT
    register: str
    raised_when: Literal["in", "not_in"]


@dataclass(frozen=True, slots=True)
class RegisterAge:
    """Raised for each register that speaks of a mark on the item and is older than so many days
    on the date of the check."""

    __pydantic_config__ = STRICT
    days: int


@dataclass(frozen=True, slots=True)
class Check:
    """One kind of check, by its name. The list is closed: a browser must be able to run it."""

    __pydantic_config__ = STRICT
    requires_mark: RequiresMark | None = None
    value_in: ValueIn | None = None
    value_not_in: ValueNotIn | None = None
    matches: Matches | None = None
    matches_not: MatchesNot | None = None
    not_together: NotTogether | None = None
    digit_count: DigitCount | None = None
    date_order: DateOrder | None = None
    date_not_before: DateNotBefore | None = None
    date_not_from: DateNotFrom | None = None
    date_against_today: DateAgainstToday | None = None
    date_plain: DatePlain | None = None
    shelf_life: ShelfLife | None = None
    percentage_of_class: PercentageOfClass | None = None
    not_declared: NotDeclared | None = None
    next_to: NextTo | None = None
    one_value: OneValue | None = None
    nothing_read: NothingRead | None = None
    code_agrees: CodeAgrees | None = None
    in_register: InRegister | None = None
    register_age: RegisterAge | None = None

    @property
    def kind(self) -> str:
        return next(name for name in self.__slots__ if getattr(self, name) is not None)

    @property
    def asked(self) -> object:
        return getattr(self, self.kind)
