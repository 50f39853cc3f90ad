"""The rule book: schemes, grammars, rules and sentences, read from YAML files in `rules/`."""

from inkwitness.phrases import rules_folder as default_folder
from inkwitness.rulebook.load import FRAMES, JUDGE_FINDINGS, check_file, load, shipped
from inkwitness.rulebook.values import Messages, Rule, Rulebook, Scheme

__all__ = [
    "FRAMES",
    "JUDGE_FINDINGS",
    "Messages",
    "Rule",
    "Rulebook",
    "Scheme",
    "check_file",
    "default_folder",
    "load",
    "shipped",
]
