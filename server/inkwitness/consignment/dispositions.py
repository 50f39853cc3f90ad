"""What a person may decide on goods, and what is in force after a history of such decisions.

The codes D0 to D10 and who may choose each are the job map's (common practice, no source; what
stands behind each is in the reference of the project). Returning, handing over, destroying and
discarding are dispositions of held goods: they end no hold.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from inkwitness.findings.outcome import Outcome

#: `keep_in` keeps a unit among the goods in spite of its outcome; `agree` and `dissent` are a
#: second person's word on what is named in `about`; `dispose` stands in old records only.
Disposition = Literal[
    "refuse",
    "release",
    "release_limited",
    "crisis_reserve",
    "downgrade",
    "hold",
    "hold_conflict",
    "return",
    "hand_over",
    "destroy",
    "discard",
    "lift_hold",
    "keep_in",
    "ask_holder",
    "holder_answered",
    "laboratory",
    "agree",
    "dissent",
    "dispose",
]
#: What an account may do.
Role = Literal["screener", "list_keeper", "releaser", "auditor", "administrator"]

CODES: dict[Disposition, str] = {
    "refuse": "D0",
    "release": "D1",
    "release_limited": "D2",
    "crisis_reserve": "D3",
    "downgrade": "D4",
    "hold": "D5",
    "hold_conflict": "D6",
    "return": "D7",
    "hand_over": "D8",
    "destroy": "D9",
    "discard": "D10",
}
#: Everything that puts goods into someone's hands: each goes through the gate.
RELEASES: frozenset[Disposition] = frozenset(
    {"release", "release_limited", "crisis_reserve", "downgrade"}
)
HOLDS: frozenset[Disposition] = frozenset({"hold", "hold_conflict"})
#: Goods that are not, or not any more, among what could be used.
OUT: frozenset[Disposition] = frozenset(
    {"refuse", "return", "hand_over", "destroy", "discard", "dispose"}
)
#: A person's decision on a unit whose outcome is open.
SETTLES: frozenset[Disposition] = OUT | {"keep_in"}
#: Need no word of why: a hold can be explained later, and who agrees gives the reason of another.
NO_REASON: frozenset[Disposition] = HOLDS | {"agree"}
#: Nothing without saying for what, or until when.
NEED_LIMITS: frozenset[Disposition] = RELEASES - {"release"}
#: A second person's word is asked for where accounts are on; for destroying it is the witness's.
NEED_SECOND: frozenset[Disposition] = RELEASES | {"lift_hold", "destroy"}
_RELEASERS: frozenset[Disposition] = RELEASES | {
    "lift_hold",
    "keep_in",
    "return",
    "hand_over",
    "destroy",
}


@dataclass(frozen=True, slots=True)
class Act:
    """One decision as the gate sees it.

    `by` is the actor's id. `about` is what an agreement or a dissent is about (a disposition), or
    what the holder's answer says (`agrees`, `differs`). `outcome` is the unit's when the decision
    on it was taken, `found` the digest of what had been found on it (`check.found`), `taken_up` how
    many of its findings had been taken up again then, `evidence` the digest of what was known
    (`gate.evidence`). `lot` is the one lot that it is about; empty: all of the goods. `limits` and
    `until`, the last day, are those of a release, or those that a person agreed to. `id` names
    the decision, `answers` the question that an answer is to.
    """

    kind: Disposition
    by: str = ""
    about: str = ""
    outcome: Outcome | None = None
    evidence: str = ""
    taken_up: int = 0
    lot: str = ""
    found: str = ""
    limits: str = ""
    until: str = ""
    id: str = ""
    answers: str = ""


def role_for(kind: Disposition) -> Role:
    """The role that may decide so: holding, asking and refusing are everybody's."""
    return "releaser" if kind in _RELEASERS else "screener"


def roles_for(kind: Disposition) -> tuple[Role, ...]:
    """Whose decision it is: a releaser may hold and ask as well, or a hold would wait."""
    return ("releaser",) if role_for(kind) == "releaser" else ("screener", "releaser")


def held(kinds: Sequence[str]) -> bool:
    """Whether a hold is in force, from all decisions in order. Only lifting it ends one."""
    on_hold = False
    for kind in kinds:
        if kind in HOLDS:
            on_hold = True
        elif kind == "lift_hold":
            on_hold = False
    return on_hold


def released(kinds: Sequence[str]) -> str:
    """The release in force, empty where there is none: a later hold or way out ends it."""
    found = ""
    for kind in kinds:
        if kind in RELEASES:
            found = kind
        elif kind in HOLDS or kind in OUT:
            found = ""
    return found


def set_apart(kinds: Sequence[str]) -> bool:
    """Whether a person set a unit apart, from the decisions on it in order."""
    apart = False
    for kind in kinds:
        if kind in HOLDS or kind in OUT:
            apart = True
        elif kind in ("lift_hold", "keep_in") or kind in RELEASES:
            apart = False
    return apart


def questions(acts: Sequence[Act]) -> dict[str, str]:
    """What was asked of the holder, by the question's id: what was answered, empty while nothing.

    An answer that nobody asked for is a question of its own. One that names no question was kept
    before answers named theirs: it answers all that was asked and said before it.
    """
    found: dict[str, str] = {}
    for place, act in enumerate(acts):
        here = act.id or f"#{place}"
        said = "differs" if act.about == "differs" else "agrees"
        if act.kind == "ask_holder":
            found[here] = ""
        elif act.kind == "holder_answered":
            named = [act.answers] if act.answers else list(found) or [here]
            found.update(dict.fromkeys(named, said))
    return found


def unsettled(acts: Sequence[Act]) -> tuple[str, ...]:
    """The questions that wait for an answer, or of which the newest answer differs."""
    return tuple(id_ for id_, said in questions(acts).items() if said != "agrees")


def awaited(acts: Sequence[Act]) -> bool:
    """Whether an answer was asked for from the holder and has not come."""
    return "" in questions(acts).values()


def answer_differs(acts: Sequence[Act]) -> bool:
    """Whether the newest answer to some question says something else than the print."""
    return "differs" in questions(acts).values()
