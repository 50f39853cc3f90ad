"""A person's word put in the place of a reading. The reading itself is never changed.

A word says of one piece of ink what its letters are, what it is, or both. It names the ink by the
id of a mark; words that were stored before marks had ids name it by mark name and occurrence, and
are resolved here.
"""

from collections.abc import Sequence
from dataclasses import replace

from inkwitness.check.values import NO_MARKS, Check, Confirmation
from inkwitness.marks.match import find
from inkwitness.marks.values import Mark
from inkwitness.rulebook import Rulebook

#: How the id of a mark begins that no reading has: a person added it, or it is absent.
ADDED = "added:"


def with_confirmations(
    marks: Sequence[Mark], confirmations: Sequence[Confirmation], rulebook: Rulebook
) -> tuple[Mark, ...]:
    """The marks of one item with the person's words in place, one confirmation after the other.

    A mark that was not read is added. "Cannot be read" leaves the mark doubtful and empty. What a
    person names is that and nothing else: all other offers of the same ink go.
    """
    said = list(marks)
    for word in confirmations:
        at = place_of(said, word)
        if at is None:
            # The word on another offer of this ink may have taken this one away.
            first = next((mark for mark in marks if word.id and mark.id == word.id), None)
            said.append(first or _blank(word))
            at = len(said) - 1
        before = said[at]
        said[at] = _as_said(before, word, rulebook)
        said = [
            mark
            for number, mark in enumerate(said)
            if number == at or mark.confirmed or not _gives_way(mark, before, word)
        ]
    return tuple(said)


def place_of(marks: Sequence[Mark], word: Confirmation) -> int | None:
    """The position of the mark that a word is about; None where no such mark was read.

    Without an id, `occurrence` counts the marks of the name, of every scheme, as the page counted
    them; where the mark there is of another scheme it counts those of the word's scheme, as the
    server did.
    """
    if word.id:
        return next((n for n, mark in enumerate(marks) if mark.id == word.id), None)
    every = [n for n, m in enumerate(marks) if m.mark == word.mark and m.standing != "absent"]
    mine = [n for n in every if word.scheme in ("", marks[n].scheme)]
    for places in (every, mine):
        if word.occurrence < len(places) and places[word.occurrence] in mine:
            return places[word.occurrence]
    return None


def confirmed(mark: Mark, printed: str | None, rulebook: Rulebook) -> Mark:
    """The mark as a person read it: certain, or known to be illegible (printed None).

    The normal form comes from the same grammars as a reading's; ink that no grammar knows is kept
    as it is printed.
    """
    if printed is None:
        return replace(
            mark,
            printed="",
            value="",
            standing="doubtful",
            probability=0.0,
            alternatives=(),
            doubtful_at=(),
            confirmed=True,
            parts=(),
            reasons=(),
        )
    value, scheme = printed, mark.scheme
    parts: tuple[tuple[str, str], ...] = ()
    for grammar in rulebook.grammars:
        if grammar.mark == mark.mark and mark.scheme in ("", grammar.scheme):
            whole = [
                match
                for match in find(printed, grammar, loosely=False)
                if match.nearness != "confusable"
            ]
            if whole:
                value, scheme, parts = whole[0].value, grammar.scheme, whole[0].parts
                break
    return replace(
        mark,
        printed=printed,
        value=value,
        scheme=scheme,
        standing="read",
        probability=1.0,
        alternatives=(),
        doubtful_at=(),
        confirmed=True,
        parts=parts,
        reasons=(),
    )


def added_id(item: int, mark: str, scheme: str, nth: int) -> str:
    """The id of a mark that no reading has: made of what does not change from check to check."""
    return f"{ADDED}{item}:{mark}:{scheme}:{nth}"


def id_of(check: Check, word: Confirmation) -> str:
    """The id of the mark that a word is about, in the check of the reading it was said of.

    A mark that was not read gets an id of its own.
    """
    if word.id:
        return word.id
    marks = check.marks_of(word.item)
    at = place_of(marks, word)
    return marks[at].id if at is not None else _new_id(word)


def ink_of(check: Check, item: int, id_: str) -> str:
    """What all offers of one piece of ink have in common: the id of the first of them.

    Two people who name the same print differ, whichever offer of it each of them answered. Marks
    that are named by a word or by their form are each their own, though their ink may be the same.
    """
    marks = check.marks_of(item)
    mine = next((mark for mark in marks if mark.id == id_), None)
    if mine is None or mine.named_by != "place" or mine.span is None:
        return id_
    return next(mark.id for mark in marks if mark.named_by == "place" and _same_ink(mark, mine))


def carried(reduced: Check, full: Check, item: int, id_: str) -> str:
    """The id in the full photo of a mark of its reduced copy; empty where none is the same.

    It is the one with the same name and the same letters; else, for a mark that its label or its
    form names, the one that is as many-eth of its name where both photos show equally many.
    """
    before, now = reduced.marks_of(item), full.marks_of(item)
    mine = next((mark for mark in before if mark.id == id_), None)
    if mine is None:
        return id_ if id_.startswith(ADDED) else ""
    alike = [
        m for m in now if (m.mark, m.scheme, m.printed) == (mine.mark, mine.scheme, mine.printed)
    ]
    if len(alike) == 1:
        return alike[0].id
    those, these = ([m for m in marks if _alike(m, mine)] for marks in (before, now))
    if mine.named_by != "place" and len(those) == len(these):
        return these[those.index(mine)].id
    return ""


def _alike(mark: Mark, other: Mark) -> bool:
    return (mark.mark, mark.scheme, mark.named_by) == (other.mark, other.scheme, other.named_by)


def _new_id(word: Confirmation) -> str:
    return added_id(word.item, word.mark, word.scheme, word.occurrence)


def _blank(word: Confirmation) -> Mark:
    """A mark that was not read, before the person's word is put in it."""
    return Mark(
        word.mark,
        "",
        "",
        "doubtful",
        0.0,
        scheme=word.scheme,
        id=word.id or _new_id(word),
        named_by="person",
    )


def _as_said(before: Mark, word: Confirmation, rulebook: Rulebook) -> Mark:
    """The mark with the person's letters, under the name that the person gives it."""
    # Whoever confirms print that only its place named, has said what it is.
    name = word.named or (word.mark if before.named_by == "place" else "")
    if name in NO_MARKS:
        plain = replace(before, mark=name, scheme="", named_by="person")
        return confirmed(plain, word.printed or before.printed, rulebook)
    if name:
        scheme = before.scheme if name == before.mark else ""
        before = replace(before, mark=name, scheme=scheme, named_by="person")
    return confirmed(before, word.printed, rulebook)


def _gives_way(mark: Mark, before: Mark, word: Confirmation) -> bool:
    """Whether the mark is another offer of ink that a person has now named."""
    return _same_ink(mark, before) and (bool(word.named) or mark.named_by == "place")


def _same_ink(mark: Mark, other: Mark) -> bool:
    return mark.span is not None and (mark.line, mark.span) == (other.line, other.span)
