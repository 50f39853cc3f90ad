"""The page's shared words are those of the phrase book, word for word, as they are checked in."""

import importlib.util
from pathlib import Path

import pytest

from inkwitness import phrases

ROOT = Path(__file__).parents[1]
BOOK = phrases.shipped()
_spec = importlib.util.spec_from_file_location("shared_words", ROOT / "web" / "shared_words.py")
assert _spec is not None
assert _spec.loader is not None
made = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(made)


@pytest.mark.parametrize("language", sorted(BOOK.languages))
def test_what_is_checked_in_is_what_the_phrase_book_makes(language: str) -> None:
    """If this fails: `python web/shared_words.py`."""
    checked_in = (made.FOLDER / f"{language}.json").read_text(encoding="utf-8")
    assert checked_in == made.as_file(BOOK.of(language))


def test_the_page_shares_what_it_has_in_common_with_reports() -> None:
    shared = made.shared_words(BOOK.of("en"))
    for key in ("listed.near", "block.held.lift", "outcome.conflict", "surface.inner_box", "held"):
        assert key in shared
    assert shared["surface.inner_box"] == "Box"
