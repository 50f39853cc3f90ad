"""No phrase, sentence of a rule or word of the page judges, in any language.

The words are listed once: `rules/messages/verdicts.yaml` (the job map of this project, section 6.1;
languages other than English from memory).
"""

import json
import re
import shutil
from pathlib import Path

import pytest

from inkwitness import phrases
from inkwitness.reports.outgoing import wording
from inkwitness.yaml_text import BadRules

PAGE = Path(__file__).parents[1] / "web" / "src"
LANGUAGES = sorted(phrases.shipped().languages)
#: What sentences of rules say of a date that has passed, and the Hindi "near": no verdict there.
INNOCENT = {"en": {"passed"}, "hi": {"पास"}}


def judged(language: str, text: str, *, finding: bool = False) -> list[str]:
    """The words of a text that judge, in quotation marks too: a phrase of ours quotes nothing."""
    # but for the name of an authority's public list
    own = re.sub(r"[“”«»\"]", "", text.replace("Certified Equipment List", ""))
    return wording.judging(language, own, finding=finding)


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_phrase_is_a_verdict(language: str) -> None:
    texts = phrases.shipped().of(language).texts
    ours = {key: text for key, text in texts.items() if not key.startswith("messages.")}
    assert [key for key, text in ours.items() if judged(language, text)] == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_sentence_of_a_rule_is_a_verdict(language: str) -> None:
    texts = phrases.shipped().of(language).texts
    rules = {key: text for key, text in texts.items() if key.startswith("messages.")}
    assert len(rules) > 150
    found = {key: {*judged(language, text, finding=True)} for key, text in rules.items()}
    assert {key for key, words in found.items() if words - INNOCENT.get(language, set())} == set()


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_word_of_the_page_is_a_verdict(language: str) -> None:
    files = sorted((PAGE / "words").rglob(f"{language}.json"))
    assert len(files) >= 4
    words = [one for file in files for one in json.loads(file.read_text("utf-8")).items()]
    assert [key for key, text in words if key != "_about" and judged(language, text)] == []


def test_no_page_holds_a_verdict_between_its_tags() -> None:
    sources = [path.read_text("utf-8") for path in PAGE.rglob("*.tsx")]
    texts = [text for one in sources for text in re.findall(r">([^<>{}=;()]+)<", one)]
    assert len(sources) > 60
    assert [text for text in texts if judged("en", text)] == []


@pytest.mark.parametrize(
    ("language", "said", "words"),
    [
        ("en", "It is genuine, not UNAPPROVED.", ["genuine", "UNAPPROVED"]),
        ("en", "a token; the passage; unfailing", []),
        ("es", "Es auténtica.", ["auténtica"]),
        ("fr", "C'est un faux.", ["faux"]),
        ("pt", "É seguro.", ["seguro"]),
        ("hi", "यह असली है", ["असली"]),
        ("ar", "هذا ومزيفه ليسا آمنين", ["مزيف", "آمن"]),
    ],
)
def test_the_scan_finds_a_verdict_where_there_is_one(
    language: str, said: str, words: list[str]
) -> None:
    assert judged(language, said) == words


def test_a_list_that_cannot_be_used_names_the_language(tmp_path: Path) -> None:
    shutil.copytree(phrases.rules_folder() / "messages", tmp_path / "messages")
    path = tmp_path / "messages" / "verdicts.yaml"
    text = path.read_text("utf-8")
    for old, new in (("  hi: [", "  xx: ["), ("[authentic,", "['(',")):
        path.write_text(text.replace(old, new), encoding="utf-8")
        with pytest.raises(BadRules, match=r"'hi'|en: no pattern"):
            wording.load(tmp_path)
