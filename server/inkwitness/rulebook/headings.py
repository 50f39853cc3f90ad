"""`rules/list-headings.yaml`: how tables of others head the columns of a list of holders."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from pathlib import Path

from inkwitness.phrases import rules_folder
from inkwitness.rulebook import schema
from inkwitness.rulebook.kinds import STRICT
from inkwitness.yaml_text import BadRules, read_yaml

FILE = "list-headings.yaml"


@dataclass(frozen=True, slots=True)
class Headings:
    """The headings of each field of the list."""

    __pydantic_config__ = STRICT
    headings: dict[str, tuple[str, ...]]


def load(fields: Collection[str], folder: Path | None = None) -> Mapping[str, str]:
    """Which of the fields each heading of the folder's file means.

    Raises BadRules where a field is not known, or a heading stands under two.
    """
    text = read_yaml((folder or rules_folder()) / FILE)
    found: dict[str, str] = {}
    problems = []
    for name, words in schema.shaped(text, Headings).headings.items():
        line = text.line_of(("headings", name))
        if name not in fields:
            problems.append(f"{FILE}:{line}: no field '{name}', but {', '.join(fields)}")
        problems += [
            f"{FILE}:{line}: '{word}' stands under {found[word.casefold()]} too"
            for word in words
            if found.setdefault(word.casefold(), name) != name
        ]
    if problems:
        raise BadRules("\n".join(problems))
    return found
