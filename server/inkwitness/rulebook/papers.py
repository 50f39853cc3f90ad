"""Rules for papers, and the closed list of checks on them.

A paper is what a person typed of it; nothing is parsed from a file. `rules/papers.yaml` says what
is looked at, each rule with its source, an example that raises it and a near miss. Which papers a
scheme has a buyer ask for stands in the file of the scheme.
"""

import datetime as dt
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Literal

from inkwitness.rulebook.kinds import STRICT, Severity
from inkwitness.rulebook.paper import Lacking, WantedPaper
from inkwitness.rulebook.paper import Paper as Paper
from inkwitness.rulebook.paper import PaperField as PaperField
from inkwitness.rulebook.paper import PaperKind as PaperKind
from inkwitness.rulebook.values import Register, Scheme, Source
from inkwitness.yaml_text import YamlText

#: Where something stands that a paper is compared with. `print`: facepiece, strap or pouch.
PaperPlace = Literal["print", "box", "list", "declared", "papers"]
#: Whom to ask, or what to do, when a rule is raised; sentences `paper_next.*`.
PaperNext = Literal["issuer", "maker", "seller", "paper", "none"]


@dataclass(frozen=True, slots=True)
class TitleCheck:
    """Raised when the title, as printed, is `like` one of the patterns, or `unlike` them all."""

    __pydantic_config__ = STRICT
    raised_when: Literal["like", "unlike"]
    patterns: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Lacks:
    """Raised for each of the fields that is empty and not called unreadable."""

    __pydantic_config__ = STRICT
    fields: tuple[PaperField, ...]


@dataclass(frozen=True, slots=True)
class FieldLike:
    """Raised when the pattern is found in the field, in capitals."""

    __pydantic_config__ = STRICT
    field: PaperField
    pattern: str


@dataclass(frozen=True, slots=True)
class BodyRegister:
    """Raised when the number of the body is `in` the register, or in none of those named."""

    __pydantic_config__ = STRICT
    registers: tuple[str, ...]
    raised_when: Literal["in", "not_in"]


@dataclass(frozen=True, slots=True)
class PaperDates:
    """Raised by dates: `ended` before the day of the check, issued in the `future`, issued
    `before_standard` (before the year of the edition that is cited), issued `after_offer` (after
    the goods were first offered), or a `span` of more than `years`.
    """

    __pydantic_config__ = STRICT
    raised_when: Literal["ended", "future", "before_standard", "after_offer", "span"]
    years: int = 0


@dataclass(frozen=True, slots=True)
class Differs:
    """Raised for each value elsewhere that says otherwise than the field.

    `than` names the places, `other` the field there (the same, where it is empty), `kinds` the
    papers that count in `papers`; with `within` the other field of the same paper is meant.
    """

    __pydantic_config__ = STRICT
    field: PaperField
    than: tuple[PaperPlace, ...] = ()
    other: PaperField | Literal[""] = ""
    kinds: tuple[PaperKind, ...] = ()
    within: PaperField | Literal[""] = ""


@dataclass(frozen=True, slots=True)
class InPlaceOf:
    """Raised for a paper of this kind where none of these kinds is there."""

    __pydantic_config__ = STRICT
    kinds: tuple[PaperKind, ...]


@dataclass(frozen=True, slots=True)
class Absent:
    """Raised once where papers are there and none of this kind is.

    `by` is a field that the goods say of whoever would give it, such as the number of a body.
    """

    __pydantic_config__ = STRICT
    kind: PaperKind
    by: PaperField | Literal[""] = ""


@dataclass(frozen=True, slots=True)
class Wanted:
    """Raised for each paper that a claimed scheme asks for, so `lacking`, and that did not come."""

    __pydantic_config__ = STRICT
    lacking: Lacking


@dataclass(frozen=True, slots=True)
class Incomplete:
    """Raised when `pages` are missing, a field is `unreadable`, or a report has no `values`."""

    __pydantic_config__ = STRICT
    raised_when: Literal["pages", "unreadable", "values"]


@dataclass(frozen=True, slots=True)
class PaperCheck:
    """One kind of check on papers, by its name. The list is closed."""

    __pydantic_config__ = STRICT
    title: TitleCheck | None = None
    lacks: Lacks | None = None
    field_like: FieldLike | None = None
    body_register: BodyRegister | None = None
    dates: PaperDates | None = None
    differs: Differs | None = None
    in_place_of: InPlaceOf | None = None
    absent: Absent | None = None
    wanted: Wanted | None = None
    incomplete: Incomplete | None = None

    @property
    def kinds(self) -> list[str]:
        return [name for name in self.__slots__ if getattr(self, name) is not None]

    @property
    def says_absent(self) -> bool:
        """Whether it is raised because a paper did not come."""
        return self.absent is not None or self.wanted is not None


@dataclass(frozen=True, slots=True)
class PaperWhen:
    """For which papers a rule is looked at: kinds of paper, schemes, kinds of goods."""

    __pydantic_config__ = STRICT
    kinds: tuple[PaperKind, ...] = ()
    schemes: tuple[str, ...] = ()
    goods: Literal["", "respirator", "medical_mask"] = ""


@dataclass(frozen=True, slots=True)
class ListedIn:
    """An entry of the user's list in an example."""

    __pydantic_config__ = STRICT
    holder: str
    number: str = ""
    certificate: str = ""
    models: tuple[str, ...] = ()
    classes: tuple[str, ...] = ()
    private_labels: tuple[str, ...] = ()
    examination_body: str = ""
    production_body: str = ""


@dataclass(frozen=True, slots=True)
class PaperExample:
    """A paper, what it lies beside, and what the English sentence says of it.

    `print` and `box` are typed print, lines parted by ` / `, as in the examples of other rules.
    """

    __pydantic_config__ = STRICT
    paper: Paper
    papers: tuple[Paper, ...] = ()
    print: str = ""
    box: str = ""
    listed: ListedIn | None = None
    declared_lots: tuple[str, ...] = ()
    first_offer: dt.date | None = None
    on: dt.date = dt.date(2031, 3, 18)
    says: str = ""


@dataclass(frozen=True, slots=True)
class PaperRule:
    """One rule for papers. `asks` makes a question of it; see `rulebook.values.Rule`."""

    __pydantic_config__ = STRICT
    id: str
    severity: Severity
    check: PaperCheck
    source: Source
    raises: tuple[PaperExample, ...]
    not_raised: tuple[PaperExample, ...]
    when: PaperWhen = field(default_factory=PaperWhen)
    asks: bool = False
    cannot_tell: bool = False
    innocent: bool = False
    next: PaperNext = "none"


@dataclass(frozen=True, slots=True)
class PapersFile:
    """`papers.yaml`: the rules for papers."""

    __pydantic_config__ = STRICT
    rules: tuple[PaperRule, ...]

    def rule(self, name: str) -> PaperRule | None:
        return next((rule for rule in self.rules if rule.id == name), None)


def check_papers(
    text: YamlText, papers: PapersFile, registers: tuple[Register, ...], schemes: set[str]
) -> list[str]:
    """What the shapes cannot say of `papers.yaml`: one line a problem, empty where clean."""
    return [
        f"{text.name}:{text.line_of(('rules', number))}: {rule.id}: {problem}"
        for number, rule in enumerate(papers.rules)
        for problem in _problems(rule, {one.register for one in registers}, schemes)
    ] + _twice(text, papers)


def check_wanted(text: YamlText, scheme: Scheme, papers: PapersFile) -> list[str]:
    """What the shapes cannot say of the papers that a scheme asks for: one line a problem."""
    found = []
    for number, one in enumerate(scheme.papers):
        line = text.line_of(("papers", number))
        found += [f"{text.name}:{line}: {one.paper}: {p}" for p in _wanted(one, scheme, papers)]
        if one.paper in [other.paper for other in scheme.papers[:number]]:
            found.append(f"{text.name}:{line}: two papers are called '{one.paper}'")
    return found


def _wanted(one: WantedPaper, scheme: Scheme, papers: PapersFile) -> Iterator[str]:
    if not re.fullmatch(r"[a-z0-9]+([._][a-z0-9]+)*", one.paper):
        yield "its name has small letters, digits and points"
    if not one.titles or one.there.kind not in one.kinds:
        yield "needs a title, and an example (`there`) of one of its kinds"
    for name in one.agrees:
        if not one.there.texts(name):
            yield f"must agree in '{name}', and its example (`there`) does not say it"
    if one.lacking == "missing" and (scheme.status == "draft" or one.source.known == "from-memory"):
        yield "what is known from memory, or stands in a draft, is no more than a caution"
    if one.lacking == "own" and not any(
        rule.check.absent is not None
        and rule.check.absent.kind in one.kinds
        and scheme.scheme in rule.when.schemes
        for rule in papers.rules
    ):
        yield "no rule of papers.yaml is raised where it is absent (`lacking: own`)"


def _twice(text: YamlText, papers: PapersFile) -> list[str]:
    names = [rule.id for rule in papers.rules]
    return [
        f"{text.name}:{text.line_of(('rules', number))}: two rules are called '{name}'"
        for number, name in enumerate(names)
        if name in names[:number]
    ]


def _problems(rule: PaperRule, registers: set[str], schemes: set[str]) -> Iterator[str]:
    if not re.fullmatch(r"p(-[a-z0-9]+)+", rule.id):
        yield "an id is in kebab case and begins with 'p-'"
    if len(rule.check.kinds) != 1:
        yield f"exactly one of: {', '.join(rule.check.__slots__)}"
    if rule.severity == "conflict" and rule.source.known == "from-memory":
        yield "a conflict needs a source; from memory is a caution"
    if rule.severity in ("conflict", "missing") and rule.next == "none":
        yield "a conflict or a missing paper names a next step (`next`)"
    if not rule.raises or not rule.not_raised:
        yield "needs an example that raises it and a near miss"
    if not any(example.says for example in rule.raises):
        yield "one raising example must say what the sentence says"
    for name in set(rule.when.schemes) - schemes:
        yield f"no scheme '{name}'"
    asked = rule.check.body_register
    for name in set(asked.registers if asked else ()) - registers:
        yield f"no register '{name}'"
    patterns = [*(rule.check.title.patterns if rule.check.title else ())]
    patterns += [rule.check.field_like.pattern] if rule.check.field_like else []
    for pattern in patterns:
        try:
            re.compile(pattern)
        except re.error as error:
            yield f"{pattern!r} is no pattern: {error}"
