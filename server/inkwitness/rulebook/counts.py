"""How much there is in a rule book."""

from dataclasses import dataclass

from inkwitness.rulebook.values import Rulebook


@dataclass(frozen=True, slots=True)
class Counts:
    """Numbers of files and entries; `examples` are print with an expected finding or none."""

    schemes: int
    drafts: int
    marks: int
    rules: int
    examples: int
    grammar_examples: int
    from_memory: int


def counts_of(rulebook: Rulebook) -> Counts:
    """Count the schemes, marks (entries of all files), rules and examples."""
    entries = [mark for scheme in rulebook.schemes for mark in scheme.marks]
    entries += rulebook.common.marks
    return Counts(
        schemes=len(rulebook.schemes),
        drafts=sum(scheme.status == "draft" for scheme in rulebook.schemes),
        marks=len(entries),
        rules=len(rulebook.rules),
        examples=sum(len(rule.raises) + len(rule.not_raised) for rule in rulebook.rules),
        grammar_examples=sum(len(mark.examples) for mark in entries),
        from_memory=sum(rule.source.known == "from-memory" for rule in rulebook.rules),
    )
