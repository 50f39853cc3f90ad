"""Comparing the marks of one item with the user's list of approval holders.

How the states are read here (decisions on the list, and where they leave room):

- `nothing_to_look_up`: no scheme is claimed, or the print has not the marks of its list key: the
  number, or the maker's name with the model (the name alone where the key names no model). A
  question where the search finds a name or model of an entry in the lines.
- `no_list_for_scheme`: there is no list, the list has no entry of the scheme, or the scheme has no
  list key.
- `listed_agrees`: the key is on the list, letter for letter in normal form, and no field differs.
- `listed_differs`: the key is on the list and a field differs. With `question` False that is a
  conflict (class; model where the printed name is the holder's or absent); with `question` True
  every difference is one to ask the holder or the body about, or rests on a doubtful mark.
- `listed_ended`: the entry was rescinded or suspended, or its last day is over, and no field
  contradicts. Expired is a question (goods from before the last day may lawfully be about);
  rescinded and suspended are not, unless the number is doubtful.
- `near`: the key is not on the list, and something near is. Never a match, always a question.
- `not_listed`: neither. Absence can be innocent: a question.
- `list_too_old`: as `not_listed`, on a list older than the limit: its silence says nothing at all.

An old list that has the key is still compared, since a class that contradicts an old entry is worth
a hold: the state is then one of the `listed_*` states or `near`, and the flag `list_too_old` goes
with it. The flag is also set where the entry itself was last checked too long ago, and where
nobody said when the list was checked. Agreement under that flag must not count as
`no_conflict_found`.

A doubtful number never gives a conflict, whatever the entry says. A list with several entries for
one key answers with the entry that speaks least against the print, current ones before ended.
"""

import datetime as dt
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from inkwitness.holders.compare import EntryCompared, compare
from inkwitness.holders.lookup import SchemeIndex, all_models, all_names, index_of
from inkwitness.holders.names import likeness
from inkwitness.holders.numbers import align, distance, folded, normal_form, spaced_form
from inkwitness.holders.printed import FIELDS, search_entry, search_scheme
from inkwitness.holders.values import (
    FieldComparison,
    HolderEntry,
    HolderList,
    HolderMatch,
    LetterPair,
    ListState,
    NearMatch,
    ReadLine,
    SearchField,
)
from inkwitness.marks.values import Mark

#: Near entries shown at most, nearest first.
MOST_NEAR = 5

# The most telling answer first, where a print claims several schemes or shows several numbers.
_ORDER: tuple[ListState, ...] = (
    "listed_differs",
    "listed_ended",
    "near",
    "not_listed",
    "list_too_old",
    "listed_agrees",
    "nothing_to_look_up",
    "no_list_for_scheme",
)
_NAME_MARK = "manufacturer"


@dataclass(frozen=True, slots=True)
class _Print:
    """What is compared with the list: marks, the lines to search, marks of another surface."""

    marks: Sequence[Mark]
    lines: Sequence[ReadLine]
    elsewhere: frozenset[Mark]
    behind_class: frozenset[str]

    def of_scheme(self, scheme: str) -> "_Print":
        """The marks of one scheme that were seen."""
        seen = (
            one for one in self.marks if one.scheme in (scheme, "") and one.standing != "absent"
        )
        return replace(self, marks=tuple(seen))

    @property
    def named(self) -> list[Mark]:
        """Marks that more than their place names."""
        return [mark for mark in self.marks if mark.named_by != "place"]

    @property
    def guessed(self) -> set[str]:
        """Names of marks that some print was taken for by its place alone."""
        return {mark.mark for mark in self.marks if mark.named_by == "place"}

    def key(self, names: Sequence[str]) -> str:
        """What would be looked up: the number, or name, model and body; empty where it is not read.

        It is said without a list too, for who looks at the authority's own.
        """
        first = [
            next((one.value or one.printed for one in self.named if one.mark == name), "")
            for name in names
        ]
        needed = first[:2] if _NAME_MARK in names[:1] else first[:1]
        return " ".join(filter(None, first)) if needed and all(needed) else ""

    def compare(self, entries: Iterable[HolderEntry]) -> list[EntryCompared]:
        return [compare(entry, self.named, self.elsewhere, self.behind_class) for entry in entries]


def match(
    marks: Sequence[Mark],
    claimed_schemes: Sequence[str],
    holder_list: HolderList | None,
    *,
    on: dt.date,
    max_age_days: int = 30,
    list_keys: Mapping[str, Sequence[str]],
    lines: Sequence[ReadLine] = (),
    elsewhere: Collection[Mark] = (),
    behind_class: Collection[str] = (),
) -> HolderMatch:
    """Compare the marks of one item with the list, as of the day `on`.

    `list_keys` maps a scheme to the mark names that it is looked up by: one for a number, or
    `manufacturer`, `model` and optional others. `max_age_days` is the user's limit on the age of
    the list. Where a print claims several schemes, the most telling answer is given, and a claimed
    scheme without a list is named as the field `scheme`.

    `lines` are searched for what the entries say (`holders.printed`); that moves no mark. A mark
    named by its place alone is no mark here: it agrees with nothing and differs from nothing, and
    what would rest on it is a question. `elsewhere` are marks of another surface of the same unit
    than the one judged: a maker's name there agrees only where it is whole. `behind_class` are
    words that follow a class in one cell of the list and are marks of their own.
    """
    print_ = _Print(marks, lines, frozenset(elsewhere), frozenset(behind_class))
    if holder_list is None and claimed_schemes:
        keys = (print_.of_scheme(one).key(list_keys.get(one, ())) for one in claimed_schemes)
        return HolderMatch("no_list_for_scheme", looked_up=next(filter(None, keys), ""))
    if holder_list is None:
        return HolderMatch("nothing_to_look_up")
    answers = [
        answer
        for scheme in dict.fromkeys(claimed_schemes)
        for answer in _of_scheme(print_, scheme, holder_list, list_keys.get(scheme, ()), on)
    ]
    best = min(answers, key=_rank, default=HolderMatch("nothing_to_look_up"))
    return _dated(best, holder_list, on, max_age_days)


def near_numbers(
    number: str, holder_list: HolderList, *, schemes: Sequence[str] = ()
) -> tuple[NearMatch, ...]:
    """Entries whose number is near to a typed one, of some schemes or of all, nearest first."""
    index = index_of(holder_list)
    wanted = schemes or tuple(index.schemes)
    found = [
        hit
        for scheme in wanted
        if (one := index.scheme(scheme)) is not None
        for mark in ("approval_number", "certificate_number")
        for hit in _near_number(one, mark, number)
    ]
    return tuple(sorted(found, key=lambda hit: (hit.distance, hit.approval_number))[:MOST_NEAR])


def _of_scheme(
    print_: _Print, scheme: str, holder_list: HolderList, key: Sequence[str], on: dt.date
) -> list[HolderMatch]:
    index = index_of(holder_list).scheme(scheme)
    if not key or index is None:
        field = FieldComparison("scheme", "not_on_entry", scheme, "", "scheme_without_list")
        looked_up = print_.of_scheme(scheme).key(key)
        return [HolderMatch("no_list_for_scheme", looked_up=looked_up, fields=(field,))]
    mine = print_.of_scheme(scheme)
    if key[0] == _NAME_MARK:
        return [_by_name_and_model(mine, index, on, key)]
    numbers = {
        normal_form(mark.value): mark
        for mark in sorted(mine.named, key=lambda mark: mark.standing == "read")
        if mark.mark == key[0] and normal_form(mark.value)
    }
    if not numbers:
        return [_nothing_to_look_up(mine, index)]
    return [_by_number(number, mine, key[0], index, on) for number in numbers.values()]


def _nothing_to_look_up(print_: _Print, index: SchemeIndex) -> HolderMatch:
    """No mark to look up: what of the scheme's entries is printed is then a question."""
    classes = [mark.value or mark.printed for mark in print_.named if mark.mark == "filter_class"]
    found = search_scheme(index, print_.lines, classes, print_.behind_class)
    return HolderMatch("nothing_to_look_up", searched=found, question=bool(found))


def _by_number(
    number: Mark, print_: _Print, name: str, index: SchemeIndex, on: dt.date
) -> HolderMatch:
    doubtful = number.standing == "doubtful"
    entries = index.numbers(name).get(normal_form(number.value), ())
    if entries:
        found = _listed(print_.compare(entries), print_, on, doubtful=doubtful)
    else:
        near = _near_number(index, name, number.value)
        found = HolderMatch("near" if near else "not_listed", near=near, question=True)
    if doubtful:
        found = replace(found, near=_with_alternatives(found.near, number, name, index))
        if found.state == "not_listed" and found.near:
            found = replace(found, state="near")
    return replace(found, looked_up=number.value)


def _by_name_and_model(
    print_: _Print, index: SchemeIndex, on: dt.date, key: Sequence[str]
) -> HolderMatch:
    """The answer where the maker's name is looked up, with the model where one is printed.

    What else the key names (the number of the body) is said in what was looked up, for who
    compares it with a paper; the list is asked by name and model.
    """
    marks = print_.named
    names = [mark for mark in marks if mark.mark == _NAME_MARK and mark.printed]
    models = [mark for mark in marks if mark.mark == "model" and normal_form(mark.value)]
    if not names or ("model" in key and not models):
        return _nothing_to_look_up(print_, index)
    printed = [mark.value or mark.printed for mark in names]
    looked_up = print_.key(key)
    doubtful = "doubtful" in {mark.standing for mark in (*names, *models)}
    if models:
        forms = dict.fromkeys(normal_form(mark.value) for mark in models)
        entries = [entry for form in forms for entry in index.by_model.get(form, ())]
    else:
        entries = index.named(printed)
    compared = print_.compare(entries)
    listed = [
        one
        for one in compared
        if one.name_is != "other" and (not models or _is_listed(one, "model"))
    ]
    if listed:
        return replace(_listed(listed, print_, on, doubtful=doubtful), looked_up=looked_up)
    near = _near_name_or_model(names, models, compared, index)
    state: ListState = "near" if near else "not_listed"
    return HolderMatch(state, looked_up=looked_up, near=near, question=True)


def _listed(
    compared: Sequence[EntryCompared], print_: _Print, on: dt.date, *, doubtful: bool
) -> HolderMatch:
    """The answer for entries that have the key.

    Print that was taken for the model (or the maker) by its place alone makes agreement a question,
    where the entry has one and no other mark was compared with it.
    """
    best = min(
        compared,
        key=lambda one: (one.conflict, one.entry.status_on(on) != "current", one.differs),
    )
    status = best.entry.status_on(on)
    fields = tuple(one.field for one in best.fields)
    if status != "current":
        note = "status_unknown" if status == "unknown" else "ended"
        ended = best.entry.valid_until
        listed = f"{status} {ended.isoformat()}" if ended is not None else status
        fields = (*fields, FieldComparison("status", "differs", listed=listed, note=note))
    state: ListState = "listed_agrees"
    left = {one.field.field for one in best.fields if one.field.state == "not_read"}
    question = doubtful or bool(left & print_.guessed)
    if best.conflict:
        state, question = "listed_differs", doubtful
    elif status in ("expired", "rescinded", "suspended"):
        state, question = "listed_ended", doubtful or status == "expired"
    elif best.differs or status == "unknown":
        state, question = "listed_differs", True
    return HolderMatch(
        state,
        holder=best.entry.holder,
        status=status,
        fields=fields,
        question=question,
        searched=search_entry(best.entry, print_.lines, _not_agreeing(best)),
        list_checked_on=best.entry.checked_on,
    )


def _not_agreeing(compared: EntryCompared) -> list[SearchField]:
    agree = {one.field.field for one in compared.fields if one.field.state == "agrees"}
    return [field for field in FIELDS if field not in agree]


def _is_listed(compared: EntryCompared, field: str) -> bool:
    """Whether a field is as listed; where its mark is doubtful, the whole answer is a question."""
    return any(
        one.field.field == field and one.field.state in ("agrees", "doubtful")
        for one in compared.fields
    )


def _near_number(index: SchemeIndex, name: str, number: str) -> tuple[NearMatch, ...]:
    found = index.near(name).near(normal_form(number))[:MOST_NEAR]
    return tuple(
        _near(number, other, cost, index.numbers(name)[other][0], name) for other, cost in found
    )


def _with_alternatives(
    near: tuple[NearMatch, ...], number: Mark, name: str, index: SchemeIndex
) -> tuple[NearMatch, ...]:
    """Other ways to read the same ink that are on the list, first: a person must look again."""
    read = normal_form(number.value)
    others = dict.fromkeys(normal_form(other.value) for other in number.alternatives)
    listed = [
        _near(number.value, other, distance(read, other), index.numbers(name)[other][0], name)
        for other in others
        if other != read and other in index.numbers(name)
    ]
    shown = {hit.approval_number for hit in listed}
    kept = (*listed, *(hit for hit in near if hit.approval_number not in shown))
    return kept[:MOST_NEAR]


def _near_name_or_model(
    names: Sequence[Mark],
    models: Sequence[Mark],
    same_model: Iterable[EntryCompared],
    index: SchemeIndex,
) -> tuple[NearMatch, ...]:
    """The same model under a name that resembles, and near models of the same holder."""
    found: dict[tuple[str, str], NearMatch] = {}
    for one in same_model:
        if models and any(field.field.note == "resembles" for field in one.fields):
            printed = models[0].value
            _keep(found, _near(printed, normal_form(printed), 0.0, one.entry, "model"))
    for mark in models:
        for other, cost in index.near("model").near(normal_form(mark.value)):
            for entry in index.by_model[other]:
                if any(_is_name_of(entry, name.value or name.printed) for name in names):
                    _keep(found, _near(mark.value, other, cost, entry, "model"))
    kept = sorted(found.values(), key=lambda hit: (hit.distance, hit.holder, hit.approval_number))
    return tuple(kept[:MOST_NEAR])


def _keep(found: dict[tuple[str, str], NearMatch], hit: NearMatch) -> None:
    found.setdefault((hit.approval_number, hit.holder), hit)


def _is_name_of(entry: HolderEntry, printed: str) -> bool:
    return any(likeness(printed, name) != "differs" for name in all_names(entry))


def _near(read: str, other: str, cost: float, entry: HolderEntry, name: str) -> NearMatch:
    """A near entry; `read` as printed, `other` the normal form that is near to it.

    `approval_number` of the answer is the number as listed, or the model that is near.
    """
    listed = next((model for model in all_models(entry) if normal_form(model) == other), other)
    if name != "model":
        listed = entry.certificate_number if name == "certificate_number" else entry.approval_number
    pairs = align(spaced_form(read), spaced_form(listed))
    # a dash more or less is pointed at only where nothing else differs
    only_dashes = folded(normal_form(read)) == folded(normal_form(listed))
    letters = tuple(
        LetterPair(left, right, left != right and (only_dashes or {left, right} != {"-", None}))
        for left, right in ((pair.left, pair.right) for pair in pairs)
    )
    return NearMatch(listed, entry.holder, round(cost, 3), letters)


def _rank(answer: HolderMatch) -> tuple[bool, int]:
    certain = answer.state in ("listed_differs", "listed_ended") and not answer.question
    return not certain, _ORDER.index(answer.state)


def _dated(
    answer: HolderMatch, holder_list: HolderList, on: dt.date, max_age_days: int
) -> HolderMatch:
    """The answer with the list's name, edition and age; `list_checked_on` held the entry's day."""
    days = [day for day in (holder_list.checked_on, answer.list_checked_on) if day is not None]
    age = max(((on - day).days for day in days), default=None)
    old = age is None or age > max_age_days
    looked = answer.state not in ("nothing_to_look_up", "no_list_for_scheme")
    state: ListState = "list_too_old" if old and answer.state == "not_listed" else answer.state
    return replace(
        answer,
        state=state,
        list_name=holder_list.name,
        list_edition=holder_list.edition,
        list_checked_on=min(days, default=None),
        list_age_days=age,
        list_too_old=old and looked,
        fictional=holder_list.fictional,
    )
