"""`rules/list-headings.yaml`: how tables of others head the columns of a list of holders."""

import re
import unicodedata
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


def plain(heading: str) -> str:
    """A heading without case and accents, signs as one space; letters of other scripts stay.

    >>> plain("Número_de  Aprobación:")
    'numero de aprobacion'
    """
    letters = unicodedata.normalize("NFKD", heading.casefold())
    bare = "".join(one for one in letters if not unicodedata.combining(one))
    return re.sub(r"[^\w]+|_", " ", bare).strip()


def load(fields: Collection[str], folder: Path | None = None) -> Mapping[str, str]:
    """Which of the fields each heading of the folder's file means, by its `plain` form.

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
            f"{FILE}:{line}: '{word}' stands under {found[plain(word)]} too"
            for word in words
            if found.setdefault(plain(word), name) != name
        ]
    if problems:
        raise BadRules("\n".join(problems))
    return found
