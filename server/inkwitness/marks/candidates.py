"""Where in a line a grammar holds, or nearly, in any view of it: the candidates of marks.

A candidate takes its ink: where two overlap, the nearer match, the labelled one and the longer one
go first. A line that is only a label (`LOT`) names what stands on the next line.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from inkwitness.marks.grammar import Grammar
from inkwitness.marks.match import NEARNESS_ORDER, Match, find, ink_span
from inkwitness.marks.scores.told import ways_told
from inkwitness.marks.values import NamedBy
from inkwitness.marks.vocabulary import PLAIN, Printing
from inkwitness.reading.values import Line, View

#: Two candidates stand apart where they share at most this much of the shorter one.
_SHARED = 0.2


@dataclass(frozen=True, slots=True, eq=False)
class CandidateSpan:
    """A place in a line where a grammar holds in one view: the ink from `start` to `end`.

    `told` is the text in which it holds, words parted as `printing` says. Its first `above` letters
    stand on the line above.
    """

    line: Line
    view: View
    told: View
    grammar: Grammar
    match: Match
    start: int
    end: int
    above: int = 0
    printing: Printing = PLAIN

    @property
    def extent(self) -> tuple[float, float]:
        """The ink's steps as a share of the line."""
        return self._share(self.start, self.end)

    @property
    def reach(self) -> tuple[float, float]:
        """The same of all that the match covers, its label too."""
        first = max(self.match.start, self.above)
        return self._share(min(first, self.start), max(self.match.end, self.end))

    @property
    def ink(self) -> str:
        """The letters there as the view has them, whatever they are told as."""
        first, last = self.told.spans[self.start][0], self.told.spans[self.end - 1][1]
        return "".join(
            letter
            for letter, (start, end) in zip(self.view.text, self.view.spans, strict=True)
            if first <= start and end <= last
        )

    @property
    def named_by(self) -> NamedBy:
        """`label` where a word or sign beside the ink says what it is, else `form`."""
        before = self.told.text[self.match.start : self.start]
        behind = self.told.text[self.end : self.match.end]
        beside = any(sign.isalnum() or sign in "⌛⏳%" for sign in before + behind)
        return "label" if beside else "form"

    def _share(self, start: int, end: int) -> tuple[float, float]:
        steps = self.view.steps.log_probs.shape[0]
        spans = self.told.spans
        return spans[start][0] / steps, spans[end - 1][1] / steps


def candidates_of_line(
    line: Line,
    grammars: Sequence[Grammar],
    label: str = "",
    *,
    printing: Printing,
    loosely: bool = True,
) -> list[CandidateSpan]:
    """All candidates of a line, in all views, those that take their ink first in front.

    `label` stands alone on the line above and names what stands here.
    """
    candidates = [
        candidate
        for view in line.views
        for candidate in _candidates_of_view(line, view, grammars, label, printing, loosely=loosely)
    ]
    return sorted(candidates, key=_rank)


def kept_apart(candidates: Sequence[CandidateSpan]) -> list[CandidateSpan]:
    """The candidates whose ink does not overlap that of one before them."""
    kept: list[CandidateSpan] = []
    for candidate in candidates:
        if all(apart(candidate, other) or _names_it(candidate, other) for other in kept):
            kept.append(candidate)
    return kept


def same_place(one: CandidateSpan, other: CandidateSpan) -> bool:
    """Whether two candidates are of one mark and share their ink: one seen in two views."""
    same = (one.grammar.mark, one.grammar.scheme) == (other.grammar.mark, other.grammar.scheme)
    return same and not apart(one, other)


def apart(one: CandidateSpan, other: CandidateSpan) -> bool:
    """Whether the ink of two candidates hardly overlaps."""
    (low, high), (start, end) = one.extent, other.extent
    shared = min(high, end) - max(low, start)
    return shared <= _SHARED * min(high - low, end - start)


def _candidates_of_view(
    line: Line,
    view: View,
    grammars: Sequence[Grammar],
    label: str,
    printing: Printing,
    *,
    loosely: bool,
) -> Iterator[CandidateSpan]:
    ways = ways_told(view, printing)
    told = [(one, 0) for one in ways]
    if label:
        told += [(_below(one, label), len(label)) for one in ways]
    for one, above in told:
        for grammar in grammars:
            for match in find(one.text, grammar, loosely=loosely):
                start, end = ink_span(match)
                if end > start and start >= above:
                    # What the label does not reach is found without it.
                    if not above or match.start < above:
                        yield CandidateSpan(
                            line, view, one, grammar, match, start, end, above, printing
                        )


def _below(told: View, label: str) -> View:
    """The text behind the label of the line above, which has no steps here."""
    first = told.spans[0][0] if told.spans else 0
    return replace(told, text=label + told.text, spans=((first, first),) * len(label) + told.spans)


def _rank(candidate: CandidateSpan) -> tuple[int, int, float, int, int]:
    near = NEARNESS_ORDER.index(candidate.match.nearness)
    labelled = 0 if candidate.grammar.traits.labelled else 1
    low, high = candidate.extent
    changes = len(candidate.match.changes)
    return near, labelled, low - high, changes, candidate.line.views.index(candidate.view)


def _names_it(candidate: CandidateSpan, other: CandidateSpan) -> bool:
    """An agency named inside the standard that it runs (CSA in CSA Z94.4.1), or ink that may be
    another mark too.
    """
    if candidate.grammar.traits.shares_ink or other.grammar.traits.shares_ink:
        return candidate.grammar.mark != other.grammar.mark
    pair = {one.grammar.mark: one for one in (candidate, other)}
    return pair.keys() == {"agency", "standard"} and pair["agency"].match.nearness == "exact"
