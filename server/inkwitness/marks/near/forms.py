"""Print that is near a published form and read by no grammar: asked about, never taken for it.

`ENH145:2001` is more often a standard that was misread than one that was misprinted. Where the
letters are not sure, the ink is shown with the form beside it; where both readers and every sure
view say the ink, it stays what it is: misprints are what one looks for. Which forms: the rules.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from inkwitness.marks.grammar import Grammar
from inkwitness.marks.match import value_of
from inkwitness.marks.scores.scoring import bare, folded
from inkwitness.marks.text import confusable, look_alike, plain, ready
from inkwitness.marks.typed import is_typed
from inkwitness.reading.values import Line

#: Cost of a sign that readers take for the other, and of any other sign, a missing or a further
#: one among them.
_CONFUSABLE, _OTHER = 0.5, 1.0
#: What a form may cost, from so many letters and digits on; a shorter one is near too much print.
_MOST_COST = ((14, 3.0), (9, 2.0), (8, 1.0))
#: With two digits exchanged it is the number of another standard, maybe.
_MOST_DIGITS = 1
#: A line is asked about from this confidence on, and a view is sure from the second.
_LEAST_SURE, _SURE_VIEW = 0.5, 0.8


@dataclass(frozen=True, slots=True)
class NearForm:
    """A stretch of a line's text (first letter, one past the last), and the form that it is near.

    `form` is as published, `value` its normal form. `likeness`: letters and digits of the form
    less twice what the ink costs.
    """

    line: Line
    grammar: Grammar
    start: int
    end: int
    form: str
    value: str
    likeness: float

    @property
    def printed(self) -> str:
        return self.line.text[self.start : self.end]


@dataclass(frozen=True, slots=True)
class _Way:
    """The cheapest way to a place of the form: its cost, digits that are others, letters of the
    form that are not there, and where in the ink it begins.
    """

    cost: float
    digits: int
    letters: int
    start: int

    @property
    def rank(self) -> tuple[float, int, int, int]:
        return self.cost, self.digits, self.letters, self.start


@dataclass(frozen=True, slots=True)
class _Stretch:
    start: int
    end: int
    cost: float


def near_forms_of(lines: Sequence[Line], grammars: Sequence[Grammar]) -> Iterator[NearForm]:
    """The nearest form of each line, where one is near and the ink is not sure.

    Typed print is sure.
    """
    for line in lines:
        if not is_typed(line) and line.confidence >= _LEAST_SURE:
            near = max(_near(line, grammars), key=lambda one: one.likeness, default=None)
            if near is not None and not _is_sure(near):
                yield near


def _near(line: Line, grammars: Sequence[Grammar]) -> Iterator[NearForm]:
    prepared = ready(line.text)
    for grammar in grammars:
        for form in grammar.near:
            found = _stretch(prepared.text, form)
            if found is not None:
                known = value_of(form, grammar)
                first, last = prepared.original_span(found.start, found.end)
                value = known.value if known else form
                likeness = len(plain(form)) - 2 * found.cost
                yield NearForm(line, grammar, first, last, form, value, likeness)


@lru_cache(maxsize=1 << 14)
def _stretch(text: str, form: str) -> _Stretch | None:
    """Where in a text made ready a form stands nearly."""
    wanted = plain(form)
    most = next((cost for least, cost in _MOST_COST if len(wanted) >= least), 0.0)
    places = [at for at, sign in enumerate(text) if sign.isalnum()]
    signs = "".join(text[at] for at in places)
    shared = Counter(folded(wanted)) & Counter(folded(signs))
    # Each sign that is not shared costs at least as much as a confusable one.
    if not most or shared.total() < len(wanted) - most / _CONFUSABLE:
        return None
    letters = sum(sign.isalpha() for sign in wanted)
    best = None
    for end, way in _ways(signs, wanted):
        near = way.cost <= most and way.digits <= _MOST_DIGITS and 2 * way.letters <= letters
        if near and end > way.start and (best is None or way.cost < best.cost):
            first, last = places[way.start], places[end - 1] + 1
            if not _parts_a_word(text, first) and not _parts_a_word(text, last):
                best = _Stretch(first, last, way.cost)
    return best


def _parts_a_word(text: str, at: int) -> bool:
    """Whether a cut here parts two digits, or two letters."""
    pair = text[at - 1 : at + 1] if at else ""
    return len(pair) == 2 and (pair.isdigit() or pair.isalpha())


def _ways(signs: str, wanted: str) -> Iterator[tuple[int, _Way]]:
    """For each end in the ink the cheapest way to the whole form: edit distance to any stretch.

    Source: Sellers, "The theory and computation of evolutionary distances: pattern recognition",
    Journal of Algorithms 1 (1980) 359-373 (from memory).
    """
    column = [_Way(0.0, 0, 0, 0)]
    for sign in wanted:
        column.append(_missed(column[-1], sign))
    for end, seen in enumerate(signs, start=1):
        new = [_Way(0.0, 0, 0, end)]
        for place, sign in enumerate(wanted):
            options = (
                _exchanged(column[place], seen, sign),
                _missed(new[-1], sign),
                _further(column[place + 1], seen, sign),
            )
            new.append(min(options, key=lambda way: way.rank))
        column = new
        yield end, column[-1]


def _missed(way: _Way, sign: str) -> _Way:
    return replace(way, cost=way.cost + _OTHER, letters=way.letters + sign.isalpha())


def _further(way: _Way, seen: str, sign: str) -> _Way:
    """One more sign in the ink; a stroke of the one before it is often read twice."""
    doubled = confusable(seen, sign) or look_alike(seen, sign)
    return replace(way, cost=way.cost + (_CONFUSABLE if doubled else _OTHER))


def _exchanged(way: _Way, seen: str, sign: str) -> _Way:
    if look_alike(seen, sign):
        return way
    if confusable(seen, sign):
        return replace(way, cost=way.cost + _CONFUSABLE)
    other = way.digits + (seen.isdigit() and sign.isdigit())
    return _Way(way.cost + _OTHER, other, way.letters + sign.isalpha(), way.start)


def _is_sure(near: NearForm) -> bool:
    """Whether both readers and every sure view say the ink, letter for letter."""
    ink = bare(ready(near.printed).text)
    said = [second.text for second in near.line.second]
    seen = [view.text for view in near.line.views if view.confidence >= _SURE_VIEW]
    return bool(said) and all(ink in bare(ready(text).text) for text in (*said, *seen))
