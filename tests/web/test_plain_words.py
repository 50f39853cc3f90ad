"""What the page says of a sample in plain words has the figures of the record's exact words."""

import json
import re
from string import Formatter

import pytest

from inkwitness import phrases
from tests.web.serving import ROOT

EXACT = phrases.shipped().of("en").texts
WORDS = json.loads((ROOT / "web/src/words/en.json").read_text(encoding="utf-8"))
# Words of the page around the sentences, which the server does not know.
AROUND = {"said.exact", "said.counted"}
PLAIN = {key: WORDS[key] for key in WORDS if key.startswith("said.") and key not in AROUND}


def fields(sentence: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(sentence) if name}


@pytest.mark.parametrize("key", PLAIN)
def test_a_plain_sentence_says_no_more_than_the_exact_one(key: str) -> None:
    """Its figures are those of the sentence of the same key, and none is made up."""
    exact = EXACT[f"sampling.{key.removeprefix('said.')}"]
    assert fields(PLAIN[key]) <= fields(exact)
    assert set(re.findall(r"\d+", PLAIN[key])) <= set(re.findall(r"\d+", exact))


def test_plain_sentences_hold_no_word_of_the_trade() -> None:
    """Words that a volunteer would stumble on; common practice, no source."""
    trade = re.compile(r"sensitivit|specificit|confiden|SHA|UTF|seed\||probabilit", re.IGNORECASE)
    said = {key: re.sub(r"\{\w+\}", "", sentence) for key, sentence in PLAIN.items()}
    assert [key for key, sentence in said.items() if trade.search(sentence)] == []
    assert trade.search(EXACT["sampling.discovery.plan"])


def test_what_the_page_asks_of_a_sample_is_answered_in_plain_words() -> None:
    """A discovery plan, one by carton, their draws, and what each shows afterwards."""
    asked = ("discovery.plan", "discovery.rest", "cartons.plan", "draw.rule", "draw.rule_cartons")
    after = ("after.none_differed", "after.hold", "after.between", "after.none_in_cartons")
    assert {f"said.{key}" for key in (*asked, *after, "after.not_looked_at", "caveat")} <= set(
        PLAIN
    )
