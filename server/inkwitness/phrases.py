"""The phrase book: what is said to people, by key and language, read from `rules/messages/`.

A folder a language, a file a subject. In a file stand its language and who made it, then sections
of phrases: `listed: {near: ...}` is the phrase `listed.near`. Every language has every phrase, with
the same values in braces: a file that lacks one is refused, so that nobody is answered in another
language unasked. Only what belongs to the rules (`marks`, `messages`, `class_use`: a new scheme
has its own) may stand in English alone; the rule book says so where it speaks.
"""

import os
import string
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal
from unicodedata import bidirectional

from inkwitness import shipped_folder
from inkwitness.yaml_text import BadRules, YamlText, read_yaml

#: What stands at the head of each file, beside the sections.
HEAD = ("language", "made_by", "reviewed_by")
#: Sections of which other languages may lack phrases: a scheme's author need not know them.
_OF_THE_RULES = ("marks.", "messages.", "class_use.")
#: Between thousands. A comma is the decimal sign in three of the languages, so that all but English
#: have the thin space of ISO 80000-1:2022, 7.3 (from memory), which no line is broken at.
_THOUSANDS = {"en": ","}
_THIN = "\u202f"

#: The languages that are spoken here; every one has every phrase.
Language = Literal["en", "es", "fr", "pt", "hi", "ar"]
#: Those of them that are written from right to left.
RIGHT_TO_LEFT = frozenset({"ar"})
Value = int | float | str | None


class NoPhrase(LookupError):
    """A key, a value or a language that is asked for is not there: a mistake in the program."""


@dataclass(frozen=True, slots=True)
class Sentence:
    """What is to be said, before the language is known: a key and its values."""

    key: str
    values: "Mapping[str, Said]"

    def said(self, say: "Phrases") -> str:
        """The sentence in a language. Raises NoPhrase."""
        return say(self.key, **self.values)


#: What fills a phrase: a value, or sentences that are said in the same language, one after another.
Said = Value | Sentence | tuple[Sentence, ...]


@dataclass(frozen=True, slots=True)
class Phrases:
    """The phrases of one language, by key."""

    language: str
    texts: Mapping[str, str]

    def __call__(self, key: str, /, **values: Said) -> str:
        """The phrase of a key with its values; whole numbers get a sign between thousands.

        Raises NoPhrase where the key or one of its values is missing.
        """
        if key not in self.texts:
            raise NoPhrase(f"{self.language}: there is no phrase '{key}' in rules/messages")
        shown = {name: self._shown(value) for name, value in values.items()}
        try:
            return self.texts[key].format_map(shown)
        except KeyError as missing:
            raise NoPhrase(f"{self.language}: '{key}' asks for the value {missing}") from missing

    def __contains__(self, key: object) -> bool:
        return key in self.texts

    @property
    def right_to_left(self) -> bool:
        """Whether this language is written from right to left."""
        return self.language in RIGHT_TO_LEFT

    def apart(self, value: str) -> str:
        """A value as it stands beside words of this language: see `left_to_right`."""
        return left_to_right(value) if self.right_to_left else value

    def named(self, section: str, name: str) -> str:
        """The phrase of a name that others may add to, or the name itself made readable.

        >>> Phrases("en", {"marks.lot": "lot"}).named("marks", "lot_of_tomorrow")
        'lot of tomorrow'
        """
        return self.texts.get(f"{section}.{name}", name.replace("_", " "))

    def _shown(self, value: Said) -> str:
        if isinstance(value, Sentence):
            return value.said(self)
        if isinstance(value, tuple):
            return " ".join(one.said(self) for one in value)
        if isinstance(value, int):
            return f"{value:,}".replace(",", _THOUSANDS.get(self.language, _THIN))
        return self.apart(str(value))


@dataclass(frozen=True, slots=True)
class PhraseBook:
    """Every language that is spoken here, by its code."""

    languages: Mapping[str, Phrases]

    def of(self, language: str) -> Phrases:
        """The phrases of a language. Raises NoPhrase where it is not spoken here."""
        if language not in self.languages:
            known = ", ".join(sorted(self.languages))
            raise NoPhrase(f"there is no language '{language}' here, but {known}")
        return self.languages[language]


def as_json(sentence: Sentence) -> dict[str, object]:
    """A sentence as it is stored: its key and its values, never its words."""

    def plain(value: Said) -> object:
        if isinstance(value, Sentence):
            return as_json(value)
        return [as_json(one) for one in value] if isinstance(value, tuple) else value

    values = {name: plain(value) for name, value in sentence.values.items()}
    return {"key": sentence.key, "values": values}


def of_json(stored: Mapping[str, Any]) -> Sentence:
    """A sentence that was stored."""

    def read(value: Any) -> Said:
        if isinstance(value, list):
            return tuple(of_json(one) for one in value)
        return of_json(value) if isinstance(value, dict) else value

    values = {name: read(value) for name, value in stored["values"].items()}
    return Sentence(stored["key"], values)


def reads_right_to_left(text: str) -> bool:
    """Whether a text has a letter that is written from right to left."""
    return any(bidirectional(letter) in ("R", "AL") for letter in text)


def left_to_right(text: str) -> str:
    r"""A value set apart for a sentence from right to left: a date there would run from its end.

    The signs are those of UAX #9 (Unicode 15.1), 2.4. A value in such letters, or with such signs
    in it, is left as it is.

    >>> ascii(left_to_right("2031-03-18"))
    "'\\u20662031-03-18\\u2069'"
    """
    core = text.strip()
    if not core or "\u2066" in core or reads_right_to_left(core):
        return text
    return text.replace(core, f"\u2066{core}\u2069", 1)


def comma(language: str) -> str:
    r"""The sign between two of a list, with its space; in Arabic U+060C.

    >>> comma("fr"), ascii(comma("ar"))
    (', ', "'\\u060c '")
    """
    return "\u060c " if language in RIGHT_TO_LEFT else ", "


def capital(text: str) -> str:
    """A phrase that begins a line: its first letter large, the others as they are."""
    return text[:1].upper() + text[1:]


def rules_folder() -> Path:
    """The rules folder: the one named by INKWITNESS_RULES, else what came with the program."""
    named = os.environ.get("INKWITNESS_RULES", "")
    return Path(named) if named else shipped_folder("rules")


@cache
def shipped() -> PhraseBook:
    """The phrase book that this program came with, read once a process. Raises BadRules."""
    return load(rules_folder() / "messages")


def load(folder: Path) -> PhraseBook:
    """Read every language of the folder. Raises BadRules with all problems, one a line."""
    problems: list[str] = []
    found: dict[str, dict[str, str]] = {}
    for path in sorted(folder.glob("*/*.yaml")):
        texts = found.setdefault(path.parent.name, {})
        for key, text in _phrases(read_yaml(path, named(path)), path.parent.name, problems):
            if key in texts:
                problems.append(f"{named(path)}:1: '{key}' stands in two files; keep one of them")
            texts[key] = text
    if "en" not in found:
        raise BadRules(f"{folder}: there is no folder en; every phrase is there in English first")
    for language, texts in found.items():
        problems += _against_english(language, texts, found["en"])
    if problems:
        raise BadRules("\n".join(problems))
    return PhraseBook({code: Phrases(code, texts) for code, texts in found.items()})


def named(path: Path) -> str:
    """How errors call a file of phrases: with its folders, for its name stands in each language."""
    return "/".join(path.parts[-3:])


def fields(text: str) -> frozenset[str]:
    """The values that a phrase asks for. Raises ValueError where a brace stands alone."""
    return frozenset(name for _, name, _, _ in string.Formatter().parse(text) if name)


def _phrases(file: YamlText, language: str, problems: list[str]) -> Iterable[tuple[str, str]]:
    """Key and text of each phrase of a file; what is wrong with it goes into `problems`."""
    content = file.content
    if not isinstance(content, dict):
        problems.append(f"{file.name}:1: expected a mapping of keys at the top")
        return
    problems += [f"{file.name}:1: `{name}` is missing" for name in HEAD if name not in content]
    if content.get("language") != language:
        problems.append(f"{file.name}:{file.line_of(('language',))}: stands in folder {language}")
    for section, texts in content.items():
        if section in HEAD:
            continue
        for name, text in texts.items() if isinstance(texts, dict) else [("", texts)]:
            place = (section, name) if name else (section,)
            key = ".".join(place)
            if not isinstance(text, str) or not text.strip():
                problems.append(f"{file.name}:{file.line_of(place)}: '{key}' is no text")
                continue
            try:
                fields(text)
            except ValueError as error:
                problems.append(f"{file.name}:{file.line_of(place)}: {key}: {error}")
                continue
            yield key, text


def _against_english(
    language: str, texts: Mapping[str, str], english: Mapping[str, str]
) -> list[str]:
    """What a language lacks, has too many, or fills with other values than English."""
    here = f"messages/{language}"
    problems = [
        f"{here}: no phrase for '{key}'"
        for key in english
        if key not in texts and not key.startswith(_OF_THE_RULES)
    ]
    problems += [f"{here}: '{key}' is no phrase in English" for key in texts if key not in english]
    return problems + [
        f"{here}: '{key}' fills {sorted(fields(texts[key]))}, in English {sorted(fields(text))}"
        for key, text in english.items()
        if key in texts and fields(texts[key]) != fields(text)
    ]
