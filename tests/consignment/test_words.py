"""What the page says of decisions and of units side by side: a phrase for each key there is."""

import pytest

from inkwitness import phrases
from inkwitness.consignment.dispositions import CODES

BOOK = phrases.shipped()


@pytest.mark.parametrize("said", BOOK.languages.values(), ids=lambda said: said.language)
def test_each_disposition_has_a_word_to_choose_it_and_one_for_when_it_was_chosen(
    said: phrases.Phrases,
) -> None:
    for kind in CODES:
        assert f"disposition.{kind}" in said
        assert f"decided.{kind}" in said


@pytest.mark.parametrize("said", BOOK.languages.values(), ids=lambda said: said.language)
def test_each_block_has_a_way_to_lift_it_and_each_find_across_units_a_next_step(
    said: phrases.Phrases,
) -> None:
    for section, more in (("block", "lift"), ("across", "next")):
        keys = [key for key in said.texts if key.startswith(f"{section}.")]
        first = [key for key in keys if not key.endswith(f".{more}")]
        assert len(first) > 5
        assert {f"{key}.{more}" for key in first} == set(keys) - set(first)
