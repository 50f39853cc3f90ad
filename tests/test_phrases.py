"""The phrase book: every phrase once, in every language, with the same values."""

import json
import shutil
from pathlib import Path
from typing import get_args

import pytest

from inkwitness import phrases
from inkwitness.consignment.dispositions import CODES
from inkwitness.findings.outcome import Outcome
from inkwitness.findings.values import Aspect, Surface
from inkwitness.holders.values import ListState
from inkwitness.marks.scores import reasons
from inkwitness.marks.values import NamedBy, Standing
from inkwitness.yaml_text import BadRules

ROOT = Path(__file__).parents[1]
BOOK = phrases.shipped()
LANGUAGES = sorted(BOOK.languages)
EN = BOOK.of("en")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    copy = tmp_path / "rules" / "messages"
    shutil.copytree(phrases.rules_folder() / "messages", copy)
    return copy


def changed(folder: Path, name: str, old: str, new: str) -> str:
    """What is wrong with the book once a file of it was changed."""
    path = folder / name
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(BadRules) as caught:
        phrases.load(folder)
    return caught.value.message


def test_the_languages_are_those_that_can_be_asked_for() -> None:
    assert sorted(get_args(phrases.Language)) == LANGUAGES


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_language_has_every_phrase_with_the_same_values(language: str) -> None:
    texts = BOOK.of(language).texts
    assert set(texts) == set(EN.texts)
    assert len(texts) > 700
    for key, text in texts.items():
        assert phrases.fields(text) == phrases.fields(EN.texts[key]), key


@pytest.mark.parametrize("language", LANGUAGES)
def test_each_file_says_who_made_it(language: str) -> None:
    for path in sorted((phrases.rules_folder() / "messages" / language).glob("*.yaml")):
        head = path.read_text(encoding="utf-8").splitlines()[:3]
        assert [line.partition(":")[0] for line in head] == list(phrases.HEAD), path
        assert ("machine-made" in head[1]) is (language != "en"), path


def test_each_state_there_is_has_its_phrase() -> None:
    wanted = {
        *(f"listed.{one}" for one in get_args(ListState)),
        *(f"outcome.{one}" for one in get_args(Outcome)),
        *(f"outcome.do.{one}" for one in get_args(Outcome)),
        *(f"state.{one}" for one in (*get_args(Outcome), "not_looked_at")),
        *(f"aspect.{one}" for one in get_args(Aspect)),
        *(f"surfaces.{one.removeprefix('inner_')}" for one in get_args(Surface)),
        *(f"standing.{one}" for one in get_args(Standing)),
        *(f"report.named_by.{one}" for one in get_args(NamedBy)),
        *(f"reason.{one}" for one in reasons.NAMES),
        *(f"disposition.{one}" for one in CODES),
        *(f"decided.{one}" for one in CODES),
    }
    assert wanted - set(EN.texts) == set()


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_is_shared_is_worded_in_one_place(language: str) -> None:
    """Neither a module nor the page's own words hold a list state, an outcome or a block again."""
    once = {
        text
        for key, text in BOOK.of(language).texts.items()
        if key.split(".")[0] in ("listed", "outcome", "block", "reason", "search")
        and len(text) > 25
    }
    assert len(once) > 60
    own = json.loads((ROOT / f"web/src/words/{language}.json").read_text(encoding="utf-8"))
    assert once & {value for value in own.values() if isinstance(value, str)} == set()
    for path in (ROOT / "server").rglob("*.py"):
        source = path.read_text(encoding="utf-8")
        assert [text for text in once if text in source] == [], path


def test_a_language_that_lacks_a_phrase_is_refused(folder: Path) -> None:
    wrong = changed(folder, "es/lists.yaml", "  near: ", "  nearer: ")
    assert "messages/es: no phrase for 'listed.near'" in wrong
    assert "messages/es: 'listed.nearer' is no phrase in English" in wrong


def test_a_phrase_that_fills_other_values_is_refused(folder: Path) -> None:
    wrong = changed(folder, "fr/release.yaml", "{looked_at}", "{regarde}")
    assert "messages/fr: 'block.no_plan' fills" in wrong


def test_a_phrase_with_a_lone_brace_or_without_text_is_named_with_its_line(folder: Path) -> None:
    assert "messages/pt/terminal.yaml:5: terminal.no_print: " in changed(
        folder, "pt/terminal.yaml", 'no_print: "', 'no_print: "{'
    )
    shutil.copy(phrases.rules_folder() / "messages/pt/terminal.yaml", folder / "pt")
    assert "'hold.word' is no text" in changed(folder, "en/results.yaml", '"HOLD"', '""')


def test_a_phrase_that_stands_in_two_files_is_refused(folder: Path) -> None:
    path = folder / "en" / "terminal.yaml"
    path.write_text(path.read_text(encoding="utf-8") + "hold: {word: STOP}\n", encoding="utf-8")
    with pytest.raises(BadRules, match=r"'hold\.word' stands in two files"):
        phrases.load(folder)


def test_only_what_belongs_to_the_rules_may_be_there_in_english_alone(folder: Path) -> None:
    """The author of a scheme need not know Hindi; the rule book then says that it is English."""
    path = folder / "en" / "findings.yaml"
    path.write_text(
        path.read_text(encoding="utf-8") + "  xx-new-rule: The norm reads {printed}.\n",
        encoding="utf-8",
    )
    assert "messages.xx-new-rule" in phrases.load(folder).of("en")


def test_values_are_set_apart_in_a_sentence_from_right_to_left() -> None:
    """Signs of UAX #9 (Unicode 15.1), 2.4; without them a date there runs from its end."""
    said = BOOK.of("ar")("list.which", name="Vexholm", edition=3, checked="2031-03-18", days=12)
    assert "\u20662031-03-18\u2069" in said
    assert "\u2066Vexholm\u2069" in said
    assert "\u2066" not in EN("list.which", name="Vexholm", edition=3, checked="x", days=12)
    # what is in such letters, and what is said already, stands as it is
    assert phrases.left_to_right("قسم 3") == "قسم 3"
    assert phrases.left_to_right("\u2066N95\u2069") == "\u2066N95\u2069"


def test_a_key_or_a_value_that_is_not_there_is_a_mistake_and_says_so() -> None:
    with pytest.raises(phrases.NoPhrase, match=r"listed\.of_tomorrow"):
        EN("listed.of_tomorrow")
    with pytest.raises(phrases.NoPhrase, match=r"'block\.no_plan' asks for the value 'looked_at'"):
        EN("block.no_plan", declared=3)
    with pytest.raises(phrases.NoPhrase, match="but ar, en, es, fr, hi, pt"):
        BOOK.of("de")


def test_thousands_are_never_parted_by_a_decimal_sign() -> None:
    """ISO 80000-1:2022, 7.3 (from memory): a thin space; 20,000 is twenty in Spanish."""
    assert EN("report.not.opened", n=20_000).endswith("20,000 units.")
    assert "20\u202f000" in BOOK.of("es")("report.not.opened", n=20_000)
