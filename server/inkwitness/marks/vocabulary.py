"""Words that are neither a maker's name nor a model; they come from the rules files."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """What the heuristics for unlabelled print need.

    `common_words` are capitals that never make a maker's name (THIS, SIDE, SIZE); `name_endings`
    are capitals that mark a name (LTD, SAFETY); `never_models` are patterns of tokens that look
    like a model and are not (sizes, units, years).
    """

    common_words: frozenset[str] = frozenset()
    name_endings: frozenset[str] = frozenset()
    never_models: tuple[str, ...] = ()
