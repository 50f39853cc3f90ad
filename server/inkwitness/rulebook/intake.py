"""`rules/intake.yaml`: what is asked of whoever offers goods, and what is noted about an offer."""

import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from inkwitness import phrases
from inkwitness.phrases import rules_folder
from inkwitness.rulebook import schema
from inkwitness.rulebook.kinds import STRICT
from inkwitness.rulebook.values import Source
from inkwitness.yaml_text import BadRules, read_yaml


@dataclass(frozen=True, slots=True)
class Asked:
    """A question, or a signal that is noted; its sentence stands in the phrase book."""

    __pydantic_config__ = STRICT
    id: str
    source: Source


@dataclass(frozen=True, slots=True)
class Intake:
    """Everything that is asked and noted when goods are offered, in the order to go through it."""

    __pydantic_config__ = STRICT
    questions: tuple[Asked, ...]
    signals: tuple[Asked, ...]


def load(folder: Path | None = None) -> Intake:
    """Read `intake.yaml` of the folder. Raises BadRules where it is not as it should be."""
    path = (folder or rules_folder()) / "intake.yaml"
    intake = schema.shaped(read_yaml(path), Intake)
    problems = []
    for section, asked in (("question", intake.questions), ("signal", intake.signals)):
        names = [one.id for one in asked]
        problems += [
            f"{path.name}:1: '{name}' stands twice" for name in names if names.count(name) > 1
        ]
        problems += [
            f"{path.name}:1: '{name}' is no id in kebab case"
            for name in names
            if not re.fullmatch(r"[a-z]+(-[a-z]+)*", name)
        ]
        say = phrases.shipped().of("en")
        problems += [
            f"{path.name}:1: messages/ has no 'intake_{section}.{name}'"
            for name in names
            if f"intake_{section}.{name}" not in say
        ]
    if problems:
        raise BadRules("\n".join(dict.fromkeys(problems)))
    return intake


@cache
def shipped() -> Intake:
    """The questions that this program came with, read once a process. Raises BadRules."""
    return load()
