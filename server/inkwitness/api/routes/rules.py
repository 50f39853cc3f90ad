"""`/rules`: the rule book as documentation, made from the same files that judge."""

import datetime as dt
from typing import Literal

from fastapi import APIRouter
from pydantic import BaseModel, ConfigDict, Field

from inkwitness import phrases
from inkwitness.api.deps import Lang
from inkwitness.api.guard.roles import READERS, may
from inkwitness.consignment.papers.judge import name_of
from inkwitness.errors import NotFound
from inkwitness.phrases import Phrases
from inkwitness.rulebook import Rule, Scheme, shipped
from inkwitness.rulebook.counts import counts_of
from inkwitness.rulebook.paper import Lacking, PaperField, PaperIssuer, WantedPaper
from inkwitness.rulebook.uses import uses_of
from inkwitness.rulebook.values import Example, FilterClass, MarkText

router = APIRouter(prefix="/rules", tags=["rules"])

CAVEAT = (
    "Classes of two schemes side by side are tested in different ways; a like efficiency is no "
    "approval and no permission to use one for the other."
)


class _Out(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class SchemeRow(_Out):
    scheme: str
    title: str
    jurisdiction: str
    kind: str
    status: str
    marks: int
    rules: int


class RulesOut(_Out):
    """The list of schemes and what there is in all."""

    edition: str
    languages: dict[str, str]
    schemes: list[SchemeRow]
    rules: int
    examples: int
    from_memory: int


class ClassOut(_Out):
    scheme: str
    kind: Literal["respirator", "medical_mask"]
    name: str
    minimum_efficiency: float | None
    leakage_percent: float | None
    aerosol: str
    flow_l_min: float | None
    oil: bool
    good_for: str
    not_for: str
    says_in: str
    source: str


class ClassesOut(_Out):
    caveat: str
    classes: list[ClassOut]


class RuledMarkOut(_Out):
    mark: str
    says: str
    required_on: list[str]
    recommended_on: list[str]
    may_stand_on: list[str]
    since: dt.date | None
    examples: list[str]
    source: str


class ExampleOut(_Out):
    lines: list[str]
    surface: str
    whole: str
    declared: list[str]


class RuleOut(_Out):
    rule: str
    severity: str
    aspect: str
    says: str
    says_in: str
    check: str
    source: str
    known: str
    raised_by: list[ExampleOut]
    not_raised_by: list[ExampleOut]


class WantedPaperOut(_Out):
    """A paper that a buyer asks for with goods of a scheme; `titles` as the law names it."""

    paper: str
    says: str = Field(description="what it is, in the language that was asked for")
    titles: list[str]
    issued_by: PaperIssuer
    agrees: list[PaperField] = Field(description="fields that must say what the print says")
    lacking: Lacking = Field(description="what is raised where papers came and this one did not")
    source: str
    known: str


class SchemeOut(_Out):
    """One scheme in full; `messages_made_by` says whether a person reviewed the sentences."""

    scheme: str
    title: str
    jurisdiction: str
    authority: str
    kind: str
    status: str
    ask: str
    list_key: list[str]
    public_list: dict[str, str] | None
    documents: list[str]
    classes: list[ClassOut]
    marks: list[RuledMarkOut]
    rules: list[RuleOut]
    cautions: list[str]
    papers: list[WantedPaperOut]
    as_of: dt.date | None = Field(description="the day of this edition of the file")
    verify: list[str]
    messages_made_by: str


class AcrossSchemesOut(_Out):
    rules: list[RuleOut]
    cautions: list[str]
    messages_made_by: str


@router.get("", openapi_extra=may(*READERS))
def list_schemes() -> RulesOut:
    """All schemes, and how much there is."""
    book = shipped()
    counts = counts_of(book)
    return RulesOut(
        edition=book.edition,
        languages={name: said.made_by for name, said in book.languages.items()},
        schemes=[
            SchemeRow(
                scheme=scheme.scheme,
                title=scheme.title,
                jurisdiction=scheme.jurisdiction,
                kind=scheme.kind,
                status=scheme.status,
                marks=len(scheme.marks),
                rules=len(scheme.rules),
            )
            for scheme in book.schemes
        ],
        rules=counts.rules,
        examples=counts.examples,
        from_memory=counts.from_memory,
    )


@router.get("/classes", openapi_extra=may(*READERS))
def list_classes(lang: Lang = "en") -> ClassesOut:
    """The classes of all schemes side by side, the lowest minimum efficiency first."""
    rows = [_class(scheme, entry, lang) for scheme in shipped().schemes for entry in scheme.classes]
    rows.sort(key=lambda row: (row.minimum_efficiency is None, row.minimum_efficiency or 0.0))
    return ClassesOut(caveat=CAVEAT, classes=rows)


@router.get("/across", openapi_extra=may(*READERS))
def show_across(lang: Lang = "en") -> AcrossSchemesOut:
    """The rules across schemes."""
    book = shipped()
    return AcrossSchemesOut(
        rules=[_rule(rule, lang) for rule in book.rules if not rule.scheme],
        cautions=list(book.across.cautions),
        messages_made_by=book.messages(lang).made_by,
    )


@router.get("/{scheme}", openapi_extra=may(*READERS))
def show_scheme(scheme: str, lang: Lang = "en") -> SchemeOut:
    """One scheme: classes, marks, rules with examples and sources, cautions."""
    book = shipped()
    found = book.scheme(scheme)
    if found is None:
        known = ", ".join(entry.scheme for entry in book.schemes)
        raise NotFound("no_scheme", scheme=scheme, known=known)
    public = found.public_list
    return SchemeOut(
        scheme=found.scheme,
        title=found.title,
        jurisdiction=found.jurisdiction,
        authority=found.authority,
        kind=found.kind,
        status=found.status,
        ask=found.ask,
        list_key=list(found.list_key),
        public_list=None
        if public is None
        else {"name": public.name, "run_by": public.run_by, "look_up_by": public.look_up_by},
        documents=[str(source) for source in found.documents],
        classes=[_class(found, entry, lang) for entry in found.classes],
        marks=[_mark(entry) for entry in found.marks],
        rules=[_rule(rule, lang) for rule in book.rules if rule.scheme == scheme],
        cautions=list(found.cautions),
        papers=[_wanted(one, phrases.shipped().of(lang)) for one in found.papers],
        as_of=found.as_of,
        verify=list(found.verify),
        messages_made_by=book.messages(lang).made_by,
    )


def _class(scheme: Scheme, entry: FilterClass, lang: str) -> ClassOut:
    uses = uses_of(entry, lang, phrases.shipped())
    return ClassOut(
        scheme=scheme.scheme,
        kind=scheme.kind,
        name=entry.name,
        minimum_efficiency=entry.minimum_efficiency,
        leakage_percent=entry.leakage_percent,
        aerosol=entry.aerosol,
        flow_l_min=entry.flow_l_min,
        oil=entry.oil,
        good_for=uses.good_for,
        not_for=uses.not_for,
        says_in=uses.said_in,
        source=str(entry.source),
    )


def _wanted(paper: WantedPaper, say: Phrases) -> WantedPaperOut:
    return WantedPaperOut(
        paper=paper.paper,
        says=name_of(paper, say),
        titles=list(paper.titles),
        issued_by=paper.issued_by,
        agrees=list(paper.agrees),
        lacking=paper.lacking,
        source=str(paper.source),
        known=paper.source.known,
    )


def _mark(entry: MarkText) -> RuledMarkOut:
    return RuledMarkOut(
        mark=entry.mark,
        says=entry.says,
        required_on=list(entry.required_on),
        recommended_on=list(entry.recommended_on),
        may_stand_on=list(entry.may_stand_on),
        since=entry.since,
        examples=[example.line for example in entry.examples if example.value],
        source=str(entry.source),
    )


def _rule(rule: Rule, lang: str) -> RuleOut:
    said = shipped().messages(lang)
    if rule.id not in said.messages:
        said = shipped().messages("en")
    return RuleOut(
        rule=rule.id,
        severity=rule.severity,
        aspect=rule.aspect,
        says=said.messages[rule.id],
        says_in=said.language,
        check=rule.check.kind,
        source=str(rule.source),
        known=rule.source.known,
        raised_by=[_example(example) for example in rule.raises],
        not_raised_by=[_example(example) for example in rule.not_raised],
    )


def _example(example: Example) -> ExampleOut:
    return ExampleOut(
        lines=list(example.lines),
        surface=example.given.surface,
        whole=example.given.whole,
        declared=list(example.given.declared),
    )
