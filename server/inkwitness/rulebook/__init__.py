"""The rule book: schemes, grammars, rules and sentences, read from YAML files in `rules/`."""

from inkwitness.rulebook.load import JUDGE_FINDINGS, default_folder, load
from inkwitness.rulebook.values import Messages, Rule, Rulebook, Scheme

__all__ = ["JUDGE_FINDINGS", "Messages", "Rule", "Rulebook", "Scheme", "default_folder", "load"]
