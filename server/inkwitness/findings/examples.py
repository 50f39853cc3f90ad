"""Running the examples of the rules files: print in, findings out.

The examples are the conformance suite of the rules: they run in the tests, in `rules check`, and
under the mutation run. Each function gives sentences of what is wrong, empty where nothing is.
"""

from dataclasses import replace

from inkwitness.findings.judge import judge_unit
from inkwitness.findings.requires import COULD_BE_IT
from inkwitness.findings.values import Circumstances, Finding, Item, Surface, Whole
from inkwitness.marks.code_marks import marks_of_codes
from inkwitness.marks.match import Match, find, ink_span
from inkwitness.marks.read_marks import marks_of_text
from inkwitness.marks.text import ready
from inkwitness.marks.values import Mark
from inkwitness.reading.codes import Code
from inkwitness.rulebook.values import (
    Example,
    Given,
    GrammarExample,
    MarkText,
    Rule,
    Rulebook,
)


def item_of(
    lines: tuple[str, ...], given: Given, rulebook: Rulebook, surface: Surface, whole: Whole
) -> Item:
    """An item whose print is typed text; what is `doubtful` in the example is made so."""
    marks = marks_of_text(lines, rulebook.grammars, rulebook.vocabulary)
    codes = marks_of_codes([Code("text", text) for text in given.codes])
    return Item(
        marks=(*(_doubtful(mark, given.doubtful) for mark in marks), *codes),
        circumstances=Circumstances(
            on=given.on,
            surface=surface,
            whole=whole,
            declared=frozenset(given.declared),
            told=tuple(given.told.items()),
        ),
        lines=lines,
        all_legible=given.legible,
    )


def items_of(example: Example, rulebook: Rulebook) -> tuple[Item, ...]:
    """The example's photo, and the others of the same unit."""
    given = example.given
    first = item_of(example.lines, given, rulebook, given.surface, given.whole)
    others = [
        item_of(Example(face.print).lines, given, rulebook, face.surface, face.whole)
        for face in given.also
    ]
    return (first, *others)


def findings_of(example: Example, rulebook: Rulebook) -> tuple[Finding, ...]:
    """All findings on an example."""
    return judge_unit(items_of(example, rulebook), rulebook)


def problem_of_raising(rule: Rule, example: Example, rulebook: Rulebook) -> str:
    """Why the example does not raise its rule as it says, or an empty string."""
    found = _raised(rule, example, rulebook)
    name = example.as_rule or rule.id
    if not found:
        every = ", ".join(finding.rule for finding in findings_of(example, rulebook))
        return f"{rule.id} is not raised by {example.print!r}; raised: {every or 'nothing'}"
    if any(finding.rule != name for finding in found):
        return f"{rule.id} comes as {found[0].rule}, not as {name}, on {example.print!r}"
    if any(finding.question != example.question for finding in found):
        asked = "a question" if found[0].question else "no question"
        return f"{rule.id} is {asked} on {example.print!r}"
    sentences = [rulebook.says(finding.rule, dict(finding.values)) for finding in found]
    if example.says and not any(example.says in sentence for sentence in sentences):
        return f"{rule.id} says {sentences[0]!r}, without {example.says!r}"
    return ""


def problem_of_not_raising(rule: Rule, example: Example, rulebook: Rulebook) -> str:
    """Why the near miss raises the rule although it must not, or an empty string."""
    # Print without a label that could be the mark makes a question of it, which is no miss.
    found = [one for one in _raised(rule, example, rulebook) if one.rule != COULD_BE_IT]
    return f"{rule.id} is raised by {example.print!r}, a near miss" if found else ""


def rule_problems(rule: Rule, rulebook: Rulebook) -> list[str]:
    """What the examples of one rule find wrong."""
    said = [problem_of_raising(rule, example, rulebook) for example in rule.raises]
    said += [problem_of_not_raising(rule, example, rulebook) for example in rule.not_raised]
    return [problem for problem in said if problem]


def grammar_problem(
    scheme: str, entry: MarkText, example: GrammarExample, rulebook: Rulebook
) -> str:
    """Why a grammar's example does not read as it says, or an empty string."""
    marks = marks_of_text((example.line,), rulebook.grammars, rulebook.vocabulary)
    found = [mark for mark in marks if mark.mark == entry.mark and mark.scheme == scheme]
    got = [(mark.mark, mark.printed, mark.value) for mark in marks]
    where = f"{scheme or 'common'}, {entry.mark}"
    if example.value:
        standing = "doubtful" if example.doubtful else "read"
        wanted = (example.printed, example.value, standing)
        right = wanted in [(m.printed, m.value, m.standing) for m in found]
        # A name or model is also found without its label: the grammar itself must read it.
        own = any(
            (_ink(hit, example.line), hit.value) in _as_read(example)
            for grammar in rulebook.grammars
            if (grammar.mark, grammar.scheme) == (entry.mark, scheme)
            for hit in find(example.line, grammar)
        )
        return "" if right and own else f"{where}: {example.line!r} reads {got}"
    # A name or model without a label is found by another way than the grammar.
    unlabelled = entry.mark in ("model", "manufacturer") and not scheme
    sure = [mark for mark in found if mark.standing == "read"]
    hits = [
        hit
        for grammar in rulebook.grammars
        if (grammar.mark, grammar.scheme) == (entry.mark, scheme)
        for hit in find(example.line, grammar, loosely=False)
    ]
    return f"{where}: {example.line!r} reads {got}" if hits or (sure and not unlabelled) else ""


def join_problem(scheme: str, entry: MarkText, example: GrammarExample, rulebook: Rulebook) -> str:
    """Why the example's mark is still read when a letter is joined to it, or an empty string.

    `XN95` is another word than `N95`. Only sides that end in a Latin letter or digit are tried.
    """
    grammar = next(
        (g for g in rulebook.grammars if (g.mark, g.scheme) == (entry.mark, scheme)), None
    )
    if grammar is None or not example.value:
        return ""
    wanted = next(
        (hit for hit in find(example.line, grammar) if _ink(hit, example.line) == example.printed),
        None,
    )
    if wanted is None:
        return ""
    for side, at, edge in (
        ("before", wanted.start, wanted.start),
        ("after", wanted.end, wanted.end - 1),
    ):
        plain = ready(example.line[edge]).text
        if side in entry.may_join or not (plain.isascii() and plain.isalnum()):
            continue
        joined = example.line[:at] + "X" + example.line[at:]
        hits = find(joined, grammar, loosely=False)
        if any((_ink(h, joined), h.value) == (example.printed, wanted.value) for h in hits):
            return f"{scheme or 'common'}, {entry.mark}: {joined!r} is still read as {wanted.value}"
    return ""


def _as_read(example: GrammarExample) -> tuple[tuple[str, str], tuple[str, str]]:
    """Ink and value as a grammar gives them: a date not yet in normal form, a name in capitals."""
    return (
        (example.printed, example.value),
        (example.printed, ready(example.printed).text),
    )


def _ink(match: Match, line: str) -> str:
    start, end = ink_span(match)
    return line[start:end]


def problems(rulebook: Rulebook, scheme: str | None = None) -> list[str]:
    """Everything that the examples find wrong, of one file (`scheme`) or of all."""
    rules = [rule for rule in rulebook.rules if scheme is None or rule.scheme == scheme]
    files = [(entry.scheme, entry.marks) for entry in rulebook.schemes]
    files.append(("", rulebook.common.marks))
    wrong = [problem for rule in rules for problem in rule_problems(rule, rulebook)]
    for name, entries in files:
        if scheme is None or name == scheme:
            wrong += [
                problem
                for entry in entries
                for example in entry.examples
                if (
                    problem := grammar_problem(name, entry, example, rulebook)
                    or join_problem(name, entry, example, rulebook)
                )
            ]
    return wrong


def _raised(rule: Rule, example: Example, rulebook: Rulebook) -> list[Finding]:
    """The findings of this rule, or of the note that stands for it."""
    alone = replace(rulebook, rules=(rule,))
    return list(judge_unit(items_of(example, rulebook), alone))


def _doubtful(mark: Mark, names: tuple[str, ...]) -> Mark:
    return replace(mark, standing="doubtful") if mark.mark in names else mark
