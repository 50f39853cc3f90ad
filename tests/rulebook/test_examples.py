"""Every example of every rules file: print in, findings out, and what the sentence says.

The examples restate the standards and authorities' pages that each rule names as its source.
"""

import csv
import re
from pathlib import Path
from typing import Any

import pytest

from inkwitness.consignment.papers import examples as papers
from inkwitness.findings.examples import (
    findings_of,
    grammar_problem,
    join_problem,
    problem_of_not_raising,
    problem_of_raising,
)
from inkwitness.findings.requires import COULD_BE_IT
from inkwitness.marks.text import ready
from inkwitness.rulebook import load
from inkwitness.rulebook.papers import PaperExample, PaperRule
from inkwitness.rulebook.values import Example, Given, GrammarExample, MarkText, Rule
from inkwitness.yaml_text import read_yaml

HERE = Path(__file__).parent
BOOK = load()
AnyRule = tuple[Rule | PaperRule, Example | PaperExample]
RAISING: list[AnyRule] = [(rule, example) for rule in BOOK.rules for example in rule.raises]
NEAR_MISSES: list[AnyRule] = [(rule, example) for rule in BOOK.rules for example in rule.not_raised]
PAPERS = BOOK.papers.rules
RAISING += [(rule, example) for rule in PAPERS for example in rule.raises]
NEAR_MISSES += [(rule, example) for rule in PAPERS for example in rule.not_raised]
FILES = [(scheme.scheme, scheme.marks) for scheme in BOOK.schemes] + [("", BOOK.common.marks)]
GRAMMARS = [
    (name, entry, example) for name, marks in FILES for entry in marks for example in entry.examples
]
WORKED: Any = read_yaml(HERE / "worked.yaml").content


@pytest.mark.parametrize(("rule", "example"), RAISING, ids=[r.id for r, _ in RAISING])
def test_example_raises_its_rule_and_says_so(
    rule: Rule | PaperRule, example: Example | PaperExample
) -> None:
    if isinstance(rule, PaperRule):
        assert isinstance(example, PaperExample)
        assert papers.problem_of_raising(rule, example, BOOK) == ""
        return
    assert isinstance(example, Example)
    assert problem_of_raising(rule, example, BOOK) == ""


@pytest.mark.parametrize(("rule", "example"), NEAR_MISSES, ids=[r.id for r, _ in NEAR_MISSES])
def test_near_miss_does_not_raise_the_rule(
    rule: Rule | PaperRule, example: Example | PaperExample
) -> None:
    if isinstance(rule, PaperRule):
        assert isinstance(example, PaperExample)
        assert papers.problem_of_not_raising(rule, example, BOOK) == ""
        return
    assert isinstance(example, Example)
    assert problem_of_not_raising(rule, example, BOOK) == ""


@pytest.mark.parametrize(
    ("scheme", "entry", "example"), GRAMMARS, ids=[f"{s}-{e.mark}" for s, e, _ in GRAMMARS]
)
def test_grammar_reads_its_example(scheme: str, entry: MarkText, example: GrammarExample) -> None:
    assert grammar_problem(scheme, entry, example, BOOK) == ""


@pytest.mark.parametrize(
    ("scheme", "entry", "example"), GRAMMARS, ids=[f"{s}-{e.mark}" for s, e, _ in GRAMMARS]
)
def test_letter_joined_to_a_mark_makes_another_word(
    scheme: str, entry: MarkText, example: GrammarExample
) -> None:
    assert join_problem(scheme, entry, example, BOOK) == ""


@pytest.mark.parametrize("worked", WORKED, ids=[w["number"] for w in WORKED])
def test_worked_example_gives_exactly_what_is_expected(worked: dict[str, object]) -> None:
    """64 whole prints with the full set of rules that each must raise (dossier on markings, 22).

    Notes that only explain or point to a list are left out where they are not expected.
    """
    given = Given(surface=worked["surface"], declared=tuple(worked["declared"]))  # type: ignore[arg-type]
    found = findings_of(Example(str(worked["print"]), given), BOOK)
    expected = set(worked["expected"])  # type: ignore[call-overload]
    graver = {finding.rule for finding in found if finding.severity != "note"}
    assert graver | ({finding.rule for finding in found} & expected) == expected


@pytest.mark.parametrize("rule", [r for r in BOOK.rules if r.innocent], ids=lambda rule: rule.id)
def test_what_only_looks_wrong_is_a_note_and_brings_no_conflict(rule: Rule) -> None:
    """Dual marks, private labels, short forms, old stock: explained, never a conflict of theirs."""
    assert rule.severity == "note"
    for example in rule.raises:
        same = [finding for finding in findings_of(example, BOOK) if finding.rule == rule.id]
        assert same or example.as_rule
        assert not any(finding.severity == "conflict" for finding in same)


LAWFUL_DOUBLES = [
    "OSTREVANE SAFETY / OV-2 / N95 / NIOSH / TC-84A-9981 / LOT 5 / 国(05)検 TM982 捨 DS2",
    "PELLANOR INDUSTRIAL / SR-08 / GB 2626-2019 KN95 / EN 149:2001+A1:2009 / FFP2 NR / CE 2999",
    "TAMBERLOW MASK CO / TM-12 / N95 / NIOSH / TC-84A-9981 / NOM-116-STPS-2009 / LOT 5",
    "HALCYRA RESPIRE / HR-F2 / EN 149:2001+A1:2009 / FFP2 NR / CE 2999 / P2 / AS/NZS 1716:2012",
    "HALCYRA RESPIRE / HR-F2 / EN 149:2001+A1:2009 / FFP2 NR / CE 2999 / UKCA 8512",
    "VEXHOLM FILTRATION / VX-9 / SURGICAL N95 RESPIRATOR / NIOSH / TC-84A-9981 / 160 MMHG / LOT 5",
    "LUMBREL CARE / LC-22 / N95 / NIOSH / TC-84A-9918 / LOT Q5 / MADE FOR LUMBREL CARE",
]


@pytest.mark.parametrize("print_", LAWFUL_DOUBLES)
def test_lawful_double_marks_raise_neither_conflict_nor_missing(print_: str) -> None:
    found = findings_of(Example(print_), BOOK)
    # Names without a label are asked about; nothing is said to be missing.
    said = [f for f in found if f.severity in ("conflict", "missing") and f.rule != COULD_BE_IT]
    assert said == []


def test_class_values_are_those_of_the_standards() -> None:
    """Minimum efficiencies against a table kept apart from the rules, with a source a row."""
    with (HERE / "classes.csv").open(encoding="utf-8") as file:
        table = {
            (row["scheme"], row["class"]): float(row["minimum_efficiency"])
            for row in csv.DictReader(file)
        }
    ours = {
        (scheme.scheme, entry.name): entry.minimum_efficiency
        for scheme in BOOK.schemes
        for entry in scheme.classes
        if entry.minimum_efficiency is not None
    }
    assert ours == table


def test_severities_are_those_that_were_decided() -> None:
    """A severity is changed in two places or not at all: dossier on markings, 21, as decided here
    (the digit count after TC-84A a caution; drafts cautions and notes)."""
    with (HERE / "severities.csv").open(encoding="utf-8") as file:
        table = {row["rule"]: row["severity"] for row in csv.DictReader(file)}
    assert {rule.id: rule.severity for rule in BOOK.rules} == table


def test_each_entry_of_a_register_is_read_by_a_grammar_that_it_speaks_of() -> None:
    """A register holds what marks can say: national editions are examples of the grammar."""
    for register in BOOK.registers:
        entries = [m for s in BOOK.schemes for m in s.marks if m.mark == register.mark]
        entries += [m for m in BOOK.common.marks if m.mark == register.mark]
        texts = [
            ready(example.printed).text if register.of == "printed" else example.value
            for entry in entries
            for example in entry.examples
        ]
        spoken = [text for text in texts if re.search(register.about, text)]
        assert spoken, register.register
        if register.of == "printed":
            for entry in register.entries:
                assert any(re.search(entry.matches, text) for text in spoken), entry.says
