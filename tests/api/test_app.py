"""The application as a whole: errors in one shape, the description, the page, the records."""

import math
import sqlite3
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness.api.app import create_app
from inkwitness.jobs import watch
from tests.api.conftest import NOW, settings

Send = Callable[..., dict[str, Any]]


@pytest.fixture
def page(tmp_path: Path) -> Path:
    (tmp_path / "web" / "assets").mkdir(parents=True)
    (tmp_path / "web" / "index.html").write_text("<title>Inkwitness</title>")
    (tmp_path / "web" / "assets" / "app.js").write_text("export {}")
    return tmp_path


def test_the_page_is_served_and_an_address_of_its_own_answers_the_page(page: Path) -> None:
    with TestClient(create_app(settings(page), clock=lambda: NOW)) as client:
        for address in ("/", "/units/019a0b52-6e00-7b7b-9c9c-0a1b2c3d4e5f"):
            answer = client.get(address, headers={"Accept": "text/html"})
            assert answer.status_code == 200
            assert "<title>Inkwitness</title>" in answer.text
        assert client.get("/assets/app.js").text == "export {}"
        assert client.get("/assets/gone.js").status_code == 404


def test_an_unknown_address_of_the_api_is_an_error_and_not_the_page(page: Path) -> None:
    with TestClient(create_app(settings(page), clock=lambda: NOW)) as client:
        answer = client.get("/api/nothing", headers={"Accept": "text/html"})
    assert answer.status_code == 404
    assert answer.json()["error"]["code"] == "not_found"


def test_without_a_built_page_it_says_what_to_do(client: TestClient) -> None:
    answer = client.get("/")
    assert answer.status_code == 503
    assert "make setup" in answer.text


def test_every_error_has_one_shape(client: TestClient) -> None:
    answers = [
        client.get("/api/units/7"),
        client.get("/api/nothing"),
        client.delete("/api/units"),
        client.post("/api/confirmations", content=b"{"),
    ]
    assert [answer.status_code for answer in answers] == [422, 404, 405, 422]
    for answer in answers:
        assert set(answer.json()) == {"error"}
        assert set(answer.json()["error"]) == {"code", "key", "message"}
        assert answer.json()["error"]["message"].endswith(".")


def test_a_fault_of_ours_is_told_without_its_inside(tmp_path: Path) -> None:
    app = create_app(settings(tmp_path, judge="tests.api.test_app:broken"), clock=lambda: NOW)
    with TestClient(app, raise_server_exceptions=False) as client:
        answer = client.get("/api/about")
    assert answer.status_code == 500
    assert answer.json()["error"]["code"] == "internal"
    assert "kettle" not in answer.text


def broken(max_age_days: int) -> Any:
    raise ZeroDivisionError("kettle")


def test_about_says_what_is_read_with_and_compared_with(client: TestClient) -> None:
    about = client.get("/api/about").json()
    assert about["rules_edition"] == "rules-test"
    assert about["readers"] == ["pretend 1.0"]
    assert about["list"] is None
    assert about["demo"] is False
    assert about["languages"] == ["en", "es", "fr", "pt", "hi", "ar"]


def test_the_description_names_every_route_and_gives_examples(client: TestClient) -> None:
    told = client.get("/api/openapi.json").json()
    for path in (
        "/api/photos",
        "/api/jobs/{job_id}",
        "/api/photos/{photo_id}/picture",
        "/api/photos/{photo_id}/lines/{index}",
        "/api/units",
        "/api/units/{unit_id}",
        "/api/checks/{check_id}",
        "/api/confirmations",
        "/api/confirmations/{confirmation_id}/withdraw",
        "/api/agreement",
        "/api/about",
    ):
        assert path in told["paths"]
    assert told["components"]["schemas"]["Confirm"]["examples"][0]["from"] == "as_read"


def test_the_records_show_whether_a_row_was_changed(
    client: TestClient, send: Send, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(watch, "_AGAIN_AFTER", 0.0)
    monkeypatch.setattr(watch, "_QUICK", math.inf)
    send()
    before = client.get("/api/records").json()
    assert all(chain["broken_at"] is None for chain in before["chains"])
    assert {"photos", "units", "readings", "checks", "confirmations", "decisions"} <= {
        chain["table"] for chain in before["chains"]
    }
    with sqlite3.connect(tmp_path / "data" / "inkwitness.sqlite") as raw:
        raw.execute("DROP TRIGGER refuse_update_readings")
        raw.execute("UPDATE readings SET content = replace(content, '9981', '9918')")
    raw.close()
    after = {c["table"]: c for c in client.get("/api/records").json()["chains"]}
    assert after["readings"]["broken_at"] == 1
    assert "changed" in after["readings"]["reason"]


def test_the_rules_say_which_papers_to_ask_for(client: TestClient) -> None:
    """As the law names them, of whom, and what must say what is printed: NR-6 for Brazil."""
    (paper,) = client.get("/api/rules/br-nbr13698?lang=es").json()["papers"]
    assert (paper["titles"], paper["issued_by"]) == (["Certificado de Aprovação"], "authority")
    assert paper["agrees"] == ["number", "holder", "product", "filter_class"]
    assert "ministerio de trabajo" in paper["says"]
    assert paper["source"].startswith("NR-6")
