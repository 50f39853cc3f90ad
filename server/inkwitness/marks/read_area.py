"""Marks of one area: where a grammar may hold, how sure the letters are, what that is called.

`_sites`      places of a line where a grammar holds, or nearly, in any view
`_weighed`    the distribution over what may stand there (`evidence`), summed by value
`_seen`       probability to standing (`calibration`)
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from inkwitness.marks import calibration
from inkwitness.marks.alike import alike_at
from inkwitness.marks.dates import normal_date, readings
from inkwitness.marks.evidence import Candidate, Piece, candidates
from inkwitness.marks.grammar import Grammar
from inkwitness.marks.ink import ink_span
from inkwitness.marks.match import NEARNESS_ORDER, Match, find
from inkwitness.marks.read_text import DATE_MARKS, FREE_MARKS, LABELLED
from inkwitness.marks.text import LOOK_ALIKE, ready
from inkwitness.marks.told import Told, ways_told
from inkwitness.marks.values import Alternative, Mark
from inkwitness.photo.values import Polygon
from inkwitness.reading.engines import STRIP_HEIGHT
from inkwitness.reading.renderings import MARGIN
from inkwitness.reading.values import Area, Line, View

#: A look-alike form is a question below this probability.
CERTAIN = 0.985
#: Marks whose odd forms are more often misread than misprinted.
_OWN_FORMS = frozenset({"agency", "filter_class", "approval_number", "standard"})
#: Marks that a reader may see the half of and take for whole.
_MAY_RUN_ON = frozenset(
    {"approval_number", "standard", "lot", "model", "body_number", "lone_number", "reuse"}
)
#: Codes of the maker's own: no grammar decides between a letter O and a zero in them.
_FREE_CODES = frozenset({"lot", "model"})
_SHORTEST_MODEL = 3
#: A date in digits alone with fewer of them has lost its day, its month or its year.
_SHORTEST_DATE = 6
_SEPARATOR = re.compile(r"\s?[:+]|[-/.]")
#: One more letter behind a reuse mark: a D (clogging test passed) that was misread.
_ONE_LETTER_MORE = r"\s?[A-Z0](?![A-Z0-9])"
#: A number without a name of its own, with a class right against it: they may be one model word.
_NAMELESS = r"(?<![A-Z0-9:+])(?!CE|EN)[A-Z]{0,4}-?[0-9]{3,}"
_SURE_VIEW = 0.8
#: How near to the strip's end a mark is its last print: a height of capitals (strip pixels).
_NEAR = STRIP_HEIGHT / MARGIN


@dataclass(frozen=True, slots=True, eq=False)
class _Site:
    """A place in a line where a grammar holds in one view: the ink from `start` to `end`."""

    line: Line
    view: View
    told: Told
    grammar: Grammar
    match: Match
    start: int
    end: int

    @property
    def extent(self) -> tuple[float, float]:
        """The ink's steps as a share of the line."""
        steps = self.view.steps.log_probs.shape[0]
        spans = self.told.spans
        return spans[self.start][0] / steps, spans[self.end - 1][1] / steps


@dataclass(frozen=True, slots=True)
class _Way:
    """One value that the ink may have, the form that the grammar knows it by, and its share of
    the evidence.
    """

    printed: str
    value: str
    form: Match
    share: float


@dataclass(frozen=True, slots=True, eq=False)
class _Weighed:
    """A site with its distribution, the likeliest way first."""

    site: _Site
    ways: tuple[_Way, ...]
    best_text: str
    pieces: tuple[Piece, ...]
    seen_by: tuple[str, ...]
    signs: calibration.Signs

    @property
    def share(self) -> float:
        return self.ways[0].share if self.ways else 0.0


@dataclass(frozen=True, slots=True)
class SeenMark:
    """A mark with the signs that its probability comes from, and whether it was held back."""

    mark: Mark
    signs: calibration.Signs
    held_back: bool


def marks_of_area(area: Area, grammars: Sequence[Grammar]) -> tuple[Mark, ...]:
    """The marks that the grammars find in an area, in the order of its lines."""
    return tuple(one.mark for one in seen_in_area(area, grammars))


def seen_in_area(area: Area, grammars: Sequence[Grammar]) -> tuple[SeenMark, ...]:
    """The same with what each standing rests on: the weights are fitted from it."""
    weighed = {line.index: _of_line(line, grammars) for line in area.lines}
    found = [one for line in area.lines for one in weighed[line.index]]
    sure = {(one.site.grammar.mark, one.site.grammar.scheme) for one in found if _plain(one)}
    kept = [
        one
        for one in found
        if _plain(one) or (one.site.grammar.mark, one.site.grammar.scheme) not in sure
    ]
    return tuple(_seen(one) for one in kept)


def _plain(one: _Weighed) -> bool:
    return one.site.match.nearness != "confusable"


def _of_line(line: Line, grammars: Sequence[Grammar]) -> list[_Weighed]:
    """The sites of a line whose ink does not overlap, weighed."""
    sites = [site for view in line.views for site in _sites(line, view, grammars)]
    sites.sort(key=_rank)
    kept: list[_Site] = []
    for site in sites:
        if all(_apart(site, other) or _names_it(site.match, other.match) for other in kept):
            kept.append(site)
    weighed = [_weigh(site, [s for s in sites if _same(s, site)]) for site in kept]
    found = [one for one in weighed if one.ways]
    return sorted(found, key=lambda one: one.site.extent)


def _sites(line: Line, view: View, grammars: Sequence[Grammar]) -> list[_Site]:
    found = []
    for told in ways_told(view):
        for grammar in grammars:
            for match in find(told.text, grammar):
                start, end = ink_span(match)
                if end > start:
                    found.append(_Site(line, view, told, grammar, match, start, end))
    return found


def _rank(site: _Site) -> tuple[int, int, float, int]:
    near = NEARNESS_ORDER.index(site.match.nearness)
    labelled = 0 if site.grammar.mark in LABELLED else 1
    low, high = site.extent
    return near, labelled, low - high, site.line.views.index(site.view)


def _apart(one: _Site, other: _Site) -> bool:
    (low, high), (start, end) = one.extent, other.extent
    shared = min(high, end) - max(low, start)
    return shared <= 0.2 * min(high - low, end - start)


def _same(one: _Site, other: _Site) -> bool:
    same = (one.grammar.mark, one.grammar.scheme) == (other.grammar.mark, other.grammar.scheme)
    return same and not _apart(one, other)


def _names_it(match: Match, other: Match) -> bool:
    return match.mark == "agency" and other.mark == "standard" and match.nearness == "exact"


def _weigh(site: _Site, others: Sequence[_Site]) -> _Weighed:
    own = {id(other.view): other for other in reversed(others)}
    pieces = [_piece(view, own.get(id(view)), site) for view in site.line.views]
    guess = [_corrected(other) for other in others]
    found = candidates(pieces, guess, site.line.second)
    ways: dict[str, list[tuple[_Way, Candidate]]] = {}
    for candidate in found:
        read = _value(site, candidate.text)
        if read is not None:
            way = _Way(candidate.text, *read, candidate.probability)
            ways.setdefault(way.value, []).append((way, candidate))
    summed = []
    for same in ways.values():
        views = np.array([candidate.by_view for _, candidate in same]).sum(axis=0)
        share = min(1.0, sum(way.share for way, _ in same))
        summed.append((replace(same[0][0], share=share), views))
    summed.sort(key=lambda pair: -pair[0].share)
    if not summed:
        return _Weighed(site, (), "", (), ("ppocr",), calibration.NO_SIGNS)
    best, views = summed[0]
    said = [_bare(ready(second.text).text) for second in site.line.second]
    agreed = any(_bare(best.printed) in text for text in said)
    signs = calibration.Signs(
        share=best.share,
        agreeing=float((views > 0.5).mean()),
        worst_view=float(views.min()),
        second_agrees=agreed,
        second_differs=bool(said) and not agreed,
        line_confidence=site.line.confidence,
        x_height_px=site.line.x_height_px,
    )
    readers = ("ppocr", site.line.second[0].reader) if agreed else ("ppocr",)
    all_ways = tuple(way for way, _ in summed)
    return _Weighed(site, all_ways, found[0].text, tuple(pieces), readers, signs)


def _piece(view: View, own: _Site | None, site: _Site) -> Piece:
    """The steps of the ink in this view: its own site, or the same share of the line."""
    steps = view.steps.log_probs.shape[0]
    if own is not None:
        spans = own.told.spans
        first, last = spans[own.start][0], spans[own.end - 1][1]
        before = spans[own.start - 1][1] if own.start > 0 else 0
        after = spans[own.end][0] if own.end < len(spans) else steps
        return Piece(view, (before + first + 1) // 2, max((after + last) // 2, first + 1))
    low, high = site.extent
    starts = [(span[0] + span[1]) / 2 / steps for span in view.spans]
    inside = [i for i, at in enumerate(starts) if low - 0.01 <= at <= high + 0.01]
    if not inside:
        first = int(low * steps)
        return Piece(view, first, max(first + 1, int(high * steps)))
    a, b = inside[0], inside[-1]
    before = view.spans[a - 1][1] if a > 0 else 0
    after = view.spans[b + 1][0] if b + 1 < len(view.spans) else steps
    return Piece(view, (before + view.spans[a][0] + 1) // 2, (after + view.spans[b][1]) // 2 or 1)


def _corrected(site: _Site) -> str:
    """The ink as the grammar would have it: a question to ask of the probabilities."""
    letters = list(ready(site.told.text[site.start : site.end]).text)
    for at, _, wanted in site.match.changes:
        if site.start <= at < site.end and len(letters) == site.end - site.start:
            letters[at - site.start] = wanted
    return "".join(letters)


def _value(site: _Site, ink: str) -> tuple[str, Match] | None:
    """Value and form if the grammar holds with this ink in its place, look-alikes allowed."""
    text = site.told.text[: site.start] + ink + site.told.text[site.end :]
    end = site.start + len(ink)
    for loosely in (False, True):
        for match in find(text, site.grammar, loosely=loosely):
            if match.nearness == "confusable":
                # The label in front may be misread; the ink itself may not.
                if any(site.start <= at < end for at, _, _ in match.changes):
                    continue
            start, stop = ink_span(match)
            if start <= site.start + 1 and stop >= end - 1 and stop > site.start:
                return _normal(site.grammar.mark, match, text[start:stop]), match
    return None


def _normal(mark: str, match: Match, ink: str) -> str:
    if mark in DATE_MARKS:
        return normal_date(match.value)
    return ink if mark in FREE_MARKS else match.value


def _seen(one: _Weighed) -> SeenMark:
    best, mark = one.ways[0], one.site.grammar.mark
    probability = calibration.probability(mark, one.signs)
    printed = best.printed
    ink = one.site.told.text[one.site.start : one.site.end]
    if ready(ink).text == printed:
        printed = ink
    standing = calibration.standing(mark, probability)
    held = held_back(one.site, best, printed)
    alike = alike_at(one.pieces, printed) if mark in _FREE_CODES and not held else ()
    # Where nothing else is open, only these have to be looked at.
    only = alike if standing == "read" else ()
    if held or alike:
        standing = "doubtful"
    others = tuple(
        Alternative(way.printed, way.value, round(way.share, 4))
        for way in one.ways[1:4]
        if way.share > 0.002
    )
    if standing == "doubtful" and one.best_text not in {printed, ready(printed).text}:
        others = (Alternative(one.best_text, one.best_text, 0.0), *others)
    found = Mark(
        mark=mark,
        printed=printed,
        value=best.value,
        standing=standing,
        probability=round(probability, 5),
        alternatives=others,
        polygon=_part_of(one.site.line.polygon, one.site.extent),
        readers=one.seen_by,
        doubtful_at=_doubtful_at(printed, others, only) if standing == "doubtful" else (),
        line=one.site.line.index,
        scheme=one.site.grammar.scheme,
        parts=tuple((name, text) for name, text in best.form.parts if name != "ink"),
    )
    return SeenMark(found, one.signs, held or bool(alike))


def held_back(site: _Site, best: _Way, printed: str) -> bool:
    """Reasons for doubt that no letter's probability shows.

    The form may be what is left of a longer one, or have a worn letter read as another. Or it is
    not one the scheme has (a misspelt agency, a number a digit short): what looks like a slip of
    the printer is more often one of the reader, so both readers must say it. The print runs on
    without a break: a part of the mark may be misread or hidden. Something crosses the end of the
    line right behind the ink: a finger or an edge may hide the rest; or a piece of print that could
    not be read stands there, or the photo ends. A date that no calendar has, or the rest of one. A
    class that may end a model word. A model of a letter or two.
    """
    if best.form.always_doubtful or (site.match.nearness == "confusable" and best.share < CERTAIN):
        return True
    if site.grammar.mark in _OWN_FORMS and not best.form.strict and not _said_too(site, printed):
        return True
    if site.grammar.mark == "filter_class" and _may_end_a_model(site, printed):
        return True
    if site.grammar.mark == "reuse" and _may_be_another(site, printed):
        return True
    if site.grammar.mark in DATE_MARKS and not _whole_date(printed):
        return True
    if site.grammar.mark == "model" and _hardly_a_model(printed):
        return True
    width = site.line.strip.shape[1]
    at_start, at_end = site.extent[0] * width < _NEAR, (1 - site.extent[1]) * width < _NEAR
    cut_first, cut_last = site.line.cut
    if site.line.cut_along or (at_start and cut_first) or (at_end and cut_last):
        return True
    if site.grammar.mark not in _MAY_RUN_ON:
        return False
    if _SEPARATOR.match(site.told.text[site.end :]) or _runs_on(site.line, printed):
        return True
    first, last = site.line.crossed
    return (at_start and first) or (at_end and (last or site.line.runs_on))


def _said_too(site: _Site, printed: str) -> bool:
    """Whether the second reader has just this form, and not as a part of a longer word."""
    ink = r"[^A-Z0-9]*".join(_folded(letter) for letter in printed.upper() if letter.isalnum())
    whole = re.compile(rf"(?<![A-Z0-9]){ink}(?![A-Z0-9])")
    return any(whole.search(_folded(ready(second.text).text)) for second in site.line.second)


def _may_be_another(site: _Site, printed: str) -> bool:
    """Whether the letters may be the rest of NR, or go on with a D."""
    alone = sum(letter.isalnum() for letter in site.told.text) == 1
    # NR may stand right against its class (FFP2NR).
    ink = re.escape(ready(printed).text)
    longer = re.compile(rf"(?:(?<![A-Z0-9])|(?<=FFP[0-9])){ink}{_ONE_LETTER_MORE}")
    told = (told for view in site.line.views for told in ways_told(view))
    return alone or any(longer.search(ready(one.text).text) for one in told)


def _hardly_a_model(printed: str) -> bool:
    """Whether it is of a letter or two, or without a digit: more often the beginning of one."""
    code = [sign for sign in ready(printed).text if sign.isalnum()]
    return len(code) < _SHORTEST_MODEL or not any(sign.isdigit() for sign in code)


def _whole_date(printed: str) -> bool:
    """Whether it can be read as a date with its year, and a month or more."""
    named = any(sign.isalpha() for sign in printed)
    digits = sum(sign.isdigit() for sign in printed)
    return bool(readings(printed)) and (named or digits >= _SHORTEST_DATE)


def _may_end_a_model(site: _Site, printed: str) -> bool:
    """Whether the class stands right against a number that no mark accounts for (4711FFP2)."""
    return bool(re.search(_NAMELESS + re.escape(ready(printed).text), ready(site.view.text).text))


def _runs_on(line: Line, printed: str) -> bool:
    """Whether a sure view shows this ink joined to more letters (the year of a standard)."""
    ink = r"\s?".join(re.escape(sign) for sign in ready(printed).text if sign != " ")
    longer = re.compile(rf"(?<![A-Z0-9]){ink}(?:{_SEPARATOR.pattern})[A-Z0-9]")
    sure = [view for view in line.views if view.confidence >= _SURE_VIEW]
    return any(longer.search(ready(told.text).text) for view in sure for told in ways_told(view))


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
    """The stretch of a line's polygon between two shares of its length."""
    half = len(polygon) // 2
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


def _bare(text: str) -> str:
    return _folded("".join(letter for letter in text if letter.isalnum()))


def _folded(text: str) -> str:
    """The text with signs that hardly differ in ink made one."""
    for group in LOOK_ALIKE:
        for letter in group:
            text = text.replace(letter, group[0])
    return text
