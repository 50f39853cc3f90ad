"""What a class is for and what it is not for, in the reader's language.

A rules file names phrases of the section `class_use`; the author of a further scheme may write a
text in English instead, which then stands as it is in every language.
"""

import re
from dataclasses import dataclass

from inkwitness.phrases import PhraseBook
from inkwitness.rulebook.values import FilterClass, Rulebook

_SECTION = "class_use."
#: Names of phrases have no space, texts have; a single word may be either.
_NAME = re.compile(r"[a-z0-9]+(_[a-z0-9]+)+")


@dataclass(frozen=True, slots=True)
class Uses:
    """Both, and the language in which they are said."""

    good_for: str
    not_for: str
    said_in: str


def uses_of(entry: FilterClass, language: str, book: PhraseBook) -> Uses:
    """What a class is for, in English where the language lacks one of both."""
    names = (entry.good_for, entry.not_for)
    texts = book.languages[language].texts if language in book.languages else {}
    if not all(_SECTION + name in texts for name in names):
        language, texts = "en", book.of("en").texts
    good_for, not_for = (texts.get(_SECTION + name, name) for name in names)
    return Uses(good_for, not_for, language)


def unknown_uses(rulebook: Rulebook, book: PhraseBook) -> list[str]:
    """Classes that name a phrase which is not there: one line a problem."""
    english = book.of("en").texts
    return [
        f"{scheme.scheme}: class {entry.name}: there is no phrase '{_SECTION}{name}'"
        for scheme in rulebook.schemes
        for entry in scheme.classes
        for name in (entry.good_for, entry.not_for)
        if _NAME.fullmatch(name) and _SECTION + name not in english
    ]
