"""A name for what a unit was found to be: a person's decision on it covers no other.

Two conflicts look alike on a screen and are not the same. Whoever keeps a unit in for one of them
said nothing of the next.
"""

import json
from collections.abc import Sequence

from inkwitness.check.aside import placed_findings
from inkwitness.check.values import Judgement, UnitJudgement
from inkwitness.findings.identity import key_of, left_open, sha256_of
from inkwitness.findings.outcome import WORST_FIRST
from inkwitness.holders.values import HolderMatch

#: States of an aspect that leave something open.
_OPEN_STATES = frozenset(WORST_FIRST) - {"no_conflict_found"}


def digest_of(judged: Sequence[tuple[Judgement | UnitJudgement, Sequence[str]]]) -> str:
    """A digest of what the outcome of one unit rests on: open aspects, findings, the list.

    `judged` are the judgements that speak for it, each with the ids of the photos it is of. Days,
    editions, cautions and notes are left out: they change no outcome.
    """
    told = sorted(_told(one, photo_ids) for one, photo_ids in judged)
    return sha256_of(told)


def _told(judged: Judgement | UnitJudgement, photo_ids: Sequence[str]) -> str:
    findings = sorted(
        [where, key_of(one)] for where, one in placed_findings(judged, photo_ids) if left_open(one)
    )
    if isinstance(judged, UnitJudgement):
        matches = [judged.holder_match, *(other.holder_match for other in judged.others)]
    else:
        matches = [item.holder_match for item in judged.items]
    states = sorted(
        [name, state] for name, state in judged.aspects.items() if state in _OPEN_STATES
    )
    return json.dumps([states, findings, list(map(_match, matches))], ensure_ascii=False)


def _match(match: HolderMatch) -> list[object]:
    """What the list says, without its day, its edition and its age."""
    differs = [
        [one.field, one.state, one.printed, one.listed, one.note]
        for one in match.fields
        if one.state in ("differs", "doubtful")
    ]
    near = sorted([one.approval_number, one.holder] for one in match.near)
    return [match.state, match.status, match.looked_up, match.question, differs, near]
