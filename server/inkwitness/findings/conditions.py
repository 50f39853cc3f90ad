"""Whether a rule is looked at, and whether that rests on sure marks only."""

import datetime as dt

from inkwitness.findings.evidence import Evidence
from inkwitness.rulebook.kinds import When


def holds(when: When, scheme: str, evidence: Evidence) -> bool | None:
    """True: holds on sure marks. None: holds, but only with a doubtful mark. False: does not hold.

    A rule of a scheme's file is looked at only where the item claims that scheme.
    """
    sure = True
    if scheme:
        if scheme not in evidence.claimed:
            return False
        sure = evidence.claimed[scheme]
    if when.claimed:
        claimed = [evidence.claimed[name] for name in when.claimed if name in evidence.claimed]
        if not claimed:
            return False
        sure = sure and any(claimed)
    if any(name in evidence.claimed for name in when.not_claimed):
        return False
    if when.surface and not evidence.surfaces & set(when.surface):
        return False
    if when.whole and not evidence.seen_whole:
        return False
    if when.declared and not evidence.declared & set(when.declared):
        return False
    if evidence.declared & set(when.not_declared):
        return False
    for seen in when.seen:
        hits = evidence.find(seen)
        if not hits:
            return False
        sure = sure and hits[0].sure
    if when.any_seen:
        found = [hits[0] for seen in when.any_seen if (hits := evidence.find(seen))]
        if not found:
            return False
        sure = sure and any(placed.sure for placed in found)
    if any(evidence.find(seen) for seen in when.not_seen):
        return False
    if when.made_before is not None and not _made(evidence, before=when.made_before):
        return False
    if when.made_from is not None and not _made(evidence, since=when.made_from):
        return False
    return True if sure else None


def _made(
    evidence: Evidence, *, before: dt.date | None = None, since: dt.date | None = None
) -> bool:
    """Whether every reading of a printed date of manufacture lies before, or not before, a day."""
    for placed in evidence.named("manufacture_date"):
        dates = evidence.dates(placed)
        if dates and before is not None and all(date.last < before for date in dates):
            return True
        if dates and since is not None and all(date.first >= since for date in dates):
            return True
    return False
