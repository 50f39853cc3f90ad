"""What each drawn unit counts as in the sentence on a sample. Each unit counts once.

A unit that a person set apart does not agree, whatever its print came to; only a conflict says more
than that. Decision of this project: none differed is said only where every unit was told.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from inkwitness.findings.outcome import Outcome

Told = Literal["differed", "set_apart", "lacking", "untold", "agreeing"]

_TOLD: dict[Outcome, Told] = {
    "conflict": "differed",
    "missing": "lacking",
    "cannot_tell": "untold",
    "no_conflict_found": "agreeing",
}


@dataclass(frozen=True, slots=True)
class Counted:
    """A sample, counted."""

    differed: int = 0
    set_apart: int = 0
    lacking: int = 0
    untold: int = 0
    agreeing: int = 0


def told(outcome: Outcome, *, apart: bool) -> Told:
    """What one unit counts as; `apart`: a person set it apart."""
    if apart and outcome != "conflict":
        return "set_apart"
    return _TOLD[outcome]


def counted(units: Iterable[tuple[Outcome, bool]]) -> Counted:
    """Count units, each given as its outcome and whether a person set it apart."""
    kinds = Counter[str](told(outcome, apart=apart) for outcome, apart in units)
    return Counted(**kinds)
