"""What the page says of a gate that is shut: the sentences of the server, key by key."""

import json
from string import Formatter

import pytest

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
