"""Printed percentages beside the minimum efficiencies of the printed classes."""

import re
from collections.abc import Iterator

from inkwitness.findings.evidence import Evidence
from inkwitness.findings.values import Placed
from inkwitness.rulebook.values import Rulebook

#: A minimum efficiency in per cent, and whether it is known from more than memory.
Minimum = tuple[float, bool]


def shares_of_classes(
    evidence: Evidence, rulebook: Rulebook
) -> Iterator[tuple[Placed, Placed, float, Minimum]]:
    """Each printed percentage with each printed class that has a minimum."""
    for percent in evidence.named("efficiency"):
        number = re.search(r"[0-9]+(?:[.,][0-9]+)?", percent.mark.value)
        if number is None:
            continue
        share = float(number.group(0).replace(",", "."))
        for placed in evidence.named("filter_class"):
            minimum = _minimum(placed.mark.value, evidence, rulebook)
            if minimum is not None:
                yield percent, placed, share, minimum


def _minimum(name: str, evidence: Evidence, rulebook: Rulebook) -> Minimum | None:
    """The minimum of a class: the lowest that a claimed scheme gives it."""
    found = [
        (entry.minimum_efficiency, entry.source.known != "from-memory")
        for scheme in rulebook.schemes
        if scheme.kind == "respirator" and scheme.scheme in evidence.claimed
        for entry in scheme.classes
        if entry.name == name and entry.minimum_efficiency is not None
    ]
    lowest = min((minimum for minimum, _ in found), default=None)
    return None if lowest is None else (lowest, (lowest, True) in found)
