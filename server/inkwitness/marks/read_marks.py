"""Marks of one item from its lines, whoever read them: photos, typed print, other scripts.

`candidates`       places of a line where a grammar holds, or nearly, in any view
`score`       the distribution over what may stand there, summed by value
`calibration` its probability, and the standing that follows
`reasons`     why it is doubtful all the same
`near_marks`  what no grammar read and is near a published form
`offered`     what is left: print without a label, and what it may be
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from inkwitness.marks.candidates import CandidateSpan, candidates_of_line, kept_apart, same_place
from inkwitness.marks.free.offers import offered
from inkwitness.marks.grammar import Grammar
from inkwitness.marks.near.beside import lines_beside
from inkwitness.marks.near.near_marks import near_marks
from inkwitness.marks.scores import calibration
from inkwitness.marks.scores.lost_letter import longer_class, may_have_lost_its_first_letter
from inkwitness.marks.scores.reasons import (
    LETTERS_NOT_CERTAIN,
    LOOK_ALIKE_LETTER,
    LOST_LETTER,
    NAMED_BY_PLACE,
    is_code_with_space,
    is_near_form,
    look_alikes,
    reasons_of,
)
from inkwitness.marks.scores.scoring import Scored, score
from inkwitness.marks.spans import Spans, doubtful_at, part_of, span_in
from inkwitness.marks.text import ready
from inkwitness.marks.typed import is_typed, typed_line
from inkwitness.marks.values import Alternative, Mark
from inkwitness.marks.vocabulary import Vocabulary
from inkwitness.reading.values import Line

#: Other ways to read a mark that are shown beside it, and the least share of the evidence.
_MOST_OTHERS = 3
_LEAST_SHARE = 0.002


@dataclass(frozen=True, slots=True)
class SeenMark:
    """A mark with the signs that its probability comes from, and whether it was held back."""

    mark: Mark
    signs: calibration.Signs
    held_back: bool


def marks_of_lines(
    lines: Sequence[Line],
    grammars: Sequence[Grammar],
    vocabulary: Vocabulary,
    *,
    loosely: bool = True,
    unlabelled: bool = True,
) -> tuple[Mark, ...]:
    """The marks of an item: those that grammars find, in the order of the lines, then the free
    pieces of print, each offered as what it may be.

    With `loosely` False, nothing but look-alikes (zero and the letter O) is put right; with
    `unlabelled` False free print is left out.
    """
    found = weighed_of_lines(lines, grammars, vocabulary, loosely=loosely)
    seen = [_mark(one) for one in found]
    marks = [
        _asked_for_its_first_letter(mark, one.candidate, seen)
        for mark, one in zip(seen, found, strict=True)
    ]
    taken = _taken(found)
    if loosely:
        marks += _beside_signs(lines, grammars, vocabulary, marks)
        near = near_marks(lines, grammars, taken, marks)
        marks = [*(mark for mark in marks if mark not in near.instead_of), *near.marks]
        taken = _with(taken, near.marks)
    offers = offered(lines, taken, marks, vocabulary) if unlabelled else ()
    return tuple(_numbered([*marks, *offers]))


def marks_of_text(
    lines: Sequence[str],
    grammars: Sequence[Grammar],
    vocabulary: Vocabulary,
    *,
    loosely: bool = True,
    unlabelled: bool = True,
) -> tuple[Mark, ...]:
    """The same of typed print, whose letters are certain."""
    typed = [typed_line(index, text) for index, text in enumerate(lines)]
    return marks_of_lines(typed, grammars, vocabulary, loosely=loosely, unlabelled=unlabelled)


def seen_in_lines(
    lines: Sequence[Line], grammars: Sequence[Grammar], vocabulary: Vocabulary
) -> tuple[SeenMark, ...]:
    """The marks that grammars find, with what each standing rests on: the weights are fitted
    from it. Of the vocabulary only the labels that stand alone and `printing` are used.
    """
    found = [(_mark(one), one.signs) for one in weighed_of_lines(lines, grammars, vocabulary)]
    return tuple(
        SeenMark(mark, signs, any(why != LETTERS_NOT_CERTAIN for why in mark.reasons))
        for mark, signs in found
    )


def weighed_of_lines(
    lines: Sequence[Line],
    grammars: Sequence[Grammar],
    vocabulary: Vocabulary,
    *,
    loosely: bool = True,
) -> list[Scored]:
    """What stands in the lines, scored. Where a mark stands plainly, a place where it would only
    stand with other letters is no second one.
    """
    found = []
    above = ""
    for line in lines:
        label = vocabulary.label_alone(above)
        candidates = candidates_of_line(
            line, grammars, label, printing=vocabulary.printing, loosely=loosely
        )
        scored = [
            score(candidate, [other for other in candidates if same_place(other, candidate)])
            for candidate in kept_apart(candidates)
        ]
        found += sorted((one for one in scored if one), key=lambda one: one.candidate.extent)
        above = line.text
    standing = {_name(one.candidate) for one in found if _is_plain(one)}
    return [one for one in found if _is_plain(one) or _name(one.candidate) not in standing]


def _is_plain(one: Scored) -> bool:
    return one.candidate.match.nearness != "confusable"


def _name(candidate: CandidateSpan) -> tuple[str, str]:
    return candidate.grammar.mark, candidate.grammar.scheme


def _mark(one: Scored) -> Mark:
    best, grammar, line = one.hypotheses[0], one.candidate.grammar, one.candidate.line
    typed = is_typed(line)
    probability = 1.0 if typed else calibration.probability(grammar.mark, one.signs)
    printed = best.printed
    ink = one.candidate.ink
    if ready(ink).text == ready(printed).text:
        printed = ink
    reasons = list(reasons_of(one))
    alike = () if reasons else look_alikes(one)
    if alike:
        reasons.append(LOOK_ALIKE_LETTER)
    if not typed and calibration.standing(grammar.mark, probability) == "doubtful":
        reasons.append(LETTERS_NOT_CERTAIN)
    others = _others(one, printed, doubtful=bool(reasons))
    if typed and reasons:
        # The ink is certain; only what it would have to be is not.
        others = _beside(one) or (Alternative(best.printed, best.value, 0.5),)
        printed, probability = ink, 0.5
    only = alike if reasons == [LOOK_ALIKE_LETTER] else ()
    return Mark(
        mark=grammar.mark,
        printed=printed,
        value=printed if grammar.traits.keeps_ink else best.value,
        standing="doubtful" if reasons else "read",
        probability=round(probability, 5),
        alternatives=others,
        polygon=part_of(line.polygon, one.candidate.extent),
        readers=() if typed else one.seen_by,
        doubtful_at=doubtful_at(printed, others, only) if reasons else (),
        line=line.index,
        scheme=grammar.scheme,
        parts=tuple((name, text) for name, text in best.parts if name != "ink"),
        span=span_in(line, one.candidate.extent),
        named_by=one.candidate.named_by,
        reasons=tuple(reasons),
    )


def _asked_for_its_first_letter(
    mark: Mark, candidate: CandidateSpan, marks: Sequence[Mark]
) -> Mark:
    """The mark, in doubt where it is a class that may be the rest of a longer one."""
    if mark.mark != "filter_class" or is_typed(candidate.line):
        return mark
    beside = [(other.mark, other.value) for other in marks]
    before = candidate.told.text[: candidate.start]
    if not may_have_lost_its_first_letter(
        mark.value, candidate.line, before, beside, candidate.printing.rests
    ):
        return mark
    longer = longer_class(mark.value, candidate.printing.rests)
    known = {other.value for other in mark.alternatives}
    more = (Alternative(longer, longer, 0.0),) if longer and longer not in known else ()
    return replace(
        mark,
        standing="doubtful",
        alternatives=(*more, *mark.alternatives),
        doubtful_at=mark.doubtful_at or (0,),
        reasons=(*mark.reasons, LOST_LETTER),
    )


def _others(one: Scored, printed: str, *, doubtful: bool) -> tuple[Alternative, ...]:
    """Other ways to read it, and the likeliest string where the grammar does not hold for that."""
    others = tuple(
        Alternative(way.printed, way.value, round(way.share, 4))
        for way in one.hypotheses[1 : 1 + _MOST_OTHERS]
        if way.share > _LEAST_SHARE
    )
    others = (*_beside(one), *others)
    likeliest = one.likeliest.text
    if doubtful and likeliest not in {printed, ready(printed).text}:
        others = (Alternative(likeliest, likeliest, 0.0), *others)
    return others


def _beside_signs(
    lines: Sequence[Line],
    grammars: Sequence[Grammar],
    vocabulary: Vocabulary,
    marks: Sequence[Mark],
) -> list[Mark]:
    """What a large sign beside a line says of it, where no mark of that name is seen."""
    have = {mark.mark for mark in marks}
    asked = []
    for beside in lines_beside(lines, vocabulary):
        candidates = candidates_of_line(
            beside.line, grammars, beside.label, printing=vocabulary.printing, loosely=False
        )
        whole = [one for one in candidates if one.above and one.ink == beside.line.text.strip()]
        scored = [one for candidate in whole[:1] if (one := score(candidate, [candidate]))]
        asked += [_by_place(_mark(one)) for one in scored]
    return [mark for mark in asked if mark.mark not in have]


def _by_place(mark: Mark) -> Mark:
    reasons = (NAMED_BY_PLACE, *mark.reasons)
    return replace(mark, standing="doubtful", named_by="place", reasons=reasons)


def _beside(one: Scored) -> tuple[Alternative, ...]:
    """What stands beside ink that is only asked about: the form that it is near, or of a code with
    a space in it what stands before the space.
    """
    best = one.hypotheses[0]
    if is_near_form(one):
        return (Alternative(best.value, best.value, 0.0),)
    if is_code_with_space(one):
        first = best.printed.split()[0]
        return (Alternative(first, first, 0.0),)
    return ()


def _taken(found: Sequence[Scored]) -> Spans:
    """The ink that marks have, labels included."""
    taken: dict[int, list[tuple[int, int]]] = {}
    for one in found:
        if not one.candidate.grammar.traits.shares_ink:
            span = span_in(one.candidate.line, one.candidate.reach)
            if span is not None:
                taken.setdefault(one.candidate.line.index, []).append(span)
    return taken


def _with(taken: Spans, marks: Sequence[Mark]) -> Spans:
    more = {index: list(spans) for index, spans in taken.items()}
    for mark in marks:
        if mark.line is not None and mark.span is not None:
            more.setdefault(mark.line, []).append(mark.span)
    return more


def _numbered(marks: Sequence[Mark]) -> list[Mark]:
    """The marks with their ids: line, span and name, and a number where two share these."""
    used: dict[str, int] = {}
    numbered = []
    for mark in marks:
        first, last = mark.span or (0, 0)
        name = f"{mark.line}.{first}-{last}.{mark.mark}"
        name += f".{mark.scheme}" if mark.scheme else ""
        used[name] = used.get(name, 0) + 1
        again = f".{used[name]}" if used[name] > 1 else ""
        numbered.append(replace(mark, id=name + again))
    return numbered


def ids_within(marks: Sequence[Mark], prefix: str) -> tuple[Mark, ...]:
    """The marks with the photo and item in front of their ids."""
    return tuple(replace(mark, id=f"{prefix}.{mark.id}") for mark in marks)
