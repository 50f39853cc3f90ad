"""A grammar of one mark, as a rules file gives it (read by `rulebook`, used here).

Patterns are text that Python `re` and ECMAScript share: numbered groups only.
"""

from dataclasses import dataclass
from typing import Literal

Shape = Literal["form", "code", "date", "name"]


@dataclass(frozen=True, slots=True)
class Pattern:
    """One way in which a mark is printed.

    `regex` is matched on text made ready by `marks.text.ready` (NFKC, one dash, capitals).
    `normal` is the normal form with {1}, {2} for groups, e.g. `TC-84A-{1}`; `parts` names groups,
    e.g. (("serial", 1),). A pattern with `strict` False is matched as it stands
    and never loosened for look-alike letters (a form that the scheme does not have, say). A form
    that a reader more often makes of another than a printer prints it is `always_doubtful`: a word
    with one letter exchanged, say. No photo gives it as read. One that may be what is left of a
    longer form is `often_a_rest`: read only where the ground beside it is plain and all say so.
    """

    regex: str
    normal: str
    parts: tuple[tuple[str, int], ...] = ()
    strict: bool = True
    always_doubtful: bool = False
    often_a_rest: bool = False


@dataclass(frozen=True, slots=True)
class Traits:
    """What a mark is, whatever its scheme (`rules/marks.yaml`).

    `shape`: a published `form`; a `code` of the maker's own, in which no grammar decides between a
    letter O and a zero; a `date`; a `name`. `keeps_ink`: its normal form is the ink. `labelled`:
    its label is the surest sign of what it is, so it takes its ink before others do. `shares_ink`:
    the same ink may be another mark too. `own_forms`: forms that its scheme does not have are more
    often misread than misprinted. `may_run_on`: a reader may see the half of it and take that for
    the whole. `word_on_either_side`: what names it stands before or behind it. `urgency`: what is
    looked at first, 0 before 1.
    """

    shape: Shape = "form"
    keeps_ink: bool = False
    labelled: bool = False
    shares_ink: bool = False
    own_forms: bool = False
    may_run_on: bool = False
    word_on_either_side: bool = False
    urgency: int = 2


@dataclass(frozen=True, slots=True)
class Grammar:
    """How one mark of one scheme is printed. `scheme` is empty for a mark that all schemes share.

    `anchor` says that seeing the mark claims the scheme (a class, a standard, an agency word).
    `near` are published forms of it: print that is near one of them, and that no pattern reads, is
    asked about (see near_forms).
    """

    mark: str
    scheme: str
    patterns: tuple[Pattern, ...]
    anchor: bool = False
    traits: Traits = Traits()
    near: tuple[str, ...] = ()

    def __hash__(self) -> int:
        """Of the names alone: what is looked up a thousand times a line is hashed at once."""
        return hash((self.mark, self.scheme, len(self.patterns)))
