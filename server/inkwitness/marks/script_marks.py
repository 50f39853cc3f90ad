"""Marks on lines that a named reader read: its script from it, Latin letters from the others.

No grammar weighs these letters, so a mark is `read` only where the named reader is sure of the
script, and the recogniser and the second reader see the same Latin letters and digits; else it is
`doubtful`. A name or model that no label names is not taken: spaces between words are not known.
"""

from collections.abc import Sequence
from dataclasses import replace

from inkwitness.marks.dates import readings
from inkwitness.marks.grammar import Grammar
from inkwitness.marks.read_marks import marks_of_text
from inkwitness.marks.scores.reasons import LETTERS_NOT_CERTAIN, READERS_DIFFER
from inkwitness.marks.text import plain
from inkwitness.marks.values import Mark
from inkwitness.marks.vocabulary import Vocabulary
from inkwitness.reading.scripts import ScriptLine, ScriptsRead
from inkwitness.reading.values import Area, Line

#: A view of this confidence or less has no say in which Latin letters were seen.
_VIEW_COUNTS = 0.8
#: Highest probability (0-1) of a mark that is read, and of one that is doubtful: no grammar weighs
#: these letters, so none is certain.
_MOST_IF_READ, _MOST_IF_DOUBTFUL = 0.99, 0.9


def marks_of_scripts(
    area: Area,
    scripts: ScriptsRead,
    known: Sequence[Mark],
    grammars: Sequence[Grammar],
    vocabulary: Vocabulary,
) -> tuple[Mark, ...]:
    """The marks on an area's lines of the script that are not `known` from other readers."""
    if not any(line.index in scripts.lines for line in area.lines):
        return ()
    reader = scripts.readers[0].name
    texts = [scripts.text(line) for line in area.lines]
    found = []
    for mark in marks_of_text(texts, grammars, vocabulary, unlabelled=False):
        index = area.lines[mark.line].index if mark.line is not None else -1
        if index in scripts.lines and not _is_known(mark, index, known):
            found.append(_scored(replace(mark, line=index), scripts.lines[index], reader))
    return tuple(found)


def _is_known(mark: Mark, line: int, known: Sequence[Mark]) -> bool:
    same = [other for other in known if other.mark == mark.mark and other.scheme == mark.scheme]
    return any(other.line == line or other.value == mark.value for other in same)


def _scored(mark: Mark, line: ScriptLine, reader: str) -> Mark:
    latin = _latin(mark.printed)
    others = _who_agrees(latin, line) if latin else ()
    sure = (
        mark.standing == "read"
        and (not latin or len(others) > 1)
        and (not mark.mark.endswith("_date") or bool(readings(mark.printed)))
    )
    return replace(
        mark,
        standing="read" if sure else "doubtful",
        probability=round(min(line.confidence, _MOST_IF_READ if sure else _MOST_IF_DOUBTFUL), 4),
        polygon=line.polygon,
        readers=(reader, *others),
        doubtful_at=() if sure else tuple(range(len(mark.printed))),
        reasons=() if sure else mark.reasons or (READERS_DIFFER if latin else LETTERS_NOT_CERTAIN,),
    )


def _who_agrees(latin: str, line: ScriptLine) -> tuple[str, ...]:
    """The readers that see these letters and digits, in the whole line or in what stands behind its
    words; none where a view differs.
    """
    told = [_who_says(latin, seen) for seen in (line.line, line.rest) if seen is not None]
    return max(told, key=len, default=())


def _who_says(latin: str, line: Line) -> tuple[str, ...]:
    views = [view.text for view in line.views if view.confidence > _VIEW_COUNTS]
    if not views or not all(latin in _latin(text) for text in views):
        return ()
    second = tuple(s.reader for s in line.second if latin in _latin(s.text))
    return ("ppocr", *second)


def _latin(text: str) -> str:
    return "".join(sign for sign in plain(text) if sign.isascii())
