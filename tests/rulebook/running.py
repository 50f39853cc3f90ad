"""Running the examples of the rules files: print in, findings out. Used by the tests, the mutation
run and `rules check`-like tools; it knows nothing but the public functions."""

from dataclasses import replace

from inkwitness.findings.judge import judge_unit
from inkwitness.findings.values import Circumstances, Finding, Item
from inkwitness.marks.code_marks import marks_of_codes
from inkwitness.marks.read_text import marks_of_text
from inkwitness.marks.values import Mark
from inkwitness.reading.codes import Code
from inkwitness.rulebook.values import Example, Given, Rule, Rulebook


def _doubtful(mark: Mark, names: tuple[str, ...]) -> Mark:
    return replace(mark, standing="doubtful") if mark.mark in names else mark


def item_of(
    lines: tuple[str, ...], given: Given, rulebook: Rulebook, surface: str = "", whole: str = ""
) -> Item:
    """An item whose print is typed text."""
    marks = marks_of_text(lines, rulebook.grammars, rulebook.vocabulary)
    codes = marks_of_codes([Code("text", text) for text in given.codes])
    return Item(
        marks=(*(_doubtful(mark, given.doubtful) for mark in marks), *codes),
        circumstances=Circumstances(
            on=given.on,
            surface=surface or given.surface,  # type: ignore[arg-type]
            whole=whole or given.whole,  # type: ignore[arg-type]
            declared=frozenset(given.declared),
            told=tuple(given.told.items()),
        ),
        lines=lines,
        all_legible=given.legible,
    )


def items_of(example: Example, rulebook: Rulebook) -> tuple[Item, ...]:
    """The example's photo, and the others of the same unit."""
    given = example.given
    first = item_of(example.lines, given, rulebook)
    others = [
        item_of(Example(face.print).lines, given, rulebook, face.surface, face.whole)
        for face in given.also
    ]
    return (first, *others)


def findings_of(example: Example, rulebook: Rulebook) -> tuple[Finding, ...]:
    return judge_unit(items_of(example, rulebook), rulebook)


def raised(rule: Rule, example: Example, rulebook: Rulebook) -> list[Finding]:
    """The findings of this rule (or of the note that stands for it) on the example."""
    return [
        finding
        for finding in findings_of(example, rulebook)
        if finding.rule == rule.id or ("rule", rule.id) in finding.values
    ]


def problem_of_raising(rule: Rule, example: Example, rulebook: Rulebook) -> str:
    """Why the example does not raise its rule as it says, or an empty string."""
    found = raised(rule, example, rulebook)
    name = example.as_rule or rule.id
    if not found:
        every = [finding.rule for finding in findings_of(example, rulebook)]
        return f"{rule.id} is not raised by {example.print!r}, but {every}"
    if any(finding.rule != name for finding in found):
        return f"{rule.id} comes as {found[0].rule}, not {name}, on {example.print!r}"
    if not example.as_rule and any(finding.severity != rule.severity for finding in found):
        return f"{rule.id} comes with another severity"
    if any(finding.question != example.question for finding in found):
        return f"{rule.id}: question is {found[0].question} on {example.print!r}"
    sentences = [rulebook.says(finding.rule, dict(finding.values)) for finding in found]
    if example.says and not any(example.says in sentence for sentence in sentences):
        return f"{rule.id} says {sentences}, without {example.says!r}"
    return ""


def problem_of_not_raising(rule: Rule, example: Example, rulebook: Rulebook) -> str:
    """Why the example raises the rule although it must not, or an empty string."""
    found = raised(rule, example, rulebook)
    return f"{rule.id} is raised by {example.print!r}" if found else ""


def problems(rulebook: Rulebook) -> list[str]:
    """Everything that the examples of all rules and grammars find wrong."""
    wrong = [
        said
        for rule in rulebook.rules
        for example in rule.raises
        if (said := problem_of_raising(rule, example, rulebook))
    ]
    wrong += [
        said
        for rule in rulebook.rules
        for example in rule.not_raised
        if (said := problem_of_not_raising(rule, example, rulebook))
    ]
    return wrong + grammar_problems(rulebook)


def grammar_problems(rulebook: Rulebook) -> list[str]:
    """The grammar examples that do not read as they say."""
    wrong = []
    files = [(scheme.scheme, scheme.marks) for scheme in rulebook.schemes]
    files.append(("", rulebook.common.marks))
    for name, entries in files:
        for entry in entries:
            for example in entry.examples:
                marks = marks_of_text((example.line,), rulebook.grammars, rulebook.vocabulary)
                found = [m for m in marks if m.mark == entry.mark and m.scheme == name]
                if not example.value:
                    found = [m for m in found if m.standing == "read" and m.line is not None]
                    residual = entry.mark in ("model", "manufacturer") and name == ""
                    if found and not residual:
                        wrong.append(
                            f"{name}/{entry.mark}: {example.line!r} reads {found[0].value}"
                        )
                elif (example.printed, example.value) not in [(m.printed, m.value) for m in found]:
                    got = [(m.mark, m.printed, m.value) for m in marks]
                    wrong.append(f"{name}/{entry.mark}: {example.line!r} reads {got}")
    return wrong
