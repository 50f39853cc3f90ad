"""Marks of one item from its lines, whoever read them: photos, typed print, other scripts.

`candidates`       places of a line where a grammar holds, or nearly, in any view
`score`       the distribution over what may stand there, summed by value
`calibration` its probability, and the standing that follows
`reasons`     why it is doubtful all the same
`free_print`  what no grammar read: print without a label, and what it may be
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from inkwitness.marks.candidates import CandidateSpan, candidates_of_line, kept_apart, same_place
from inkwitness.marks.free.free_print import FreePiece, free_print
from inkwitness.marks.free.pieces import FreeLine
from inkwitness.marks.grammar import Grammar
from inkwitness.marks.scores import calibration
from inkwitness.marks.scores.lost_letter import longer_class, may_have_lost_its_first_letter
from inkwitness.marks.scores.reasons import (
    LETTERS_NOT_CERTAIN,
    LOOK_ALIKE_LETTER,
    LOST_LETTER,
    NAMED_BY_PLACE,
    look_alikes,
    reasons_of,
)
from inkwitness.marks.scores.scoring import Scored, score
from inkwitness.marks.text import plain, ready
from inkwitness.marks.typed import is_typed, typed_line
from inkwitness.marks.values import Alternative, Mark
from inkwitness.marks.vocabulary import Vocabulary
from inkwitness.photo.values import Polygon
from inkwitness.reading.values import Line

#: Other ways to read a mark that are shown beside it, and the least share of the evidence.
_MOST_OTHERS = 3
_LEAST_SHARE = 0.002
#: A free piece of print is only as sure as its line.
_SURE_LINE = 0.97
#: And never surer than this (0-1): no grammar weighs its letters.
_MOST_CERTAIN = 0.99
#: What a view or the second reader made of a line is shown beside a piece from this confidence on.
_WORTH_SHOWING = 0.8
#: Free pieces that are offered for one mark.
MOST_OFFERS = 3


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
    seen = [_seen(one).mark for one in found]
    marks = [
        _asked_for_its_first_letter(mark, one.candidate, seen)
        for mark, one in zip(seen, found, strict=True)
    ]
    offers = offered(lines, found, marks, vocabulary) if unlabelled else ()
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
    return tuple(_seen(one) for one in weighed_of_lines(lines, grammars, vocabulary))


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


def _seen(one: Scored) -> SeenMark:
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
    held = bool(reasons)
    if not typed and calibration.standing(grammar.mark, probability) == "doubtful":
        reasons.append(LETTERS_NOT_CERTAIN)
    others = _others(one, printed, doubtful=bool(reasons))
    if typed and reasons:
        # The ink is certain; only what it would have to be is not.
        others = (Alternative(best.printed, best.value, 0.5),)
        printed, probability = ink, 0.5
    only = alike if reasons == [LOOK_ALIKE_LETTER] else ()
    mark = Mark(
        mark=grammar.mark,
        printed=printed,
        value=printed if grammar.traits.keeps_ink else best.value,
        standing="doubtful" if reasons else "read",
        probability=round(probability, 5),
        alternatives=others,
        polygon=_part_of(line.polygon, one.candidate.extent),
        readers=() if typed else one.seen_by,
        doubtful_at=_doubtful_at(printed, others, only) if reasons else (),
        line=line.index,
        scheme=grammar.scheme,
        parts=tuple((name, text) for name, text in best.form.parts if name != "ink"),
        span=_span_in(line, one.candidate.extent),
        named_by=one.candidate.named_by,
        reasons=tuple(reasons),
    )
    return SeenMark(mark, one.signs, held)


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
    likeliest = one.likeliest.text
    if doubtful and likeliest not in {printed, ready(printed).text}:
        others = (Alternative(likeliest, likeliest, 0.0), *others)
    return others


def offered(
    lines: Sequence[Line], found: Sequence[Scored], marks: Sequence[Mark], vocabulary: Vocabulary
) -> list[Mark]:
    """What no grammar read, as what it may be: at most three pieces for each mark that no label
    and no form names, the likeliest first. Named by its place, a mark is never read.
    """
    taken: dict[int, list[tuple[int, int]]] = {}
    for one in found:
        if not one.candidate.grammar.traits.shares_ink:
            span = _span_in(one.candidate.line, one.candidate.reach)
            if span is not None:
                taken.setdefault(one.candidate.line.index, []).append(span)
    free = [
        FreeLine(
            line.index,
            line.text,
            line.x_height_px,
            tuple(taken.get(line.index, ())),
            sure=is_typed(line) or line.confidence >= _SURE_LINE,
        )
        for line in lines
    ]
    have = {mark.mark for mark in marks if mark.standing == "read" or mark.named_by == "label"}
    by_index = {line.index: line for line in lines}
    given: dict[str, int] = {}
    offers = []
    for piece in free_print(free, vocabulary):
        if piece.mark not in have and given.get(piece.mark, 0) < MOST_OFFERS:
            given[piece.mark] = given.get(piece.mark, 0) + 1
            offers.append(_offer(piece, by_index[piece.line]))
    return offers


def _offer(piece: FreePiece, line: Line) -> Mark:
    differs = _as_seen(piece, line)
    others = tuple(Alternative(text, text, 0.0) for text in (*piece.others, *differs))
    typed = is_typed(line)
    sure = typed or (line.confidence >= _SURE_LINE and not differs)
    reasons = (NAMED_BY_PLACE,) if sure else (NAMED_BY_PLACE, LETTERS_NOT_CERTAIN)
    return Mark(
        mark=piece.mark,
        printed=piece.printed,
        value=piece.printed,
        standing="doubtful",
        probability=1.0 if typed else round(min(line.confidence, _MOST_CERTAIN), 4),
        alternatives=others,
        polygon=_part_of(line.polygon, _extent_of(line, piece.start, piece.end)),
        readers=() if typed else ("ppocr", *dict.fromkeys(s.reader for s in line.second)),
        doubtful_at=() if sure else tuple(range(len(piece.printed))),
        line=line.index,
        span=(piece.start, piece.end),
        named_by="place",
        reasons=reasons,
    )


def _as_seen(piece: FreePiece, line: Line) -> tuple[str, ...]:
    """What other sure views and readers made of the line, where the piece is not in that."""
    wanted = plain(piece.printed)
    seen = [view.text for view in line.views[1:] if view.confidence > _WORTH_SHOWING]
    seen += [second.text for second in line.second if second.confidence > _WORTH_SHOWING]
    return tuple(dict.fromkeys(text.strip() for text in seen if wanted not in plain(text)))


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


def _span_in(line: Line, extent: tuple[float, float]) -> tuple[int, int] | None:
    """The letters of the line's own text that stand within an extent (shares of its steps)."""
    if not line.views:
        return None
    view = line.views[0]
    steps = view.steps.log_probs.shape[0]
    middles = [(first + last) / 2 / steps for first, last in view.spans]
    inside = [at for at, middle in enumerate(middles) if extent[0] <= middle <= extent[1]]
    return (inside[0], inside[-1] + 1) if inside else None


def _extent_of(line: Line, start: int, end: int) -> tuple[float, float]:
    view = line.views[0]
    steps = view.steps.log_probs.shape[0]
    return view.spans[start][0] / steps, view.spans[end - 1][1] / steps


def _doubtful_at(
    printed: str, others: Sequence[Alternative], only: Sequence[int]
) -> tuple[int, ...]:
    """Positions in `only` or at which an alternative of the same length differs; else all."""
    own = ready(printed).text
    same = [ready(other.printed).text for other in others if len(other.printed) == len(printed)]
    places = {i for text in same for i in range(len(text)) if i < len(own) and text[i] != own[i]}
    places.update(only)
    return tuple(sorted(places)) if places else tuple(range(len(printed)))


def _part_of(polygon: Polygon, extent: tuple[float, float]) -> Polygon:
    """The stretch of a line's polygon between two shares of its length; none of typed print."""
    half = len(polygon) // 2
    if half < 2:
        return polygon
    ring = np.array(polygon)
    top, bottom = ring[:half], ring[half:][::-1]
    where = np.linspace(0.0, 1.0, half)
    first, last = (min(max(share, 0.0), 1.0) for share in extent)
    stretch = np.linspace(first, last, 5)
    sides = [
        np.column_stack([np.interp(stretch, where, side[:, k]) for k in (0, 1)])
        for side in (top, bottom)
    ]
    points = np.vstack([sides[0], sides[1][::-1]])
    return tuple((round(float(x), 1), round(float(y), 1)) for x, y in points)


def ids_within(marks: Sequence[Mark], prefix: str) -> tuple[Mark, ...]:
    """The marks with the photo and item in front of their ids."""
    return tuple(replace(mark, id=f"{prefix}.{mark.id}") for mark in marks)
