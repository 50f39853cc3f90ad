"""An error is told in the language of whoever asked; codes and names stay what they are."""

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from inkwitness import phrases
from inkwitness.access.errors import NotSignedIn, Wait
from inkwitness.api import errors
from inkwitness.errors import InkwitnessError, NotFound, StorageTrouble, TooLarge
from inkwitness.photo.served import too_many_bytes

BOOK = phrases.shipped()
RAISED: dict[str, InkwitnessError] = {
    "job": NotFound("no_job", id="7"),
    "nobody": NotSignedIn("not_signed_in"),
    "wait": Wait("too_many_tries", 120, minutes=2),
    "disk": StorageTrouble("storage_no_space", "no_space"),
    "large": too_many_bytes("photo"),
}


@pytest.fixture(scope="module")
def client() -> TestClient:
    app = FastAPI()
    errors.install(app)

    @app.get("/raised/{name}")
    def raised(name: str, number: int = 0) -> int:
        if name in RAISED:
            raise RAISED[name]
        return number

    return TestClient(app, raise_server_exceptions=False)


@pytest.mark.parametrize("language", sorted(BOOK.languages))
@pytest.mark.parametrize("name", sorted(RAISED))
def test_the_language_asked_for_is_spoken(client: TestClient, name: str, language: str) -> None:
    error = RAISED[name]
    answer = client.get(f"/raised/{name}?lang={language}")
    assert answer.headers["Content-Language"] == language
    told = answer.json()["error"]
    assert told["message"] == BOOK.of(language)(f"error.{error.key}", **error.values)
    assert (told["key"], answer.status_code) == (error.key, errors.status_of(error))


def test_without_it_the_browser_s_own_language_is_spoken(client: TestClient) -> None:
    answer = client.get("/raised/job", headers={"Accept-Language": "hi-IN, en;q=0.5"})
    assert answer.json()["error"]["message"] == BOOK.of("hi")("error.no_job", id="7")
    assert "Accept-Language" in answer.headers["Vary"]


def test_a_program_that_names_no_language_is_told_in_english(client: TestClient) -> None:
    told = client.get("/raised/job", headers={"Accept-Language": ""}).json()["error"]
    assert told["message"] == "There is no job 7. Look at the id you sent."
    assert told["code"] == "not_found"


def test_codes_for_programs_and_waits_are_the_same_in_each_language(client: TestClient) -> None:
    for language in BOOK.languages:
        wait = client.get(f"/raised/wait?lang={language}")
        assert (wait.json()["error"]["code"], wait.headers["Retry-After"]) == ("wait", "120")
        disk = client.get(f"/raised/disk?lang={language}")
        assert (disk.json()["error"]["code"], disk.headers["Retry-After"]) == ("no_space", "60")


def test_a_field_an_address_and_a_method_that_cannot_be_used_are_told_in_it(
    client: TestClient,
) -> None:
    wrong = client.get("/raised/none?number=x&lang=fr")
    assert (wrong.status_code, wrong.json()["error"]["key"]) == (422, "request_fields")
    assert wrong.json()["error"]["message"].startswith("La demande n'est pas utilisable")
    nothing = client.get("/nothing?lang=es")
    assert nothing.json()["error"]["message"] == "No hay nada en /nothing."
    method = client.post("/raised/job?lang=pt")
    assert (method.status_code, method.json()["error"]["key"]) == (405, "http_error")


def test_a_limit_says_what_to_do_with_what_was_sent() -> None:
    error = too_many_bytes("list")
    assert isinstance(error, TooLarge)
    assert "columns" in str(error)
