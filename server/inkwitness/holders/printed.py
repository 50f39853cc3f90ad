"""Names and models of entries looked for in the lines that were read: printed, near, not seen.

The list may search, never read. Nothing here makes a letter likelier or a mark read: it answers
where print may be what an entry says, so that a person can be asked. Ink that its label or its form
already names as something else (a lot, a date) is not searched. Look-alikes and signs that are
taken for each other count as in `numbers.distance`; what is equal but for them is `near`.
"""

import re
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import get_args

from inkwitness.holders.compare import class_core
from inkwitness.holders.lookup import SchemeIndex, all_models, all_names
from inkwitness.holders.names import key_of, likeness, telling
from inkwitness.holders.numbers import CONFUSABLE_COST, LOOK_ALIKE_COST, distance, normal_form
from inkwitness.holders.numbers import NEAR_LIMIT as LONG_LIMIT
from inkwitness.holders.values import HolderEntry, ReadLine, Searched, SearchField, SearchState
from inkwitness.marks.values import Mark

FIELDS: tuple[SearchField, ...] = get_args(SearchField)

#: Entries shown at most where neither number nor name says which one is meant.
MOST_ENTRIES = 3
#: Words that one name or model is printed in at most.
_MOST_WORDS = 5
_MOST_CANDIDATES = 400
_WORD = re.compile(r"[^\s:;,|()\[\]{}=<>]+")
_EDGE = ".-_/\\'\"*#~®™©"
_RANK: dict[SearchState, int] = {"printed": 0, "near": 1, "not_seen": 2}


@dataclass(frozen=True, slots=True)
class _Ink:
    """Up to five words that stand together in a line."""

    line: ReadLine
    start: int
    end: int
    text: str


@dataclass(frozen=True, slots=True)
class _Print:
    """All runs of words, and the marks that are named by their place alone, each as ink."""

    inks: tuple[_Ink, ...]
    guessed: tuple[tuple[_Ink, Mark], ...]


@dataclass(frozen=True, slots=True)
class _Hit:
    state: SearchState
    cost: float
    listed: str
    ink: _Ink
    mark_id: str = ""


def search_entry(
    entry: HolderEntry, lines: Sequence[ReadLine], fields: Iterable[SearchField] = FIELDS
) -> tuple[Searched, ...]:
    """What of one entry is printed, near or not seen, a field at a time; nothing without lines."""
    return _of_entry(entry, _print_of(lines), fields) if lines else ()


def search_scheme(
    index: SchemeIndex,
    lines: Sequence[ReadLine],
    classes: Sequence[str],
    behind_class: Collection[str],
) -> tuple[Searched, ...]:
    """What of the entries of a scheme is printed, where no number says which entry is meant.

    `classes` are the printed ones: an entry of another class is left out. Nothing is said to be
    not seen here: every other entry is not. A short name, a model without a letter and what is
    only near count where the other field of the same entry is seen with it: a line of four digits
    may be anything (common practice, no source).
    """
    print_ = _print_of(lines)
    cores = {class_core(one, behind_class) for one in classes}
    both: list[tuple[int, tuple[Searched, ...]]] = []
    alone: dict[tuple[str, str], Searched] = {}
    for entry in _candidates(index, print_.inks):
        listed = {class_core(one, behind_class) for one in entry.filter_classes}
        if cores and listed and not cores & listed:
            continue
        seen = [one for one in _of_entry(entry, print_, FIELDS) if one.state != "not_seen"]
        if len(seen) == len(FIELDS):
            both.append((sum(_RANK[one.state] for one in seen), tuple(seen)))
        for one in seen:
            if one.state == "printed" and _tells(one):
                alone.setdefault((one.field, one.listed), one)
    if both:
        best = sorted(both, key=lambda pair: pair[0])[:MOST_ENTRIES]
        return tuple(dict.fromkeys(one for _, seen in best for one in seen))
    return tuple(alone.values())[:MOST_ENTRIES]


def _of_entry(
    entry: HolderEntry, print_: _Print, fields: Iterable[SearchField]
) -> tuple[Searched, ...]:
    found = []
    for field in fields:
        names = all_models(entry) if field == "model" else all_names(entry)
        listed = tuple(dict.fromkeys(name for name in names if name))
        if not listed:
            continue
        hit = min(
            _hits(field, listed, print_),
            # of equal hits the longest ink: a whole name rather than its first word
            key=lambda one: (_RANK[one.state], one.cost, -len(one.ink.text)),
            default=None,
        )
        all_listed = "; ".join(listed if field == "model" else listed[:1])
        bare = Searched(field, "not_seen", all_listed, entry.holder, entry.approval_number)
        found.append(bare if hit is None else _with(bare, hit))
    return tuple(found)


def _with(bare: Searched, hit: _Hit) -> Searched:
    ink = hit.ink
    return replace(
        bare,
        state=hit.state,
        listed=hit.listed,
        printed=ink.text,
        photo=ink.line.photo,
        line=ink.line.index,
        span=(ink.start, ink.end),
        mark_id=hit.mark_id or _mark_at(ink),
    )


def _hits(field: SearchField, listed: Sequence[str], print_: _Print) -> Iterator[_Hit]:
    for name in listed:
        for ink in print_.inks:
            hit = _model(name, ink.text) if field == "model" else _name(name, ink.text)
            if hit is not None:
                yield _Hit(*hit, name, ink)
        for ink, mark in print_.guessed:
            if _other_way(field, name, mark):
                yield _Hit("near", LOOK_ALIKE_COST, name, ink, mark.id)


@lru_cache(maxsize=65_536)
def _model(listed: str, printed: str) -> tuple[SearchState, float] | None:
    one, other = normal_form(printed), normal_form(listed)
    if not one or not other:
        return None
    return ("printed", 0.0) if one == other else _near(one, other)


@lru_cache(maxsize=65_536)
def _name(listed: str, printed: str) -> tuple[SearchState, float] | None:
    if not telling(listed):
        # a firm that is called by its trade alone: only its whole name is its name
        whole = len(key_of(listed).words) > 1 and likeness(printed, listed) == "same"
        return ("printed", 0.0) if whole else None
    found = likeness(printed, listed)
    if found == "same" or (found == "short" and telling(printed)):
        return "printed", 0.0
    words = key_of(listed).words
    own = next(place for place, word in enumerate(words) if telling(word))
    one = "".join(key_of(printed).words).upper()
    near = [_near(one, "".join(part).upper()) for part in (words, words[: own + 1])]
    costs = [hit[1] for hit in near if hit is not None]
    return ("near", min(costs)) if costs else None


def _near(one: str, other: str) -> tuple[SearchState, float] | None:
    """Near, where two forms differ in less than their length allows: in a short one by letter O and
    zero at most, in a longer one by signs that are taken for each other, or by a letter.
    """
    length = min(len(one), len(other))
    limit = LONG_LIMIT if length > 5 else CONFUSABLE_COST if length > 3 else LOOK_ALIKE_COST
    if abs(len(one) - len(other)) > 2:
        return None
    cost = distance(one, other)
    return ("near", cost) if 0 < cost <= limit else None


def _other_way(field: SearchField, listed: str, mark: Mark) -> bool:
    """Whether another way to read the ink of a mark is what is listed."""
    for other in mark.alternatives:
        text = other.printed or other.value
        hit = _model(listed, text) if field == "model" else _name(listed, text)
        if hit is not None and hit[0] == "printed":
            return True
    return False


def _print_of(lines: Sequence[ReadLine]) -> _Print:
    guessed = []
    for line in lines:
        for mark in line.marks:
            if mark.named_by == "place":
                start, end = _span(line.text, mark) or (0, len(line.text))
                guessed.append((_Ink(line, start, end, mark.printed), mark))
    return _Print(tuple(ink for line in lines for ink in _inks(line)), tuple(guessed))


def _inks(line: ReadLine) -> Iterator[_Ink]:
    """Every run of words in what no label and no form has named as something else."""
    taken = [
        span
        for mark in line.marks
        if mark.mark not in FIELDS
        and mark.named_by != "place"
        and (span := _span(line.text, mark)) is not None
    ]
    words: list[tuple[int, int] | None] = []
    for hit in _WORD.finditer(line.text):
        start = hit.end() - len(hit.group().lstrip(_EDGE))
        end = start + len(hit.group().strip(_EDGE))
        if any(start < last and first < end for first, last in taken):
            words.append(None)
        elif end > start:
            words.append((start, end))
    for first, word in enumerate(words):
        for run in range(first, min(first + _MOST_WORDS, len(words))):
            last = words[run]
            if word is None or last is None:
                break
            yield _Ink(line, word[0], last[1], line.text[word[0] : last[1]])


def _span(text: str, mark: Mark) -> tuple[int, int] | None:
    if mark.span is not None:
        return mark.span
    start = text.find(mark.printed) if mark.printed else -1
    return None if start < 0 else (start, start + len(mark.printed))


def _mark_at(ink: _Ink) -> str:
    """The id of the mark that this ink was taken for by its place alone, or an empty string."""
    for mark in ink.line.marks:
        span = _span(ink.line.text, mark) if mark.named_by == "place" else None
        if span is not None and span[0] < ink.end and ink.start < span[1]:
            return mark.id
    return ""


def _candidates(index: SchemeIndex, inks: Sequence[_Ink]) -> list[HolderEntry]:
    """Entries of which a model, or the first word of a name, may be among the print."""
    found: dict[str, HolderEntry] = {}
    words = {word for ink in inks for word in key_of(ink.text).words}
    forms = {normal_form(ink.text) for ink in inks if any(c.isdigit() for c in ink.text)}
    for entries in (
        *(index.by_model.get(form, ()) for form in sorted(forms)),
        *(index.by_word.get(word, ()) for word in sorted(words)),
        *(
            index.by_word.get(other.lower(), ())
            for word in sorted(words)
            if len(word) > 3
            for other, _ in index.near("manufacturer").near(word.upper())
        ),
    ):
        for entry in entries:
            found.setdefault(entry.key, entry)
            if len(found) >= _MOST_CANDIDATES:
                return list(found.values())
    return list(found.values())


def _tells(one: Searched) -> bool:
    """Whether ink says something alone: a name of four letters, a model of letters and digits."""
    form = normal_form(one.printed)
    if one.field == "manufacturer":
        return len(form) > 3
    return len(form) > 3 and any(c.isalpha() for c in form) and any(c.isdigit() for c in form)
