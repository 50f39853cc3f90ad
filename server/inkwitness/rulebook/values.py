"""Values of the rule book: what a rules file says, after it was read and checked."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from inkwitness.marks.grammar import Grammar
from inkwitness.marks.vocabulary import Vocabulary

Known = Literal["read", "read-secondary", "derived", "from-memory"]
Severity = Literal["conflict", "missing", "caution", "note"]
Surface = Literal["facepiece", "strap", "pouch", "inner_box", "carton", "leaflet"]
Aspect = Literal["reading", "marks", "list", "documents", "construction", "supplier"]
Script = Literal["latin", "han", "hangul", "kana"]

#: Pydantic reads these dataclasses from YAML and refuses keys that they do not have.
_STRICT = {"extra": "forbid"}


@dataclass(frozen=True, slots=True)
class Source:
    """Where a rule comes from, and how that is known: `read` in the document or on the
    authority's page, `read-secondary` in another's account, `derived` by reasoning, `from-memory`.
    """

    __pydantic_config__ = _STRICT
    document: str
    known: Known
    clause: str = ""
    year: str = ""

    def __str__(self) -> str:
        where = ", ".join(part for part in (self.document, self.clause, self.year) if part)
        return f"{where} ({self.known})"


@dataclass(frozen=True, slots=True)
class Seen:
    """A mark on the item; `matches` and `printed` are patterns searched in value and ink."""

    __pydantic_config__ = _STRICT
    mark: str
    matches: str = ""
    printed: str = ""
    scheme: str = ""


@dataclass(frozen=True, slots=True)
class When:
    """The circumstances in which a rule is looked at; everything named must hold.

    `claimed`: one of the schemes is claimed; `not_claimed`: none is. `surface`: one of these was
    photographed; `whole`: one was photographed whole and legible. `declared`: a person recorded one
    of these; `not_declared`: none. `seen`: all of these marks; `any_seen`: one; `not_seen`: none.
    `made_before`, `made_from`: the printed date of manufacture under every way to read it.
    """

    __pydantic_config__ = _STRICT
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

    __pydantic_config__ = _STRICT
    mark: str
    matches: str = ""
    or_mark: tuple[Seen, ...] = ()
    on: tuple[Surface, ...] = ()


@dataclass(frozen=True, slots=True)
class ValueIn:
    """Raised for each mark whose value (or named part) is not among `values`."""

    __pydantic_config__ = _STRICT
    mark: str
    values: tuple[str, ...]
    part: str = ""
    only: str = ""
    scheme: str = ""


@dataclass(frozen=True, slots=True)
class ValueNotIn:
    """Raised for each mark whose value (or named part) is among `values`."""

    __pydantic_config__ = _STRICT
    mark: str
    values: tuple[str, ...]
    part: str = ""
    only: str = ""
    scheme: str = ""


@dataclass(frozen=True, slots=True)
class Matches:
    """Raised for each mark whose value (`of` printed: whose ink) does not match the pattern."""

    __pydantic_config__ = _STRICT
    mark: str
    pattern: str
    of: Literal["value", "printed"] = "value"
    only: str = ""
    scheme: str = ""


@dataclass(frozen=True, slots=True)
class MatchesNot:
    """Raised for each mark whose value (`of` printed: whose ink) matches the pattern."""

    __pydantic_config__ = _STRICT
    mark: str
    pattern: str
    of: Literal["value", "printed"] = "value"
    only: str = ""
    scheme: str = ""


@dataclass(frozen=True, slots=True)
class NotTogether:
    """Raised when all of these are seen; with one entry: when it is seen at all."""

    __pydantic_config__ = _STRICT
    marks: tuple[Seen, ...]


@dataclass(frozen=True, slots=True)
class DigitCount:
    """Raised for each mark whose number of digits (in a named part) is not among `counts`."""

    __pydantic_config__ = _STRICT
    mark: str
    counts: tuple[int, ...]
    part: str = ""
    only: str = ""
    scheme: str = ""


@dataclass(frozen=True, slots=True)
class DateOrder:
    """Raised when `then` is earlier than `first` under every way to read both dates."""

    __pydantic_config__ = _STRICT
    first: str
    then: str


@dataclass(frozen=True, slots=True)
class DateNotBefore:
    """Raised when the date mark is earlier than `date` under every way to read it."""

    __pydantic_config__ = _STRICT
    mark: str
    date: dt.date


@dataclass(frozen=True, slots=True)
class DateNotFrom:
    """Raised when the date mark is `date` or later under every way to read it."""

    __pydantic_config__ = _STRICT
    mark: str
    date: dt.date


@dataclass(frozen=True, slots=True)
class DateAgainstToday:
    """Raised when the date mark is `past` (or `future`) on the date that the check is made for."""

    __pydantic_config__ = _STRICT
    mark: str
    raised_when: Literal["past", "future"]


@dataclass(frozen=True, slots=True)
class DatePlain:
    """Raised for each of the date marks that can be read as more than one date."""

    __pydantic_config__ = _STRICT
    marks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ShelfLife:
    """Raised when the printed or told shelf life, counted from the printed date of manufacture,
    has passed on the date of the check (`past`), or does not lead to the printed expiry
    (`differs`: more than two months apart under every reading)."""

    __pydantic_config__ = _STRICT
    raised_when: Literal["past", "differs"]


@dataclass(frozen=True, slots=True)
class PercentageOfClass:
    """Raised for each printed percentage below (or above) the minimum of a printed class."""

    __pydantic_config__ = _STRICT
    raised_when: Literal["below", "above"]


@dataclass(frozen=True, slots=True)
class NotDeclared:
    """Raised when a person recorded one of these words."""

    __pydantic_config__ = _STRICT
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NextTo:
    """Raised for each `mark` that stands directly after `to` on one line."""

    __pydantic_config__ = _STRICT
    mark: Seen
    to: Seen


@dataclass(frozen=True, slots=True)
class OneValue:
    """Raised when the mark stands with different values: `within` one surface, or `across` two."""

    __pydantic_config__ = _STRICT
    marks: tuple[str, ...]
    where: Literal["within", "across"]


@dataclass(frozen=True, slots=True)
class NothingRead:
    """Raised when no mark of the kind was read: `anchor` (no scheme claimed) or `any` print."""

    __pydantic_config__ = _STRICT
    of: Literal["anchor", "any"]


@dataclass(frozen=True, slots=True)
class CodeAgrees:
    """Raised when a bar code's field (`lot`, `expiry_date`, `gtin`) differs from the printed."""

    __pydantic_config__ = _STRICT
    field: Literal["lot", "expiry_date", "manufacture_date", "check_digit"]


@dataclass(frozen=True, slots=True)
class Check:
    """One kind of check, by its name. The list is closed: a browser must be able to run it."""

    __pydantic_config__ = _STRICT
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

    @property
    def kind(self) -> str:
        return next(name for name in self.__slots__ if getattr(self, name) is not None)

    @property
    def asked(self) -> object:
        return getattr(self, self.kind)


@dataclass(frozen=True, slots=True)
class Given:
    """What is known beside the print in an example."""

    __pydantic_config__ = _STRICT
    surface: Surface = "facepiece"
    whole: Literal["yes", "no", "unknown"] = "yes"
    declared: tuple[str, ...] = ()
    told: Mapping[str, str] = field(default_factory=dict)
    on: dt.date = dt.date(2026, 11, 25)
    legible: bool = True
    also: tuple["Face", ...] = ()
    doubtful: tuple[str, ...] = ()
    codes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Face:
    """Another photo of the same unit in an example."""

    __pydantic_config__ = _STRICT
    print: str
    surface: Surface
    whole: Literal["yes", "no", "unknown"] = "yes"


@dataclass(frozen=True, slots=True)
class Example:
    """Print and what must come of it. Lines are separated by ` / `.

    `says` must stand in the English sentence; `as_severity` and `question` where they differ from
    the rule's own.
    """

    __pydantic_config__ = _STRICT
    print: str
    given: Given = field(default_factory=Given)
    says: str = ""
    as_rule: str = ""
    question: bool = False

    @property
    def lines(self) -> tuple[str, ...]:
        return tuple(line for line in self.print.split(" / ") if line)


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule. `scheme` is the id of its file, empty for a rule across schemes."""

    __pydantic_config__ = _STRICT
    id: str
    severity: Severity
    check: Check
    source: Source
    raises: tuple[Example, ...]
    not_raised: tuple[Example, ...]
    when: When = field(default_factory=When)
    aspect: Aspect = "marks"
    script: Script = "latin"
    asks: bool = False
    innocent: bool = False
    scheme: str = ""


@dataclass(frozen=True, slots=True)
class PatternText:
    """One way in which a mark is printed (see `marks.grammar.Pattern`)."""

    __pydantic_config__ = _STRICT
    regex: str
    normal: str
    parts: Mapping[str, int] = field(default_factory=dict)
    strict: bool = True


@dataclass(frozen=True, slots=True)
class GrammarExample:
    """A line of print, the ink of the mark in it, and its normal form (both empty: no match).

    `doubtful`: the line is as a reader may take it, and the mark is only asked about.
    """

    __pydantic_config__ = _STRICT
    line: str
    printed: str = ""
    value: str = ""
    doubtful: bool = False


@dataclass(frozen=True, slots=True)
class MarkText:
    """One mark of a scheme: where it must, should or may stand, and how it is printed.

    A letter joined to it makes another word of it, but for the sides named in `may_join`.
    """

    __pydantic_config__ = _STRICT
    mark: str
    says: str
    source: Source
    grammar: tuple[PatternText, ...] = ()
    examples: tuple[GrammarExample, ...] = ()
    required_on: tuple[Surface, ...] = ()
    recommended_on: tuple[Surface, ...] = ()
    may_stand_on: tuple[Surface, ...] = ()
    since: dt.date | None = None
    anchor: bool = False
    may_join: tuple[Literal["before", "after"], ...] = ()
    script: Script = "latin"


@dataclass(frozen=True, slots=True)
class ClaimedBy:
    """A mark that claims the scheme, unless one of other schemes, claimed for sure, explains it."""

    __pydantic_config__ = _STRICT
    mark: str
    matches: str = ""
    scheme: str = ""
    unless_claimed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FilterClass:
    """What a class means. Efficiencies are minimum percentages; the flow is in L/min."""

    __pydantic_config__ = _STRICT
    name: str
    aerosol: str
    good_for: str
    not_for: str
    source: Source
    minimum_efficiency: float | None = None
    flow_l_min: float | None = None
    leakage_percent: float | None = None
    oil: bool = False
    test: str = ""


@dataclass(frozen=True, slots=True)
class PublicList:
    __pydantic_config__ = _STRICT
    name: str
    run_by: str
    look_up_by: str


@dataclass(frozen=True, slots=True)
class Scheme:
    """One marking scheme: who runs it, what it marks, its rules. Ready, or a draft from memory."""

    __pydantic_config__ = _STRICT
    scheme: str
    title: str
    jurisdiction: str
    authority: str
    kind: Literal["respirator", "medical_mask"]
    status: Literal["ready", "draft"]
    documents: tuple[Source, ...]
    list_key: tuple[str, ...]
    public_list: PublicList | None
    ask: str
    claimed_by: tuple[ClaimedBy, ...]
    classes: tuple[FilterClass, ...]
    marks: tuple[MarkText, ...]
    rules: tuple[Rule, ...]
    cautions: tuple[str, ...]
    verify: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CommonFile:
    """Marks that all schemes share, and the words that are no names."""

    __pydantic_config__ = _STRICT
    marks: tuple[MarkText, ...]
    common_words: str
    name_endings: str
    never_models: tuple[str, ...]
    macros: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class AcrossFile:
    """Rules across schemes."""

    __pydantic_config__ = _STRICT
    rules: tuple[Rule, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Messages:
    """The sentences of one language. `made_by` says whether a person reviewed them."""

    __pydantic_config__ = _STRICT
    language: str
    made_by: str
    marks: Mapping[str, str]
    messages: Mapping[str, str]


@dataclass(frozen=True, slots=True, eq=False)
class Rulebook:
    """All rules files together. `edition` changes with any letter of any file."""

    schemes: tuple[Scheme, ...]
    common: CommonFile
    across: AcrossFile
    grammars: tuple[Grammar, ...]
    rules: tuple[Rule, ...]
    vocabulary: Vocabulary
    edition: str
    languages: Mapping[str, Messages]

    def scheme(self, name: str) -> Scheme | None:
        return next((scheme for scheme in self.schemes if scheme.scheme == name), None)

    def rule(self, name: str) -> Rule | None:
        return next((rule for rule in self.rules if rule.id == name), None)

    def messages(self, language: str = "en") -> Messages:
        """The sentences of a language; English where there is no such file."""
        return self.languages.get(language, self.languages["en"])

    def says(self, rule: str, values: Mapping[str, str], language: str = "en") -> str:
        """The sentence of a rule with its values; in English where it is not translated."""
        chosen = self.messages(language)
        if rule not in chosen.messages:
            chosen = self.languages["en"]
        filled = dict(values)
        for name in ("mark", "other_mark"):
            if name in filled:
                filled[name] = chosen.marks.get(filled[name], filled[name].replace("_", " "))
        return chosen.messages[rule].format_map(filled)
