"""Print near a published form as marks: each a question, the ink and the form side by side."""

from collections.abc import Sequence
from dataclasses import dataclass

from inkwitness.marks.grammar import Grammar
from inkwitness.marks.near.forms import NearForm, near_forms_of
from inkwitness.marks.scores.reasons import LETTERS_NOT_CERTAIN, NEAR_FORM
from inkwitness.marks.spans import Spans, doubtful_at, extent_of, part_of
from inkwitness.marks.values import Alternative, Mark
from inkwitness.reading.values import Line

#: A form that the letters are only near is never likelier than this (0-1), and takes the place of
#: a doubtful mark of its kind where it goes on by so many letters.
_NEAR_AT_MOST, _GOES_ON = 0.5, 3


@dataclass(frozen=True, slots=True, eq=False)
class NearMarks:
    """Marks that ask about a published form, in `line` and span the ink of each; `instead_of` are
    the doubtful marks that saw a part of that ink.
    """

    marks: tuple[Mark, ...]
    instead_of: tuple[Mark, ...]


def near_marks(
    lines: Sequence[Line], grammars: Sequence[Grammar], taken: Spans, marks: Sequence[Mark]
) -> NearMarks:
    """Print near a published form, where no other mark has the ink and no mark of its kind stands.

    `taken` is the ink that `marks` have, their labels included.
    """
    kept, parts = [], []
    for one in near_forms_of(lines, grammars):
        own = [mark for mark in marks if _goes_on(one, mark)]
        named = {(mark.mark, mark.scheme) for mark in marks if mark not in own}
        spans = {mark.span for mark in own}
        others = [span for span in taken.get(one.line.index, ()) if span not in spans]
        free = all(one.end <= first or last <= one.start for first, last in others)
        if free and (one.grammar.mark, one.grammar.scheme) not in named:
            kept.append(_mark(one, own))
            parts += own
    return NearMarks(tuple(kept), tuple(parts))


def _goes_on(near: NearForm, mark: Mark) -> bool:
    """Whether a doubtful mark is of the same kind and only a part of the ink."""
    same = (mark.mark, mark.line) == (near.grammar.mark, near.line.index)
    first, last = mark.span or (0, 0)
    part = (
        near.start <= first < last <= near.end and last - first + _GOES_ON <= near.end - near.start
    )
    return same and part and mark.standing == "doubtful"


def _mark(one: NearForm, parts: Sequence[Mark]) -> Mark:
    """The question, with what a part of the ink was taken for among the other ways to read it."""
    line = one.line
    others = (
        Alternative(one.form, one.value, 0.0),
        *(Alternative(part.printed, part.value, part.probability) for part in parts),
    )
    return Mark(
        mark=one.grammar.mark,
        printed=one.printed,
        value=one.value,
        standing="doubtful",
        probability=round(min(line.confidence, _NEAR_AT_MOST), 4),
        alternatives=others,
        polygon=part_of(line.polygon, extent_of(line, one.start, one.end)),
        readers=("ppocr",),
        doubtful_at=doubtful_at(one.printed, others, ()),
        line=line.index,
        scheme=one.grammar.scheme,
        span=(one.start, one.end),
        reasons=(NEAR_FORM, LETTERS_NOT_CERTAIN),
    )
