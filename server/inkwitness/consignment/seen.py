"""What a person saw when they decided: compared with what is known when their word arrives.

A page may be old, two people may work at once, and a phone without a network sends later. What is
decided on one thing is not recorded against another (a decision of this project, no source).
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from inkwitness.consignment.dispositions import RELEASES, Disposition
from inkwitness.consignment.gate import Goods, evidence
from inkwitness.consignment.values import worst
from inkwitness.findings.outcome import Outcome

#: What is refused where something changed since it was seen. A hold never is, and what takes goods
#: out of use is kept as well: it then settles nothing that was not seen.
AS_SEEN: frozenset[Disposition] = RELEASES | {"agree", "keep_in", "lift_hold"}
#: What can have changed: the outcome, a decision more, or what else is known.
Change = Literal["outcome", "decisions", "evidence"]


@dataclass(frozen=True, slots=True)
class Seen:
    """How goods stand: the worst outcome of their units, how many decisions there are on them, on
    what they are a part of and on their parts, and the digest of what is known.
    """

    outcome: Outcome | None
    decisions: int
    evidence: str


def seen_now(goods: Goods) -> Seen:
    """How goods stand now."""
    lots = (*goods.lot_acts.values(), *goods.lost.values())
    parts: Iterable[int] = map(len, (*lots, *goods.unit_acts.values()))
    return Seen(
        worst(unit.outcome for unit in goods.units),
        len(goods.acts) + len(goods.over) + sum(parts),
        evidence(goods),
    )


def changes(before: Seen, now: Seen) -> tuple[Change, ...]:
    """What is not as it was seen; with another outcome other evidence is no news."""
    found: list[Change] = []
    if before.outcome != now.outcome:
        found.append("outcome")
    if before.decisions != now.decisions:
        found.append("decisions")
    if before.evidence != now.evidence and before.outcome == now.outcome:
        found.append("evidence")
    return tuple(found)
