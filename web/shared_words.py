"""Writes the words that the page shares with reports and the command line, `words/shared/`.

They stand in `rules/messages/`, once in each language. Run by the build of the page; a test
compares what is checked in with what this makes. Usage: python web/shared_words.py
"""

import json
from pathlib import Path

from inkwitness.phrases import Phrases, capital, shipped

FOLDER = Path(__file__).parent / "src" / "words" / "shared"

#: Sections that the page has as they are.
_AS_THEY_ARE = {
    *("caveat", "outcome", "basis", "reason", "kind", "notice", "poor", "remedy", "care"),
    *("listed", "list", "search", "field", "note", "entry", "lookup", "papers"),
    *("block", "across", "disposition", "answered"),
    *("paper_kind", "paper_field", "paper_place", "intake_word"),
}
#: Sections that the page begins a line with, and what it calls them.
_CAPITAL = {
    "state": "state",
    "aspect": "aspect",
    "standing": "standing",
    "answer": "answer",
    "surfaces": "surface",
}
#: Keys that the page calls otherwise.
_OTHERWISE = {"hold.word": "held", "hold.do": "held.do", "surfaces.box": "surface.inner_box"}


def shared_words(said: Phrases) -> dict[str, str]:
    """The page's words of one language that it shares, by the page's key."""
    found = {}
    for key, text in said.texts.items():
        section, _, name = key.partition(".")
        if section in _CAPITAL:
            found[_OTHERWISE.get(key, f"{_CAPITAL[section]}.{name}")] = capital(text)
        elif section in _AS_THEY_ARE or key in _OTHERWISE:
            found[_OTHERWISE.get(key, key)] = text
    return found


def as_file(said: Phrases) -> str:
    """The words of one language as the page's file has them."""
    return json.dumps(shared_words(said), ensure_ascii=False, indent=2) + "\n"


if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    for language, said in shipped().languages.items():
        (FOLDER / f"{language}.json").write_text(as_file(said), encoding="utf-8")
