"""What print is that is no mark, and how marks stand on goods; it comes from `rules/`."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from pydantic import ConfigDict

from inkwitness.marks.text import ready

#: These are read from rules files as they are: a name that is not here is a slip there.
_STRICT = ConfigDict(extra="forbid")


@dataclass(frozen=True, slots=True)
class LabelAlone:
    """A line that is only a label: `reads` is put in front of the line below or beside it."""

    reads: str
    regex: str


@dataclass(frozen=True, slots=True)
class ClassRest:
    """A class (`regex` of its normal form) that may be the rest of a longer one of another scheme.

    `lost` are the letters in front that make it that one (empty where there is none). `backed_by`
    is the print that shows that it stands as it is: names of marks, and what their normal form
    begins with (patterns; an agency's word may be misread by a letter).
    """

    __pydantic_config__ = _STRICT
    regex: str
    lost: str = ""
    backed_by: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Printing:
    """How the marks of a scheme stand on goods, beside their grammars. All are patterns.

    `parted` are places between two letters at which words are printed against each other (the end
    of an agency's word before a class). `class_in_code` are classes inside a maker's own code.
    `rests` are classes that may be the rest of longer ones. `own_number` are signs whose number is
    their own, no part of a model (CE). `reuse_behind` is a class that a reuse mark may be printed
    against. `behind_class` are words that follow the class in one cell of a list and are marks of
    their own; of those in one entry of `either_behind` a unit bears one. `behind_dash` stand behind
    the class with a dash too; `before_code` are signs printed against a code that follows them.
    """

    __pydantic_config__ = _STRICT
    parted: tuple[str, ...] = ()
    class_in_code: tuple[str, ...] = ()
    rests: tuple[ClassRest, ...] = ()
    own_number: tuple[str, ...] = ()
    reuse_behind: tuple[str, ...] = ()
    behind_class: tuple[str, ...] = ()
    either_behind: tuple[tuple[str, ...], ...] = ()
    behind_dash: tuple[str, ...] = ()
    before_code: tuple[str, ...] = ()


#: Says nothing of any scheme.
PLAIN = Printing()


def any_of(patterns: Sequence[str]) -> str:
    """A pattern that holds where one of these does; one that never does where there is none."""
    return "|".join(f"(?:{one})" for one in patterns) or "(?!)"


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """The words and patterns of print that is no mark, in capitals, and how marks stand.

    `function_words` hold sentences together; `known_words` are words of the trade and of slogans
    that by themselves are no name; `other_script_words` are pieces of words in scripts without
    spaces that show the same. `name_endings` end a company's name (SAFETY), `legal_endings` only
    that (LTD). `no_mark` are patterns of print within a line, `other_lines` of whole lines,
    `never_models` of words with a digit that are no model, `labels_alone` of labels whose mark
    stands on the line below, `labels_beside` of large ones beside the line of their mark.
    `printing` is how the marks of all schemes stand.
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
    labels_beside: tuple[LabelAlone, ...] = ()
    printing: Printing = PLAIN

    def label_alone(self, line: str) -> str:
        """What is put in front of the line below, or an empty string where the line is no label."""
        return _label(line, self.labels_alone)

    def label_beside(self, line: str) -> str:
        """The same of what is put in front of the line beside it."""
        return _label(line, self.labels_beside)


def _label(line: str, labels: Sequence[LabelAlone]) -> str:
    text = ready(line).text
    hits = (label.reads for label in labels if line and re.search(label.regex, text))
    return next(hits, "")
