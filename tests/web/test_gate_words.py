"""What the page says of a shut gate and of units side by side: the server's sentences, by key."""

import json
from string import Formatter

import pytest

from inkwitness.consignment.across import SENTENCES
from inkwitness.consignment.dispositions import CODES
from inkwitness.consignment.sentences import ENGLISH
from tests.web.serving import ROOT

LANGUAGES = ("en", "es", "fr", "pt", "hi")


def words(language: str) -> dict[str, str]:
    path = ROOT / f"web/src/words/{language}.json"
    return dict(json.loads(path.read_text(encoding="utf-8")))


def fields(sentence: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(sentence) if name}


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("key", sorted(ENGLISH))
def test_the_page_says_each_block_and_the_way_to_lift_it(language: str, key: str) -> None:
    said = words(language)
    assert fields(said[f"block.{key}"]) == fields(ENGLISH[key].says)
    assert fields(said[f"block.{key}.lift"]) == fields(ENGLISH[key].lift)


def test_in_english_the_page_has_the_servers_own_sentences() -> None:
    said = words("en")
    assert {key: (said[f"block.{key}"], said[f"block.{key}.lift"]) for key in ENGLISH} == {
        key: (way.says, way.lift) for key, way in ENGLISH.items()
    }


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_page_has_a_word_for_every_disposition(language: str) -> None:
    assert {f"disposition.{kind}" for kind in CODES} <= set(words(language))


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("key", sorted(SENTENCES))
def test_the_page_says_what_units_disagree_about_and_the_next_step(language: str, key: str) -> None:
    said, (says, next_step) = words(language), SENTENCES[key]
    assert fields(said[f"across.{key}"]) == fields(says)
    assert said[f"across.{key}.next"]
    if language == "en":
        assert (said[f"across.{key}"], said[f"across.{key}.next"]) == (says, next_step)
