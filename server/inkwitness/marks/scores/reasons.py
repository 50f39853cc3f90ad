"""Why a mark is doubtful: a table of reasons, one predicate each.

A reason is a name that travels with the mark to the page and the report. Reasons of the letters
hold only for what was read from a picture; typed letters are certain. What no predicate says is the
share of the evidence (`letters_not_certain`) and what the ink is called (`named_by_place`).
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from inkwitness.marks.candidates import CandidateSpan
from inkwitness.marks.dates import readings
from inkwitness.marks.scores.alike import alike_at
from inkwitness.marks.scores.scoring import Scored, bare, folded
from inkwitness.marks.scores.told import ways_told
from inkwitness.marks.text import ready
from inkwitness.marks.typed import is_typed
from inkwitness.marks.vocabulary import any_of
from inkwitness.reading.augmentations import MARGIN
from inkwitness.reading.values import IMAGE_HEIGHT

LETTERS_NOT_CERTAIN = "letters_not_certain"
NAMED_BY_PLACE = "named_by_place"
READERS_DIFFER = "readers_differ"
LOOK_ALIKE_LETTER = "look_alike_letter"
#: The ink is near a published form, or a form of it that readers make more often than printers.
NEAR_FORM = "near_form"
#: Said of a class from what stands beside it in its item (see lost_letter).
LOST_LETTER = "lost_letter"
#: A grammar that holds only with another letter counts from this share of the evidence on.
CERTAIN = 0.985
#: A view that is as sure as this counts where views differ in what stands beside the ink.
SURE_VIEW = 0.8
#: How near to the line image's end a mark is its last print: a height of capitals (line image
#: pixels).
_NEAR = IMAGE_HEIGHT / MARGIN
#: A gap wider than this (heights of capitals) parts columns: between words of 30 lines it was at
#: most 0.95, and 1.4 where a sign between them was not read.
_COLUMN = 1.8
_SHORTEST_MODEL = 3
#: Ground behind a mark that is marked less than this is plain (see borders.marked_before).
_PLAIN = 0.2
#: The share of the evidence from which a form may stand that is more often the rest of another.
_BEYOND_DOUBT = 0.999
#: Letters stand as far apart as others of their line, and twice that where a word ends: more is
#: room for one that was not seen (in usual distances).
_ROOM_FOR_ONE = 2.3
#: A date in digits alone with fewer of them has lost its day, its month or its year.
_SHORTEST_DATE = 6
_SEPARATOR = re.compile(r"\s?[:+]|[-/.]")
#: One more letter behind a reuse mark: a D (clogging test passed) that was misread.
_ONE_LETTER_MORE = r"\s?[A-Z0](?![A-Z0-9])"


@dataclass(frozen=True, slots=True)
class Reason:
    """`of_letters`: it doubts what was read, so it never holds for typed print."""

    name: str
    holds: Callable[[Scored], bool]
    of_letters: bool = True


def reasons_of(one: Scored) -> tuple[str, ...]:
    """The names of the reasons that hold, in the order of the table."""
    typed = is_typed(one.candidate.line)
    said = (
        reason.name for reason in TABLE if not (typed and reason.of_letters) and reason.holds(one)
    )
    return tuple(dict.fromkeys(said))


def look_alikes(one: Scored) -> tuple[int, ...]:
    """Positions in the ink of a maker's own code at which it may be another letter."""
    if one.candidate.grammar.traits.shape != "code" or is_typed(one.candidate.line):
        return ()
    return alike_at(one.pieces, one.hypotheses[0].printed)


def _needs_another_letter(one: Scored) -> bool:
    """The grammar holds only with a letter changed, and the letters do not speak for that."""
    return one.candidate.match.nearness == "confusable" and one.share < CERTAIN


def _often_misread(one: Scored) -> bool:
    """A word with a worn letter, which no photo gives as read; or what may be left of a longer form
    (glare and wear take digits), unless everything speaks against that.
    """
    form = one.hypotheses[0]
    return form.always_doubtful or (form.often_a_rest and not _stands_whole(one))


def is_near_form(one: Scored) -> bool:
    """The pattern is of what readers make of a published form, and the ink is not that form."""
    best = one.hypotheses[0]
    if one.candidate.grammar.traits.shape != "form" or not best.always_doubtful:
        return False
    return bare(best.value) != bare(ready(best.printed).text)


def is_code_with_space(one: Scored) -> bool:
    """What stands behind the space may be of the code, or print of its own."""
    best = one.hypotheses[0]
    code = one.candidate.grammar.traits.shape == "code"
    return code and best.always_doubtful and " " in best.printed.strip()


def _stands_whole(one: Scored) -> bool:
    """The line ends with this ink on plain ground, its letters stand evenly, and both readers and
    every sure view say it.
    """
    told, line = one.candidate.told, one.candidate.line
    ends_line = not any(sign.isalnum() for sign in told.text[one.candidate.end :])
    return (
        one.share >= _BEYOND_DOUBT
        and ends_line
        and line.behind < _PLAIN
        and not line.runs_on
        and _stands_evenly(one)
        and _all_say(one)
    )


def _stands_evenly(one: Scored) -> bool:
    """No room for a letter within the ink, nor between it and the letter before."""
    told = one.candidate.told
    letters = [at for at, sign in enumerate(told.text) if not sign.isspace()]
    middles = [sum(told.spans[at]) / 2 for at in letters]
    apart = [later - before for before, later in pairwise(middles)]
    here = [gap for gap, at in zip(apart, letters[1:], strict=True) if at >= one.candidate.start]
    return max(here, default=0.0) <= _ROOM_FOR_ONE * median(apart or [0.0])


def _form_of_none(one: Scored) -> bool:
    """A form that the scheme does not have (a misspelt agency, a number a digit short): what looks
    like a slip of the printer is more often one of the reader, so both readers and every sure view
    must say it.
    """
    if not one.candidate.grammar.traits.own_forms or one.hypotheses[0].strict:
        return False
    return not _all_say(one)


def _all_say(one: Scored) -> bool:
    """Whether both readers and every sure view say the ink, letter for letter."""
    ink = r"[^A-Z0-9]*".join(
        folded(sign) for sign in one.hypotheses[0].printed.upper() if sign.isalnum()
    )
    whole = re.compile(rf"(?<![A-Z0-9]){ink}(?![A-Z0-9])")
    line = one.candidate.line
    said = any(whole.search(folded(ready(second.text).text)) for second in line.second)
    seen = all(
        re.search(ink, folded(ready(view.text).text))
        for view in line.views
        if view.confidence >= SURE_VIEW
    )
    return said and seen


def _may_end_a_model(one: Scored) -> bool:
    """The class stands right against a number that no mark accounts for (4711FFP2)."""
    if one.candidate.grammar.mark != "filter_class":
        return False
    ink = re.escape(ready(one.hypotheses[0].printed).text)
    # A number without a name of its own, with a class right against it: one model word, maybe.
    named = any_of(one.candidate.printing.own_number)
    nameless = rf"(?<![A-Z0-9:+])(?!{named})[A-Z]{{0,4}}-?[0-9]{{3,}}"
    return bool(re.search(nameless + ink, ready(one.candidate.view.text).text))


def _letter_may_be_another(one: Scored) -> bool:
    """A reuse letter may be the rest of NR, or go on with a D."""
    if one.candidate.grammar.mark != "reuse":
        return False
    alone = sum(letter.isalnum() for letter in one.candidate.told.text) == 1
    printing = one.candidate.printing
    ink = re.escape(ready(one.hypotheses[0].printed).text)
    # NR may stand right against its class (FFP2NR).
    against = "".join(rf"|(?<={one})" for one in printing.reuse_behind)
    longer = re.compile(rf"(?:(?<![A-Z0-9]){against}){ink}{_ONE_LETTER_MORE}")
    told = (told for view in one.candidate.line.views for told in ways_told(view, printing))
    return alone or any(longer.search(ready(way.text).text) for way in told)


def _no_whole_date(one: Scored) -> bool:
    """A date that no calendar has, or the rest of one."""
    if one.candidate.grammar.traits.shape != "date":
        return False
    printed = one.hypotheses[0].printed
    named = any(sign.isalpha() for sign in printed)
    digits = sum(sign.isdigit() for sign in printed)
    return not (readings(printed) and (named or digits >= _SHORTEST_DATE))


def _short_code(one: Scored) -> bool:
    """A model of a letter or two, or without a digit: more often the beginning of one."""
    if one.candidate.grammar.mark != "model":
        return False
    code = [sign for sign in ready(one.hypotheses[0].printed).text if sign.isalnum()]
    return len(code) < _SHORTEST_MODEL or not any(sign.isdigit() for sign in code)


def _end_cut(one: Scored) -> bool:
    """The photo ends at the ink, along its line, or something crosses the line right behind it."""
    line = one.candidate.line
    at_start, at_end = _near_ends(one)
    cut_first, cut_last = line.cut
    if line.cut_along or (at_start and cut_first) or (at_end and cut_last):
        return True
    if not one.candidate.grammar.traits.may_run_on:
        return False
    first, last = line.crossed
    return (at_start and first) or (at_end and last)


def _runs_on(one: Scored) -> bool:
    """The print goes on without a break, or behind the line stands print that nobody could read:
    a part of the mark may be misread or hidden.
    """
    if not one.candidate.grammar.traits.may_run_on:
        return False
    if _SEPARATOR.match(one.candidate.told.text[one.candidate.end :]):
        return True
    if _joined_in_a_view(one.candidate, one.hypotheses[0].printed):
        return True
    return _near_ends(one)[1] and one.candidate.line.runs_on


def _begins_a_code(one: Scored) -> bool:
    """A class with a dash and more right behind it, no sign of its own (KN95-A): a model."""
    if one.candidate.grammar.mark != "filter_class":
        return False
    behind = ready(one.candidate.told.text[one.candidate.end :]).text
    signs = any_of(one.candidate.printing.behind_dash)
    return re.match(rf"-(?!(?:{signs})(?![A-Z0-9]))[A-Z0-9]", behind) is not None


def _across_a_gap(one: Scored) -> bool:
    """Its word stands before or behind it: across the gap between two columns it is another's."""
    if not one.candidate.grammar.traits.word_on_either_side:
        return False
    told, match = one.candidate.told, one.candidate.match
    inside = range(max(match.start, one.candidate.above), match.end)
    letters = [told.spans[at] for at in inside if not told.text[at].isspace()]
    high, wide = one.candidate.line.image.shape[:2]
    pixels = wide / one.candidate.view.steps.log_probs.shape[0] * IMAGE_HEIGHT / high
    widest = max((behind[0] - before[1] for before, behind in pairwise(letters)), default=0)
    return bool(widest * pixels > _COLUMN * _NEAR)


def _near_ends(one: Scored) -> tuple[bool, bool]:
    width = one.candidate.line.image.shape[1]
    low, high = one.candidate.extent
    return low * width < _NEAR, (1 - high) * width < _NEAR


def _joined_in_a_view(candidate: CandidateSpan, printed: str) -> bool:
    """Whether a sure view shows this ink joined to more letters (the year of a standard)."""
    ink = r"\s?".join(re.escape(sign) for sign in ready(printed).text if sign != " ")
    longer = re.compile(rf"(?<![A-Z0-9]){ink}(?:{_SEPARATOR.pattern})[A-Z0-9]")
    sure = [view for view in candidate.line.views if view.confidence >= SURE_VIEW]
    told = (told for view in sure for told in ways_told(view, candidate.printing))
    return any(longer.search(ready(way.text).text) for way in told)


#: Every reason that a predicate can say, gravest first.
TABLE = (
    Reason("needs_another_letter", _needs_another_letter, of_letters=False),
    Reason("often_misread", _often_misread),
    Reason(NEAR_FORM, is_near_form, of_letters=False),
    Reason("unknown_form", _form_of_none),
    Reason("may_end_a_model", _may_end_a_model),
    Reason("may_be_another_letter", _letter_may_be_another),
    Reason("no_whole_date", _no_whole_date),
    Reason("short_code", _short_code),
    Reason("end_cut", _end_cut),
    Reason("runs_on", _runs_on),
    Reason("runs_on", _begins_a_code, of_letters=False),
    Reason("another_column", _across_a_gap),
    Reason("runs_on", is_code_with_space, of_letters=False),
)
#: Every name that `Mark.reasons` can hold.
NAMES = (
    *dict.fromkeys(reason.name for reason in TABLE),
    LOOK_ALIKE_LETTER,
    LOST_LETTER,
    LETTERS_NOT_CERTAIN,
    NAMED_BY_PLACE,
    READERS_DIFFER,
    "other_script",
)
