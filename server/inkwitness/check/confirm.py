"""A person's word put in the place of a reading. The reading itself is never changed."""

from collections.abc import Sequence
from dataclasses import replace

from inkwitness.check.values import Confirmation
from inkwitness.marks.match import find
from inkwitness.marks.values import Mark
from inkwitness.rulebook import Rulebook


def with_confirmations(
    marks: Sequence[Mark], confirmations: Sequence[Confirmation], rulebook: Rulebook
) -> tuple[Mark, ...]:
    """The marks of one item with the person's words in place, one confirmation after the other.

    A mark that was not read is added. "Cannot be read" leaves the mark doubtful and empty.
    """
    said = list(marks)
    for word in confirmations:
        places = [
            index
            for index, mark in enumerate(said)
            if mark.mark == word.mark and word.scheme in ("", mark.scheme)
        ]
        if word.occurrence < len(places):
            at = places[word.occurrence]
            said[at] = confirmed(said[at], word.printed, rulebook)
        else:
            blank = Mark(word.mark, "", "", "doubtful", 0.0, scheme=word.scheme)
            said.append(confirmed(blank, word.printed, rulebook))
    return tuple(said)


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
    )
