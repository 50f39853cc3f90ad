"""Free print offered as what it may be: named by its place, a mark is never read."""

from collections.abc import Sequence

from inkwitness.marks.free.free_print import FreePiece, free_print
from inkwitness.marks.free.pieces import FreeLine
from inkwitness.marks.scores.reasons import LETTERS_NOT_CERTAIN, NAMED_BY_PLACE
from inkwitness.marks.spans import Spans, extent_of, part_of
from inkwitness.marks.text import plain
from inkwitness.marks.typed import is_typed
from inkwitness.marks.values import Alternative, Mark
from inkwitness.marks.vocabulary import Vocabulary
from inkwitness.reading.values import Line

#: A free piece of print is only as sure as its line.
_SURE_LINE = 0.97
#: And never surer than this (0-1): no grammar weighs its letters.
_MOST_CERTAIN = 0.99
#: What a view or the second reader made of a line is shown beside a piece from this confidence on.
_WORTH_SHOWING = 0.8
#: Free pieces that are offered for one mark.
MOST_OFFERS = 3


def offered(
    lines: Sequence[Line], taken: Spans, marks: Sequence[Mark], vocabulary: Vocabulary
) -> list[Mark]:
    """What no grammar read, as what it may be: at most three pieces for each mark that no label
    and no form names, the likeliest first. `taken` is the ink that marks have, labels included.
    """
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
        polygon=part_of(line.polygon, extent_of(line, piece.start, piece.end)),
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
