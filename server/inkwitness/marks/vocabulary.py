"""What print is that is no mark; it comes from `rules/print.yaml`."""

import re
from dataclasses import dataclass

from inkwitness.marks.text import ready


@dataclass(frozen=True, slots=True)
class LabelAlone:
    """A line that is only a label: `reads` is put in front of the line below it."""

    reads: str
    regex: str


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """The words and patterns of print that is no mark, in capitals.

    `function_words` hold sentences together; `known_words` are words of the trade and of slogans
    that by themselves are no name; `other_script_words` are pieces of words in scripts without
    spaces that show the same. `name_endings` end a company's name (SAFETY), `legal_endings` only
    that (LTD). `no_mark` are patterns of print within a line, `other_lines` of whole lines,
    `never_models` of words with a digit that are no model, `labels_alone` of labels.
    """

    function_words: frozenset[str] = frozenset()
    known_words: frozenset[str] = frozenset()
    other_script_words: tuple[str, ...] = ()
    name_endings: frozenset[str] = frozenset()
    legal_endings: frozenset[str] = frozenset()
    other_script_endings: tuple[str, ...] = ()
    no_mark: tuple[str, ...] = ()
    other_lines: tuple[str, ...] = ()
    never_models: tuple[str, ...] = ()
    labels_alone: tuple[LabelAlone, ...] = ()

    def label_alone(self, line: str) -> str:
        """What is put in front of the line below, or an empty string where the line is no label."""
        if not line:
            return ""
        text = ready(line).text
        hits = (label.reads for label in self.labels_alone if re.search(label.regex, text))
        return next(hits, "")


#: A vocabulary that knows nothing: for what is only weighed.
NO_WORDS = Vocabulary()
