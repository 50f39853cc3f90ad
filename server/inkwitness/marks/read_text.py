"""Marks of typed text: what a person confirmed, and the examples of the rules files.

The letters are certain here, so a mark is `read` unless a letter must be another one for a grammar
to hold (S for 5): then it is `doubtful`, with the ink as printed and the grammar's value.
"""

from collections.abc import Sequence

from inkwitness.marks.dates import normal_date
from inkwitness.marks.grammar import Grammar
from inkwitness.marks.ink import ink_span
from inkwitness.marks.match import NEARNESS_ORDER, Match, find
from inkwitness.marks.residual import residual_marks
from inkwitness.marks.values import Alternative, Mark
from inkwitness.marks.vocabulary import Vocabulary

DATE_MARKS = frozenset({"manufacture_date", "expiry_date"})
#: Marks whose normal form is the ink: nothing but the maker knows how they are spelled.
FREE_MARKS = frozenset({"model", "lot", "manufacturer"})
#: A label in front of a value is the surest sign of what it is, so these take their ink first.
LABELLED = ("model", "lot", "manufacture_date", "expiry_date", "shelf_life", "manufacturer")


def marks_of_text(
    lines: Sequence[str],
    grammars: Sequence[Grammar],
    vocabulary: Vocabulary,
    *,
    loosely: bool = True,
    unlabelled: bool = True,
) -> tuple[Mark, ...]:
    """All marks of the lines, in the order of print, then the unlabelled name and model.

    With `loosely` False, nothing but look-alikes (zero and the letter O) is put right; with
    `unlabelled` False a name or model that nothing names is left out.
    """
    matches = [
        (index, match) for index, line in enumerate(lines) for match in _of_line(line, grammars)
    ]
    exact = {(match.mark, match.scheme) for _, match in matches if match.nearness != "confusable"}
    kept = [
        (index, match)
        for index, match in matches
        if match.nearness != "confusable" or (loosely and (match.mark, match.scheme) not in exact)
    ]
    marks = [_mark(index, lines[index], match) for index, match in kept]
    taken = [(index, match.start, match.end) for index, match in kept]
    have = {mark.mark for mark in marks}
    if not unlabelled:
        return tuple(marks)
    extra = [
        Mark(found.mark, found.printed, found.printed, "read", 1.0, line=found.line)
        for found in residual_marks(lines, taken, vocabulary)
        if found.mark not in have
    ]
    return (*marks, *extra)


def _of_line(line: str, grammars: Sequence[Grammar]) -> list[Match]:
    """The matches of one line whose ink does not overlap.

    Exact before loosened, labelled before bare, long before short: a model `N99-26` after its
    label keeps its N99 from being a class. A label is no ink: `CE 4124` is a mark and a number.
    """
    kept: list[tuple[int, int, Match]] = []
    for match in sorted((m for grammar in grammars for m in find(line, grammar)), key=_rank):
        start, end = ink_span(match)
        if all(
            end <= other_start or start >= other_end or _names_it(match, other)
            for other_start, other_end, other in kept
        ):
            kept.append((start, end, match))
    return [match for _, _, match in sorted(kept, key=lambda found: found[0])]


def _names_it(match: Match, other: Match) -> bool:
    """True where an agency is named inside the standard that it runs (CSA in CSA Z94.4.1)."""
    return {match.mark, other.mark} == {"agency", "standard"}


def _rank(match: Match) -> tuple[int, int, int, int, int]:
    near = NEARNESS_ORDER.index(match.nearness)
    labelled = 0 if match.mark in LABELLED else 1
    return (near, labelled, len(match.changes), match.start - match.end, match.start)


def _mark(index: int, line: str, match: Match) -> Mark:
    start, end = ink_span(match)
    printed = line[start:end]
    value = match.value
    if match.mark in DATE_MARKS:
        value = normal_date(value)
    elif match.mark in FREE_MARKS:
        value = printed
    doubtful = match.nearness == "confusable"
    inside = tuple(at - start for at, _, _ in match.changes if start <= at < end)
    return Mark(
        mark=match.mark,
        printed=printed,
        value=value,
        standing="doubtful" if doubtful else "read",
        probability=0.5 if doubtful else 1.0,
        alternatives=(Alternative(printed, printed, 0.5),) if doubtful else (),
        doubtful_at=inside if doubtful else (),
        line=index,
        scheme=match.scheme,
        parts=tuple((name, text) for name, text in match.parts if name != "ink"),
    )
