"""The maker's name and an unlabelled model, taken from what no grammar read in an area.

No grammar weighs these letters, so they are only as sure as the line: `read` where the recogniser
was sure of the whole line and every second reader that answered sees the same letters.
"""

from collections.abc import Sequence

from rapidfuzz.distance import Levenshtein

from inkwitness.marks.residual import residual_marks
from inkwitness.marks.text import ready
from inkwitness.marks.values import Alternative, Mark, Standing
from inkwitness.marks.vocabulary import Vocabulary
from inkwitness.reading.values import Area, Line

#: Mean confidence of a line from which its letters count as read (chosen on made lines).
SURE = 0.97
_AGREEMENT = 0.8


def unlabelled_marks(area: Area, marks: Sequence[Mark], vocabulary: Vocabulary) -> tuple[Mark, ...]:
    """A `manufacturer` and a `model` that no grammar found, at most one of each."""
    numbers = {line.index: number for number, line in enumerate(area.lines)}
    taken = []
    for mark in marks:
        if mark.line in numbers and mark.printed:
            number = numbers[mark.line]
            start = area.lines[number].text.find(mark.printed)
            if start >= 0:
                taken.append((number, start, start + len(mark.printed)))
    have = {mark.mark for mark in marks}
    found = []
    for residual in residual_marks([line.text for line in area.lines], taken, vocabulary):
        if residual.mark not in have:
            line = area.lines[residual.line]
            others = _others(residual.printed, line)
            agreed = all(_plain(residual.printed) in _plain(s.text) for s in line.second)
            sure = line.confidence >= SURE and agreed and not others
            standing: Standing = "read" if sure else "doubtful"
            found.append(
                Mark(
                    residual.mark,
                    residual.printed,
                    residual.printed,
                    standing,
                    round(min(line.confidence, 0.99 if standing == "read" else 0.9), 4),
                    alternatives=others,
                    polygon=line.polygon,
                    readers=tuple(dict.fromkeys(["ppocr", *(s.reader for s in line.second)])),
                    line=line.index,
                )
            )
    return tuple(found)


def _others(printed: str, line: Line) -> tuple[Alternative, ...]:
    """What other views and readers made of it, where that differs by more than capitals."""
    wanted = _plain(printed)
    others: dict[str, None] = {}
    for view in line.views[1:]:
        seen = _plain(view.text)
        if wanted not in seen and view.confidence > 0.8:
            others[view.text.strip()] = None
    for second in line.second:
        seen = _plain(second.text)
        unlike = Levenshtein.normalized_similarity(_plain(line.text), seen) < _AGREEMENT
        if wanted not in seen and second.confidence > 0.8 and not unlike:
            others[second.text.strip()] = None
    return tuple(Alternative(text, text, 0.0) for text in others)


def _plain(text: str) -> str:
    return "".join(letter for letter in ready(text).text if letter.isalnum())
