"""Where the ink of a mark stands inside a match that also covers its label.

A grammar that reads `LOT No. K501057` names the part `ink`; the mark is `K501057`, the label only
shows that it is a lot.
"""

from inkwitness.marks.match import Match
from inkwitness.marks.text import ready


def ink_span(match: Match) -> tuple[int, int]:
    """Start and end, in the original line, of the part `ink`, or of the whole match without one."""
    ink = dict(match.parts).get("ink", "")
    prepared = ready(match.printed)
    # The part was cut from a text in which look-alikes may be put right: only lengths are equal.
    at = prepared.text.rfind(ink) if ink else -1
    if ink and at < 0:
        at = len(prepared.text) - len(ink)
    if at < 0:
        return match.start, match.end
    start, end = prepared.original_span(at, at + len(ink))
    return match.start + start, match.start + end
