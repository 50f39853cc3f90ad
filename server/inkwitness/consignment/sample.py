"""What each drawn unit counts as in the sentence on a sample, and what how many of them show.

Each unit counts once. A unit that a person set apart does not agree, whatever its print came to;
only a conflict says more than that. Decision of this project: none differed is said only where
every unit was told.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from inkwitness.findings.identity import key_of
from inkwitness.findings.outcome import Outcome
from inkwitness.findings.values import Finding

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


@dataclass(frozen=True, slots=True)
class OnUnits:
    """One finding, on `n` of the `of` units that were looked at."""

    finding: Finding
    n: int
    of: int


def on_units(found: Mapping[str, Iterable[Finding]], sample: Sequence[str]) -> tuple[OnUnits, ...]:
    """On how many units of a sample each finding is: conflicts first, then what most have.

    `found` are the findings of each unit, by its id. Questions are left out: they were not
    concluded. What a person set aside is counted, as it was found.
    """
    first: dict[str, Finding] = {}
    counted = Counter[str]()
    for unit in sample:
        concluded = {
            key_of(one): one
            for one in found.get(unit, ())
            if one.severity in ("conflict", "missing") and not one.question
        }
        first = concluded | first
        counted.update(concluded.keys())
    ranked = sorted(counted, key=lambda key: (first[key].severity, -counted[key], key))
    return tuple(OnUnits(first[key], counted[key], len(sample)) for key in ranked)
