"""The sentences: one each, every placeholder known."""

import re
from typing import get_args

import pytest

from inkwitness.findings.examples import findings_of
from inkwitness.findings.values import Surface
from inkwitness.rulebook import FRAMES, JUDGE_FINDINGS, load
from inkwitness.rulebook.values import Example, Given, Messages

BOOK = load()


@pytest.mark.parametrize("language", sorted(BOOK.languages))
def test_every_rule_has_a_sentence_in_each_language(language: str) -> None:
    said = BOOK.languages[language]
    wanted = {rule.id for rule in BOOK.rules} | {*JUDGE_FINDINGS, *FRAMES}
    assert set(said.messages) == wanted
    assert set(said.marks) == set(BOOK.languages["en"].marks)
    assert set(said.surfaces) == {surface.removeprefix("inner_") for surface in get_args(Surface)}


def test_every_mark_of_the_rules_has_a_name_in_the_sentences() -> None:
    entries = [*BOOK.common.marks, *(mark for scheme in BOOK.schemes for mark in scheme.marks)]
    assert {entry.mark for entry in entries} <= set(BOOK.languages["en"].marks)


@pytest.mark.parametrize("said", BOOK.languages.values(), ids=lambda said: said.language)
def test_each_translation_uses_the_values_of_the_english_sentence(said: Messages) -> None:
    english = BOOK.languages["en"].messages
    for rule, sentence in said.messages.items():
        values = set(re.findall(r"\{(\w+)\}", sentence))
        assert values == set(re.findall(r"\{(\w+)\}", english[rule])), rule


@pytest.mark.parametrize("said", BOOK.languages.values(), ids=lambda said: said.language)
def test_each_language_says_who_made_its_sentences(said: Messages) -> None:
    marker = "not yet reviewed" if said.language == "en" else "machine-made"
    assert marker in said.made_by


def test_each_sentence_is_one_plain_sentence() -> None:
    for rule, sentence in BOOK.languages["en"].messages.items():
        assert sentence.endswith(".") or rule in FRAMES, rule
        alone = rule not in {*FRAMES, *JUDGE_FINDINGS}
        assert not (alone and re.search(r"[a-z]\. [A-Z]", sentence)), f"{rule} is more than one"
        assert len(sentence) <= 240, rule


@pytest.mark.parametrize("rule", BOOK.rules, ids=lambda rule: rule.id)
def test_each_sentence_can_be_said_in_every_language(rule: object) -> None:
    """The judge gives every value that the sentences ask for."""
    example = rule.raises[0]  # type: ignore[attr-defined]
    for finding in findings_of(example, BOOK):
        for language in BOOK.languages:
            sentence = BOOK.says(finding.rule, dict(finding.values), language)
            assert "{" not in sentence


#: Words that say more of the ink than a reading can (the project's own rule).
OF_THE_INK = {
    "en": "printed as",
    "es": "impreso como|impresa como",
    "fr": "imprimé comme|est imprimée? ",
    "pt": "impresso como|impressa como",
    "hi": "के रूप में छप",
    "ar": "مطبوع على أنه",
}


@pytest.mark.parametrize("said", BOOK.languages.values(), ids=lambda said: said.language)
def test_no_sentence_says_that_something_is_printed_as_it_was_read(said: Messages) -> None:
    for rule, sentence in said.messages.items():
        assert not re.search(OF_THE_INK[said.language], sentence), rule


@pytest.mark.parametrize("language", sorted(BOOK.languages))
def test_doubtful_reading_is_said_to_be_one(language: str) -> None:
    """The judge marks what rests on letters that are not certain; the sentence begins with it."""
    example = Example("QUARRIMOND / KN95 / NIOSH / TC-84A-9981", Given(doubtful=("filter_class",)))
    plain = Example("QUARRIMOND / KN95 / NIOSH / TC-84A-9981")
    begin = BOOK.languages[language].messages["doubtful-reading"].split("{")[0]
    rule = "x-foreign-class-under-tc-number"
    asked, sure = (
        next(
            BOOK.says(rule, dict(finding.values), language)
            for finding in findings_of(example, BOOK)
            if finding.rule == rule
        )
        for example in (example, plain)
    )
    assert asked.startswith(begin)
    assert not sure.startswith(begin)


def test_surfaces_of_a_sentence_are_listed_as_its_language_lists() -> None:
    """U+060C is the comma of Arabic (Unicode 15.1)."""
    values = {"place": "box, facepiece", "printed": "A 1", "other_printed": "B 2", "mark": "lot"}
    for language, sign in (("en", ", "), ("ar", "\u060c ")):
        names = BOOK.languages[language].surfaces
        said = BOOK.says("x-photos-of-one-surface-differ", values, language)
        assert f"{names['box']}{sign}{names['facepiece']}" in said


def test_conflict_and_missing_sentences_name_a_next_step() -> None:
    steps = {
        severity: BOOK.languages["en"].messages[f"next-step-{severity}"].removeprefix("{sentence}")
        for severity in ("conflict", "missing")
    }
    for rule in BOOK.rules:
        for finding in findings_of(rule.raises[0], BOOK):
            own = finding.rule in {one.id for one in BOOK.rules}
            if own and finding.severity in steps and not finding.question:
                said = BOOK.says(finding.rule, dict(finding.values))
                assert said.endswith(steps[finding.severity]), finding.rule


def test_what_was_not_seen_names_the_surface_that_was_looked_at() -> None:
    example = Example("HALCYRA RESPIRE / HR-F2 / EN 149:2001+A1:2009 / FFP2 NR")
    finding = next(f for f in findings_of(example, BOOK) if f.rule == "eu-ce-absent")
    said = BOOK.says(finding.rule, dict(finding.values))
    assert said.startswith("Not seen in what was photographed (facepiece): conformity mark.")
