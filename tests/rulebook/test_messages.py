"""The sentences: one each, every placeholder known, no word that would be a verdict."""

import re

import pytest

from inkwitness.findings.examples import findings_of
from inkwitness.rulebook import JUDGE_FINDINGS, load
from inkwitness.rulebook.values import Messages

BOOK = load()
#: Words that the product never says of goods (the project's own rule), in each language.
VERDICTS = {
    "en": "authentic genuine real legit fake counterfeit falsified fraud safe unsafe verified "
    "guaranteed certified approved pass fail valid invalid",
    "es": "auténtico genuino falso falsificado seguro verificado garantizado certificado aprobado "
    "válido inválido",
    "fr": "authentique véritable contrefait contrefaçon faux sûr vérifié garanti certifié approuvé "
    "valide invalide",
    "pt": "autêntico genuíno falso falsificado seguro verificado garantido certificado aprovado "
    "válido inválido",
    "hi": "असली नकली प्रामाणिक जाली सुरक्षित सत्यापित प्रमाणित स्वीकृत गारंटी",
}


@pytest.mark.parametrize("language", sorted(VERDICTS))
def test_every_rule_has_a_sentence_in_each_language(language: str) -> None:
    said = BOOK.languages[language]
    wanted = {rule.id for rule in BOOK.rules} | set(JUDGE_FINDINGS)
    assert set(said.messages) == wanted
    assert set(said.marks) == set(BOOK.languages["en"].marks)


@pytest.mark.parametrize("said", BOOK.languages.values(), ids=lambda said: said.language)
def test_no_sentence_holds_a_verdict(said: Messages) -> None:
    words = VERDICTS[said.language].split()
    for rule, sentence in said.messages.items():
        # The name of an authority's public list is quoted as it is.
        own = sentence.replace("Certified Equipment List", "")
        spoken = set(re.findall(r"[\w’'-]+", own.lower()))
        assert not spoken & set(words), f"{said.language}, {rule}: {spoken & set(words)}"


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
        assert sentence.endswith("."), rule
        assert not re.search(r"[a-z]\. [A-Z]", sentence), f"{rule} is more than one sentence"
        assert len(sentence) <= 240, rule


@pytest.mark.parametrize("rule", BOOK.rules, ids=lambda rule: rule.id)
def test_each_sentence_can_be_said_in_every_language(rule: object) -> None:
    """The judge gives every value that the sentences ask for."""
    example = rule.raises[0]  # type: ignore[attr-defined]
    for finding in findings_of(example, BOOK):
        for language in BOOK.languages:
            sentence = BOOK.says(finding.rule, dict(finding.values), language)
            assert "{" not in sentence
