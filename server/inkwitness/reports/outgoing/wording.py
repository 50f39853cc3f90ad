"""Words that judge, in each language: no phrase, template, label or message of ours has one.

They stand in `rules/messages/verdicts.yaml`, and there alone.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from inkwitness import phrases
from inkwitness.errors import BadInput
from inkwitness.rulebook import schema
from inkwitness.rulebook.kinds import STRICT
from inkwitness.yaml_text import BadRules, read_yaml

_QUOTED = re.compile(r"“[^”]*”|\"[^\"]*\"|«[^»]*»")


@dataclass(frozen=True, slots=True)
class _Verdicts:
    """The file as it stands: patterns by language."""

    __pydantic_config__ = STRICT
    whole: dict[str, tuple[str, ...]]
    anywhere: dict[str, tuple[str, ...]]
    of_a_finding: dict[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Patterns:
    """What judges, by language: in any text of ours, and in a finding's sentence besides."""

    judging: Mapping[str, re.Pattern[str]]
    of_a_finding: Mapping[str, re.Pattern[str]]


def load(folder: Path | None = None) -> Patterns:
    """Read the list. Raises BadRules where an entry is no pattern or a language has none."""
    text = read_yaml((folder or phrases.rules_folder()) / "messages" / "verdicts.yaml")
    said = schema.shaped(text, _Verdicts)

    def one(language: str, *, finding: bool = False) -> re.Pattern[str]:
        words = [rf"\b(?:{word})\b" for word in said.whole.get(language, ())]
        words += said.anywhere.get(language, ())
        if not words:
            raise BadRules(f"{text.name}:1: no words of the language '{language}'; add a list")
        if finding:
            words += [rf"\b(?:{word})\b" for word in said.of_a_finding.get(language, ())]
        try:
            return re.compile("|".join(words), re.IGNORECASE)
        except re.error as error:
            raise BadRules(f"{text.name}:1: {language}: no pattern: {error}") from error

    languages = phrases.shipped().languages
    return Patterns(
        {code: one(code) for code in languages},
        {code: one(code, finding=True) for code in languages},
    )


@cache
def _shipped() -> Patterns:
    return load()


def judging(language: str, text: str, *, finding: bool = False) -> list[str]:
    """The words of a text that judge, in the order they stand there.

    >>> judging("en", "The paper is titled “approved list”; the goods are fake.")
    ['fake']
    """
    listed = _shipped().of_a_finding if finding else _shipped().judging
    return [found[0] for found in listed[language].finditer(_QUOTED.sub(" ", text))]


def check(language: str, text: str) -> None:
    """Raises BadInput where a person's words for somebody outside hold a word that judges."""
    found = judging(language, text)
    if found:
        raise BadInput("word_judges", word=found[0])
