"""Errors: each is a key and its values, said in the language of whoever is told."""

import ast
import pickle
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from inkwitness import phrases
from inkwitness.access.errors import Wait, one_of
from inkwitness.api.errors import status_of
from inkwitness.api.language import accepted, language_of
from inkwitness.errors import BadInput, InkwitnessError, NotAPhoto, StorageTrouble
from inkwitness.phrases import Sentence, as_json, of_json

SERVER = Path(__file__).parents[1] / "server" / "inkwitness"
BOOK = phrases.shipped()
EN = BOOK.of("en")
SOURCES = {path: path.read_text(encoding="utf-8") for path in sorted(SERVER.rglob("*.py"))}


def kinds(of: type[InkwitnessError]) -> Iterator[type[InkwitnessError]]:
    yield of
    for kind in of.__subclasses__():
        yield from kinds(kind)


KINDS = {kind.__name__ for kind in kinds(InkwitnessError)}


def test_every_error_has_a_status() -> None:
    """500 is a fault of the program, and its own error alone."""
    faults = [one for one in kinds(InkwitnessError) if status_of(one("fault", **_more(one))) == 500]
    assert {one.__name__ for one in faults} <= {"InkwitnessError", "Fault"}


def _more(kind: type[InkwitnessError]) -> dict[str, Any]:
    return {"status": 405} if kind.__name__ == "Unusable" else {}


def made() -> Iterator[tuple[str, ast.Call]]:
    """Every place where the program makes an error, with its first argument."""
    for path, source in SOURCES.items():
        for node in ast.walk(ast.parse(source)):
            called = node.func if isinstance(node, ast.Call) else None
            if isinstance(called, ast.Name) and called.id in KINDS and isinstance(node, ast.Call):
                yield f"{path.relative_to(SERVER)}:{node.lineno}", node


def test_an_error_has_a_key_that_every_language_says() -> None:
    without = [
        place
        for place, call in made()
        for key in call.args[:1]
        if isinstance(key, ast.JoinedStr)
        or (isinstance(key, ast.Constant) and f"error.{key.value!s}" not in EN)
    ]
    assert without == []


def test_an_error_made_here_has_the_values_that_its_sentence_asks_for() -> None:
    wrong = []
    for place, call in made():
        key = call.args[0] if call.args else None
        if not isinstance(key, ast.Constant) or f"error.{key.value!s}" not in EN:
            continue
        wanted = phrases.fields(EN.texts[f"error.{key.value!s}"])
        given = {one.arg for one in call.keywords} - {"kind", "seconds", "refusals", "status"}
        if wanted - {"seconds"} != given - {"seconds"}:
            wrong.append((place, key.value, sorted(wanted), sorted(map(str, given))))
    assert wrong == []


def test_every_sentence_of_an_error_is_told_somewhere() -> None:
    keys = [key.removeprefix("error.") for key in EN.texts if key.startswith("error.")]
    assert len(keys) > 200
    everything = "\n".join(SOURCES.values())
    assert [
        key for key in keys if f'"{key}"' not in everything and f'"error.{key}"' not in everything
    ] == []


def test_an_error_is_said_in_each_language_and_is_english_in_logs() -> None:
    error = BadInput("password_short", least=10)
    assert str(error) == error.message
    assert str(error).startswith("The password has fewer than 10 letters.")
    said = {error.said(BOOK.of(language)) for language in BOOK.languages}
    assert len(said) == len(BOOK.languages) == 6
    assert all("10" in one for one in said)


def test_an_error_inside_another_is_said_in_the_same_language() -> None:
    inner = NotAPhoto("picture_moving")
    outer = NotAPhoto("photo_wrong", name="a.jpg", why=inner.sentence)
    for language in BOOK.languages:
        say = BOOK.of(language)
        assert outer.said(say).endswith(inner.said(say))
        assert outer.said(say).strip("\u2066\u2069").startswith("a.jpg")


def test_roles_are_named_in_the_language_of_the_sentence() -> None:
    assert one_of(["screener", "releaser"]).said(EN) == "screener or releaser"
    assert one_of(["auditor"]).said(BOOK.of("fr")) == "auditeur"


@pytest.mark.parametrize(
    "error",
    [
        BadInput("name_taken", name="Ines"),
        StorageTrouble("storage_busy", "busy"),
        NotAPhoto("photo_wrong", name="a.jpg", why=NotAPhoto("picture_moving").sentence),
        Wait("too_many_tries", 60, minutes=1),
    ],
    ids=lambda error: error.key,
)
def test_an_error_comes_whole_from_the_process_that_reads(error: InkwitnessError) -> None:
    again = pickle.loads(pickle.dumps(error))
    assert type(again) is type(error)
    assert vars(again) == vars(error)
    assert str(again) == str(error)


def test_a_sentence_is_stored_without_its_words() -> None:
    inner = Sentence("error.picture_moving", {})
    sentence = Sentence("error.not_released_yet", {"why": (inner, inner)})
    stored = as_json(sentence)
    assert "animation" not in str(stored)
    assert of_json(stored) == sentence


@pytest.mark.parametrize(
    ("header", "language"),
    [
        ("", "en"),
        ("fr-CH, fr;q=0.9, en;q=0.8, de;q=0.7, *;q=0.5", "fr"),  # RFC 9110, 12.5.4: example
        ("de, hi;q=0.5, pt-BR;q=0.8", "pt"),
        ("es;q=0, hi;q=0.1", "hi"),
        ("de-DE", "en"),
        ("fr;q=nonsense", "en"),
        (",;=,;q", "en"),
    ],
)
def test_the_language_is_the_one_that_the_reader_likes_best(header: str, language: str) -> None:
    assert accepted(header) == language


def test_the_language_asked_for_comes_before_the_one_of_the_browser() -> None:
    headers = [(b"accept-language", b"hi")]
    assert language_of({"query_string": b"a=1&lang=es", "headers": headers}) == "es"
    assert language_of({"query_string": b"lang=klingon", "headers": headers}) == "hi"
    assert language_of({"query_string": b"", "headers": headers}) == "hi"
