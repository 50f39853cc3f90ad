"""Running the examples of rules for papers, and of the papers that schemes ask for.

They are the conformance suite of the rules: they run in the tests and in `rules check`.
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from inkwitness import phrases
from inkwitness.consignment.papers.judge import claims_of, judge, raised, says
from inkwitness.consignment.papers.values import (
    Beside,
    Said,
    said_by_entry,
    said_by_marks,
    sure,
)
from inkwitness.findings.judge import schemes_of
from inkwitness.findings.values import Circumstances, Finding, Item
from inkwitness.holders.values import HolderEntry, PrivateLabel
from inkwitness.marks.read_marks import marks_of_text
from inkwitness.marks.values import Mark
from inkwitness.rulebook.paper import Paper, PaperField, WantedPaper
from inkwitness.rulebook.papers import ListedIn, PaperExample, PaperPlace, PaperRule
from inkwitness.rulebook.values import Rulebook

#: Of each field that must agree, something that no example prints.
_OTHERWISE: Mapping[PaperField, str] = {
    "holder": "Corvanne Textiles",
    "product": "ZZ-404",
    "number": "404404",
    "body_number": "9404",
    "filter_class": "ZZ9",
    "standard": "ISO 404",
}


def typed_marks(print_: str, rulebook: Rulebook) -> tuple[Mark, ...]:
    """The marks of typed print, lines parted by ` / `, that may be compared."""
    lines = [line for line in print_.split(" / ") if line]
    found = marks_of_text(lines, rulebook.grammars, rulebook.vocabulary)
    return tuple(mark for mark in found if sure(mark))


def beside_of(example: PaperExample, rulebook: Rulebook) -> Beside:
    """What an example lies beside, its paper first."""
    papers = (example.paper, *example.papers)
    said: list[Said] = []
    schemes = {name for paper in papers for name in claims_of(paper, rulebook)}
    places: tuple[tuple[PaperPlace, str], ...] = (("print", example.print), ("box", example.box))
    for place, print_ in places:
        marks = typed_marks(print_, rulebook)
        said += said_by_marks(marks, place)
        item = Item(marks, Circumstances(example.on))
        schemes |= set(schemes_of([item], rulebook))
    said += [Said("lots", lot, "declared", unit=lot) for lot in example.declared_lots]
    entries = () if example.listed is None else (_entry(example.listed),)
    said += [one for entry in entries for one in said_by_entry(entry)]
    return Beside(papers, example.on, tuple(said), entries, frozenset(schemes), example.first_offer)


def problem_of_raising(rule: PaperRule, example: PaperExample, rulebook: Rulebook) -> str:
    """Why the example does not raise its rule as it says, or an empty string."""
    found = _of_first(rule, example, rulebook)
    if not found:
        return f"{rule.id} is not raised by {example.paper}"
    if any(finding.question != rule.asks for finding in found):
        return f"{rule.id} asks where it does not say so, or the other way, on {example.paper}"
    say = phrases.shipped().of("en")
    sentences = [says(finding, say) for finding in found]
    if example.says and not any(example.says in sentence for sentence in sentences):
        return f"{rule.id} says {sentences[0]!r}, without {example.says!r}"
    return ""


def problem_of_not_raising(rule: PaperRule, example: PaperExample, rulebook: Rulebook) -> str:
    """Why the near miss raises the rule although it must not, or an empty string."""
    found = _of_first(rule, example, rulebook)
    return f"{rule.id} is raised by {example.paper}, a near miss" if found else ""


def problems(rulebook: Rulebook) -> list[str]:
    """Everything that the examples find wrong."""
    found = [problem for rule in rulebook.papers.rules for problem in _of_rule(rule, rulebook)]
    for scheme in rulebook.schemes:
        for one in scheme.papers:
            found += problems_of_wanted(scheme.scheme, one, rulebook)
    return found


def problems_of_wanted(scheme: str, wanted: WantedPaper, rulebook: Rulebook) -> list[str]:
    """What the example of a paper that a scheme asks for finds wrong; empty where nothing is.

    With an invoice alone it is told as absent, so as `lacking` says; once it is there it is not,
    nothing differs, and each field that must agree is told where it says something else.
    """
    name = f"{scheme}: {wanted.paper}"
    absent = _absent(
        wanted, PaperExample(Paper("invoice", "Invoice"), print=wanted.print), rulebook
    )
    found = []
    if absent is not (wanted.lacking != "named"):
        found.append(f"{name} is {'' if absent else 'not '}told as absent beside an invoice alone")
    there = PaperExample(wanted.there, print=wanted.print)
    if _absent(wanted, there, rulebook):
        found.append(f"{name} is told as absent although it is there")
    if differing := _differing(there, rulebook):
        found.append(f"{name}: its example differs from the print in {', '.join(differing)}")
    for field in wanted.agrees:
        changed: dict[str, Any] = {field: _OTHERWISE[field]}
        other = replace(wanted.there, **changed)
        if field not in _differing(replace(there, paper=other), rulebook):
            found.append(f"{name}: no rule is raised where its {field} is not that of the print")
    return found


def _absent(wanted: WantedPaper, example: PaperExample, rulebook: Rulebook) -> bool:
    for finding in judge(beside_of(example, rulebook), rulebook).findings:
        rule, values = rulebook.papers.rule(finding.rule), dict(finding.values)
        if values.get("wanted") == wanted.paper:
            return True
        own = rule.check.absent if rule is not None else None
        if wanted.lacking == "own" and own is not None and own.kind in wanted.kinds:
            return True
    return False


def _differing(example: PaperExample, rulebook: Rulebook) -> list[str]:
    """The fields in which the papers say something else than what they lie beside."""
    found = []
    for finding in judge(beside_of(example, rulebook), rulebook).findings:
        rule = rulebook.papers.rule(finding.rule)
        if rule is not None and rule.check.differs is not None and not rule.innocent:
            found.append(dict(finding.values)["field"])
    return found


def _of_rule(rule: PaperRule, rulebook: Rulebook) -> Iterable[str]:
    said = [problem_of_raising(rule, example, rulebook) for example in rule.raises]
    said += [problem_of_not_raising(rule, example, rulebook) for example in rule.not_raised]
    return [problem for problem in said if problem]


def _of_first(rule: PaperRule, example: PaperExample, rulebook: Rulebook) -> list[Finding]:
    return list(raised(rule, beside_of(example, rulebook), rulebook))


def _entry(listed: ListedIn) -> HolderEntry:
    return HolderEntry(
        scheme="",
        holder=listed.holder,
        approval_number=listed.number,
        certificate_number=listed.certificate,
        private_labels=tuple(_label(text) for text in listed.private_labels),
        filter_classes=listed.classes,
        models=listed.models,
        examination_body=listed.examination_body,
        production_body=listed.production_body,
    )


def _label(text: str) -> PrivateLabel:
    """`Lumbrel Care LC-22`: a name, and behind it a model where the last word has a digit."""
    name, _, last = text.rpartition(" ")
    if name and any(letter.isdigit() for letter in last):
        return PrivateLabel(name, (last,))
    return PrivateLabel(text)
