"""Rules raised on papers: pure functions over papers, what lies beside them, and the rule book.

A conflict rests on what a person typed of a paper and on print that is read or confirmed. A name
that only resembles another is a question; so is what a register does not have.
"""

import datetime as dt
import re
from collections.abc import Iterable, Iterator
from dataclasses import replace

from inkwitness.consignment.papers import compare
from inkwitness.consignment.papers.values import Beside, PapersJudged, Said, sure
from inkwitness.findings.judge import schemes_of
from inkwitness.findings.outcome import aspect_of
from inkwitness.findings.values import Circumstances, Finding, Item
from inkwitness.marks.read_marks import marks_of_text
from inkwitness.marks.text import ready
from inkwitness.phrases import Phrases
from inkwitness.rulebook.paper import WantedPaper
from inkwitness.rulebook.papers import (
    BodyRegister,
    Differs,
    Paper,
    PaperDates,
    PaperField,
    PaperRule,
    Wanted,
)
from inkwitness.rulebook.values import Rulebook, Scheme

#: What one rule found on one paper: the values of its sentence; with "asks" only a question.
Hit = dict[str, str]


def judge(beside: Beside, rulebook: Rulebook) -> PapersJudged:
    """Findings on all papers, the state of the aspect `documents`, and the table of fields."""
    if not beside.papers:
        return PapersJudged("not_looked_at")
    claimed = beside.schemes | {
        scheme for paper in beside.papers for scheme in claims_of(paper, rulebook)
    }
    known = replace(beside, schemes=claimed)
    found = tuple(
        finding for rule in rulebook.papers.rules for finding in raised(rule, known, rulebook)
    )
    printing = rulebook.vocabulary.printing
    return PapersJudged(
        aspect_of(found, "documents", looked=True), found, compare.table(beside, printing)
    )


def claims_of(paper: Paper, rulebook: Rulebook) -> tuple[str, ...]:
    """The schemes that a paper's own standard, class and number claim."""
    lines = [text for text in (paper.standard, paper.filter_class, paper.number) if text.strip()]
    marks = [
        mark
        for mark in marks_of_text(lines, rulebook.grammars, rulebook.vocabulary, unlabelled=False)
        if sure(mark)
    ]
    return schemes_of([Item(tuple(marks), Circumstances(_ANY_DAY))], rulebook)


def raised(rule: PaperRule, beside: Beside, rulebook: Rulebook) -> Iterator[Finding]:
    """The findings of one rule; equal ones once. `beside.schemes` are all that are claimed."""
    if not _holds(rule, beside, rulebook):
        return
    if (absent := rule.check.absent) is not None:
        if not any(paper.kind == absent.kind for paper in beside.papers):
            bodies = [
                one.value for one in beside.said if one.field == absent.by and one.place in _GOODS
            ]
            by = {"other": ", ".join(dict.fromkeys(bodies))} if bodies else {}
            yield _finding(rule, None, {"kind": absent.kind} | by)
        return
    if (wanted := rule.check.wanted) is not None:
        for scheme, one in _not_there(wanted, beside, rulebook):
            yield _finding(rule, None, _of_wanted(scheme, one))
        return
    told: set[tuple[str, ...]] = set()
    for paper in beside.papers:
        if rule.when.kinds and paper.kind not in rule.when.kinds:
            continue
        for hit in _hits(rule, paper, beside, rulebook):
            same = (paper.id or str(id(paper)), hit.get("value", ""), hit.get("other", ""))
            if same not in told:
                told.add(same)
                yield _finding(rule, paper, hit)


def says(finding: Finding, say: Phrases) -> str:
    """The sentence of a finding on papers, in one language."""
    values = dict(finding.values)
    if "wanted" in values:
        key = f"wanted.{values['wanted']}"
        values["wanted"] = say(key) if key in say else values["value"]
    for name, section in _SAID_AS.items():
        if name in values:
            other = "paper_kind" if f"paper_kind.{values[name]}" in say else section
            values[name] = say.named(other, values[name])
    values["paper"] = f"“{values['title']}”" if values.get("title") else values.get("kind", "")
    # of a paper that is absent one may know who would give it
    of = f"paper.{finding.rule}.of"
    return say(of if of in say and "other" in values else f"paper.{finding.rule}", **values)


def next_step(finding: Finding, rulebook: Rulebook, say: Phrases) -> str:
    """What to do about it; empty where nothing is to be done."""
    rule = rulebook.papers.rule(finding.rule)
    return say(f"paper_next.{rule.next}") if rule is not None and rule.next != "none" else ""


def source_of(finding: Finding, rulebook: Rulebook) -> str:
    """Where it comes from: what the scheme's file says of a paper that it asks for, or the rule."""
    values = dict(finding.values)
    scheme = rulebook.scheme(values.get("of_scheme", ""))
    for one in scheme.papers if scheme is not None else ():
        if one.paper == values["wanted"]:
            return str(one.source)
    rule = rulebook.papers.rule(finding.rule)
    return str(rule.source) if rule is not None else ""


def name_of(wanted: WantedPaper, say: Phrases) -> str:
    """What a wanted paper is called; its title where a scheme of one's own has no sentence."""
    key = f"wanted.{wanted.paper}"
    return say(key) if key in say else wanted.titles[0]


def _not_there(
    asked: Wanted, beside: Beside, rulebook: Rulebook
) -> Iterator[tuple[Scheme, WantedPaper]]:
    """The papers of the claimed schemes of which none of their kinds came, each once."""
    kinds = {paper.kind for paper in beside.papers}
    told: set[str] = set()
    for scheme, one in _wanted_by(beside.schemes, rulebook):
        if one.lacking == asked.lacking and not kinds & set(one.kinds) and one.paper not in told:
            told.add(one.paper)
            yield scheme, one


def _of_wanted(scheme: Scheme, one: WantedPaper) -> Hit:
    titles = "; ".join(one.titles)
    return {
        "kind": one.kinds[0],
        "of_scheme": scheme.scheme,
        "wanted": one.paper,
        "value": titles,
    }


def _wanted_by(schemes: Iterable[str], rulebook: Rulebook) -> Iterator[tuple[Scheme, WantedPaper]]:
    claimed = set(schemes)
    for scheme in rulebook.schemes:
        if scheme.scheme in claimed:
            yield from ((scheme, one) for one in scheme.papers)


def _asked_for_by_all(paper: Paper, beside: Beside, rulebook: Rulebook) -> bool:
    """Whether each claimed scheme asks for this kind of paper: it then stands in no other's place.

    Where a maker declares the class itself, its test report is what there is.
    """
    asking = {
        scheme.scheme
        for scheme, one in _wanted_by(beside.schemes, rulebook)
        if paper.kind in one.kinds and one.lacking != "named"
    }
    return bool(beside.schemes) and asking == beside.schemes


#: Where the goods themselves speak.
_GOODS = ("print", "box")
_SAID_AS = {"kind": "paper_kind", "field": "paper_field", "place": "paper_place"}
#: What a paper claims is the same on any day.
_ANY_DAY = dt.date(2001, 1, 1)


def _holds(rule: PaperRule, beside: Beside, rulebook: Rulebook) -> bool:
    when = rule.when
    if when.schemes and not beside.schemes & set(when.schemes):
        return False
    kinds = {one.kind for name in beside.schemes if (one := rulebook.scheme(name)) is not None}
    return not when.goods or when.goods in kinds


def _finding(rule: PaperRule, paper: Paper | None, hit: Hit) -> Finding:
    values = {name: text for name, text in hit.items() if name != "asks"}
    if paper is not None:
        values = {"kind": paper.kind, "title": paper.title, "paper_id": paper.id} | values
    return Finding(
        rule=rule.id,
        scheme="",
        severity=rule.severity,
        aspect="documents",
        question=rule.asks or "asks" in hit,
        values=tuple(values.items()),
        cannot_tell=rule.cannot_tell,
    )


def _hits(rule: PaperRule, paper: Paper, beside: Beside, rulebook: Rulebook) -> Iterable[Hit]:
    check = rule.check
    if check.title is not None:
        like = any(re.search(one, ready(paper.title).text) for one in check.title.patterns)
        raised_ = paper.title.strip() and like is (check.title.raised_when == "like")
        return [{"value": paper.title}] if raised_ else []
    if check.lacks is not None:
        return [{"field": f, "value": f} for f in check.lacks.fields if _lacks(paper, f)]
    if check.field_like is not None:
        name, pattern = check.field_like.field, check.field_like.pattern
        texts = [text for text in paper.texts(name) if re.search(pattern, ready(text).text)]
        return [{"field": name, "value": text} for text in texts]
    if check.body_register is not None:
        return _in_register(check.body_register, paper, rulebook)
    if check.dates is not None:
        return _dates(check.dates, paper, beside)
    if check.differs is not None:
        return _differs(check.differs, paper, beside, rulebook)
    if check.in_place_of is not None:
        there = any(other.kind in check.in_place_of.kinds for other in beside.papers)
        itself = _asked_for_by_all(paper, beside, rulebook)
        return [] if there or itself else [{"value": paper.title}]
    assert check.incomplete is not None
    return _incomplete(check.incomplete.raised_when, paper)


def _lacks(paper: Paper, name: PaperField) -> bool:
    return not paper.texts(name) and name not in paper.unreadable


def _in_register(asked: BodyRegister, paper: Paper, rulebook: Rulebook) -> list[Hit]:
    registers = [one for name in asked.registers if (one := rulebook.register(name)) is not None]
    number = compare.digits(paper.body_number)
    if not number:
        return []
    for register in registers:
        entry = next((e for e in register.entries if re.search(e.matches, number)), None)
        if entry is not None:
            told = {"value": number, "entry": entry.says, "as_of": register.as_of.isoformat()}
            return [told] if asked.raised_when == "in" else []
    oldest = min(register.as_of for register in registers).isoformat()
    return [{"value": number, "as_of": oldest}] if asked.raised_when == "not_in" else []


def _dates(check: PaperDates, paper: Paper, beside: Beside) -> list[Hit]:
    issued, expires = paper.issued, paper.expires
    shown: Hit | None = None
    if check.raised_when == "ended" and expires is not None and expires < beside.on:
        shown = {"value": expires.isoformat(), "on": beside.on.isoformat()}
    elif check.raised_when == "future" and issued is not None and issued > beside.on:
        shown = {"value": issued.isoformat(), "on": beside.on.isoformat()}
    elif check.raised_when == "after_offer" and issued is not None and beside.first_offer:
        if issued > beside.first_offer:
            shown = {"value": issued.isoformat(), "other": beside.first_offer.isoformat()}
    elif check.raised_when == "before_standard" and issued is not None:
        years = [int(year) for year in re.findall(r"(?<!\d)(?:19|20)\d\d(?!\d)", paper.standard)]
        if years and issued.year < max(years):
            shown = {"value": issued.isoformat(), "other": paper.standard}
    elif check.raised_when == "span" and issued is not None and expires is not None:
        last = (issued.year + check.years, issued.month, issued.day)
        if (expires.year, expires.month, expires.day) > last:
            shown = {"value": issued.isoformat(), "other": expires.isoformat()}
    return [shown] if shown is not None else []


def _differs(check: Differs, paper: Paper, beside: Beside, rulebook: Rulebook) -> Iterator[Hit]:
    texts = paper.texts(check.field)
    if not texts:
        return
    printing = rulebook.vocabulary.printing
    for others in compare.sources(_elsewhere(check, paper, beside)):
        state = compare.lies_beside(check.field, texts, others, beside.entries, printing)
        if state != "agrees":
            shown = "; ".join(dict.fromkeys(one.value for one in others))
            other = others[0].paper
            hit = {"field": check.field, "value": "; ".join(texts), "other": shown}
            hit["place"] = others[0].place if other is None else other.kind
            yield hit | ({"asks": "yes"} if state == "resembles" else {})


def _elsewhere(check: Differs, paper: Paper, beside: Beside) -> list[Said]:
    name: PaperField = check.other or check.field
    if check.within:
        return compare.said_by_papers([paper], check.within)
    found = [one for one in beside.said if one.field == name and one.place in check.than]
    if "papers" in check.than:
        others = [
            other
            for other in beside.papers
            if other is not paper and (not check.kinds or other.kind in check.kinds)
        ]
        found += compare.said_by_papers(others, name)
    return found


def _incomplete(raised_when: str, paper: Paper) -> list[Hit]:
    if raised_when == "pages":
        short = paper.pages is not None and (paper.pages_here or 0) < paper.pages
        return [{"value": str(paper.pages_here or 0), "other": str(paper.pages)}] if short else []
    if raised_when == "values":
        return [{"value": paper.title}] if paper.specimen_values == "no" else []
    return [{"field": name, "value": name} for name in paper.unreadable]
