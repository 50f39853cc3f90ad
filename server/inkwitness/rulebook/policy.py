"""A site's own policy: for each setting the least protection, valves, fluid resistance; and the
papers without which it takes nothing.

The user edits the file. What came with the program is an example of common practice, no source;
local policy and licensed practice decide.
"""

import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from inkwitness.phrases import rules_folder
from inkwitness.rulebook import schema
from inkwitness.rulebook.kinds import STRICT
from inkwitness.rulebook.paper import PaperKind
from inkwitness.yaml_text import BadRules, read_yaml

Protection = Literal["none", "medical_mask", "respirator"]
FILE = "site-policy.yaml"


@dataclass(frozen=True, slots=True)
class Setting:
    """What is wanted in one setting. `least_efficiency` is the class's minimum, in per cent."""

    __pydantic_config__ = STRICT
    id: str
    says: str
    least: Protection
    least_efficiency: float | None = None
    valve: Literal["allowed", "excluded"] = "allowed"
    fluid_resistance: Literal["wanted", "not_asked"] = "not_asked"


@dataclass(frozen=True, slots=True)
class Policy:
    """The settings of a site. `made_by` says whose it is; `papers` have to be among what came."""

    __pydantic_config__ = STRICT
    made_by: str
    settings: tuple[Setting, ...]
    papers: tuple[PaperKind, ...] = ()

    def setting(self, name: str) -> Setting | None:
        return next((one for one in self.settings if one.id == name), None)


def shipped_file() -> Path:
    """The example that came with the program."""
    return rules_folder() / FILE


def find(data: Path, named: Path | None = None) -> Path:
    """The policy in force: the file that is named, else the data folder's, else the example."""
    if named is not None:
        return named
    own = data / FILE
    return own if own.is_file() else shipped_file()


def load(path: Path) -> Policy:
    """Read a policy. Raises BadRules that names file and line, and what is expected there."""
    if not path.is_file():
        raise BadRules(
            f"{path}: there is no such file; name another, or leave INKWITNESS_POLICY out"
        )
    text = read_yaml(path)
    policy = schema.shaped(text, Policy)
    names = [one.id for one in policy.settings]
    problems = [
        f"{text.name}:{text.line_of(('settings', number))}: {what}"
        for number, one in enumerate(policy.settings)
        for what in _problems(one, names)
    ]
    if not policy.settings:
        problems.append(f"{text.name}:1: a policy needs at least one setting")
    if problems:
        raise BadRules("\n".join(problems))
    return policy


@cache
def shipped() -> Policy:
    """The example that came with the program, read once a process. Raises BadRules."""
    return load(shipped_file())


def _problems(one: Setting, names: list[str]) -> list[str]:
    found = []
    if not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", one.id):
        found.append(f"'{one.id}' is no id in kebab case, such as general-care")
    if names.count(one.id) > 1:
        found.append(f"'{one.id}' stands twice; keep one of them")
    if one.least_efficiency is not None and not 0 < one.least_efficiency <= 100:
        found.append(f"{one.id}: least_efficiency is a percentage from 1 to 100")
    return found
