"""The rule book as documentation: command line and HTTP, made from the same files."""

import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from typer.testing import CliRunner

from inkwitness import phrases
from inkwitness.api.routes.rules import router
from inkwitness.cli.rules import app
from inkwitness.errors import NotFound
from inkwitness.rulebook import default_folder, load
from inkwitness.rulebook.counts import counts_of
from inkwitness.rulebook.kinds import Check, When
from inkwitness.rulebook.schema import json_schema
from inkwitness.rulebook.uses import unknown_uses, uses_of
from inkwitness.rulebook.values import Scheme
from inkwitness.yaml_text import BadRules

BOOK = load()
PHRASES = phrases.shipped()


@pytest.fixture
def client() -> Iterator[TestClient]:
    api = FastAPI()
    api.include_router(router)
    with TestClient(api) as found:
        yield found


def test_check_says_that_the_files_are_clean_and_how_many_there_are() -> None:
    answer = CliRunner().invoke(app, ["check"])
    assert answer.exit_code == 0
    assert "clean" in answer.output
    assert f"{counts_of(BOOK).rules} rules" in answer.output


def test_check_of_one_file_names_the_example_that_fails(tmp_path: Path) -> None:
    bad = tmp_path / "mx-nom116.yaml"
    shutil.copy(default_folder() / "schemes" / bad.name, bad)
    text = bad.read_text(encoding="utf-8")
    bad.write_text(text.replace("[NOM-116-STPS-1994, NOM-116-STPS-2009]", "[NOM-116-STPS-1994]"), encoding="utf-8")  # fmt: skip  # noqa: E501
    answer = CliRunner().invoke(app, ["check", str(bad)])
    assert isinstance(answer.exception, BadRules)
    assert "mx-edition-unknown is raised by" in answer.exception.message
    assert "a near miss" in answer.exception.message


def test_show_lists_schemes() -> None:
    answer = CliRunner().invoke(app, ["show"])
    for scheme in BOOK.schemes:
        assert scheme.scheme in answer.output


@pytest.mark.parametrize("scheme", [scheme.scheme for scheme in BOOK.schemes])
def test_show_one_scheme_with_rules_examples_and_sources(scheme: str) -> None:
    answer = CliRunner().invoke(app, ["show", scheme])
    assert answer.exit_code == 0
    for rule in BOOK.rules:
        if rule.scheme == scheme:
            assert rule.id in answer.output
            assert str(rule.source) in answer.output


def test_show_across_in_another_language() -> None:
    answer = CliRunner().invoke(app, ["show", "across", "--lang", "fr"])
    assert "machine-made" in answer.output
    assert "x-date-order-unclear" in answer.output


def test_show_of_an_unknown_scheme() -> None:
    answer = CliRunner().invoke(app, ["show", "xx"])
    assert isinstance(answer.exception, NotFound)
    assert "us-niosh" in answer.exception.message


def test_http_list(client: TestClient) -> None:
    body = client.get("/rules").json()
    assert {row["scheme"] for row in body["schemes"]} == {s.scheme for s in BOOK.schemes}
    assert body["edition"] == BOOK.edition
    assert set(body["languages"]) == {"en", "es", "fr", "pt", "hi", "ar"}


def test_http_scheme_in_a_language(client: TestClient) -> None:
    body = client.get("/rules/us-niosh", params={"lang": "es"}).json()
    rule = next(row for row in body["rules"] if row["rule"] == "us-tc-placeholder")
    assert rule["severity"] == "conflict"
    assert "número de serie" in rule["says"]
    assert rule["raised_by"]
    assert rule["not_raised_by"]
    assert rule["source"]
    assert "machine-made" in body["messages_made_by"]


def test_http_classes_side_by_side_with_the_caveat(client: TestClient) -> None:
    body = client.get("/rules/classes").json()
    assert "no approval" in body["caveat"]
    shares = [row["minimum_efficiency"] for row in body["classes"]]
    known = [share for share in shares if share is not None]
    assert known == sorted(known)
    n95 = next(row for row in body["classes"] if row["name"] == "N95")
    assert n95["minimum_efficiency"] == 95
    assert "oil" in n95["not_for"]


@pytest.mark.parametrize("scheme", BOOK.schemes, ids=lambda scheme: scheme.scheme)
def test_what_a_class_is_for_is_said_in_every_language(scheme: Scheme) -> None:
    """Each in words of its own; only a scheme from elsewhere may say it in English alone."""
    for entry in scheme.classes:
        said = {code: uses_of(entry, code, PHRASES) for code in PHRASES.languages}
        assert {code: uses.said_in for code, uses in said.items()} == {code: code for code in said}
        assert len({uses.good_for for uses in said.values()}) == len(said), entry.name
        assert len({uses.not_for for uses in said.values()}) == len(said), entry.name


def test_a_class_of_another_house_may_say_what_it_is_for_in_english_alone() -> None:
    entry = next(one for one in BOOK.schemes[0].classes)
    own = replace(entry, good_for="nothing that exists")
    uses = uses_of(own, "hi", PHRASES)
    assert (uses.good_for, uses.said_in) == ("nothing that exists", "en")
    assert uses.not_for == uses_of(entry, "en", PHRASES).not_for


def test_a_name_of_no_phrase_is_found() -> None:
    first, *others = BOOK.schemes
    wrong = replace(first.classes[0], not_for="no_such_use")
    book = replace(BOOK, schemes=(replace(first, classes=(wrong,)), *others))
    assert unknown_uses(BOOK, PHRASES) == []
    assert unknown_uses(book, PHRASES) == [
        f"{first.scheme}: class {wrong.name}: there is no phrase 'class_use.no_such_use'"
    ]


def test_http_classes_in_a_language(client: TestClient) -> None:
    rows = client.get("/rules/classes", params={"lang": "es"}).json()["classes"]
    n95 = next(row for row in rows if row["name"] == "N95")
    assert "aceite" in n95["not_for"]
    assert n95["says_in"] == "es"


def test_http_across(client: TestClient) -> None:
    body = client.get("/rules/across").json()
    assert any(row["rule"] == "x-facepiece-and-box-differ" for row in body["rules"])
    assert body["cautions"]


def test_every_kind_of_check_is_documented() -> None:
    text = (default_folder() / "README.md").read_text(encoding="utf-8")
    for kind in Check.__slots__:
        assert f"| `{kind}` |" in text
    for condition in When.__slots__:
        assert f"`{condition}`" in text


def test_json_schema_for_editors() -> None:
    made = json_schema(Scheme)
    assert "claimed_by" in made["properties"]
    assert made["additionalProperties"] is False


def test_every_scheme_says_what_a_class_is_for_and_whom_to_ask() -> None:
    for scheme in BOOK.schemes:
        assert scheme.classes, scheme.scheme
        assert scheme.ask
        assert scheme.cautions
        for entry in scheme.classes:
            assert entry.good_for
            assert entry.not_for


def test_rule_ids_and_sources_are_whole() -> None:
    for rule in BOOK.rules:
        assert rule.source.document
        assert rule.source.known in ("read", "read-secondary", "derived", "from-memory")
    assert len({rule.id for rule in BOOK.rules}) == len(BOOK.rules)
