"""Who is let in at all: by Host, Origin and the way a request came, on loopback too.

A page on another name that resolves to 127.0.0.1 could read and write before there was a gate, and
a page in another tab could write. Sources: RFC 9110 (2022) 7.2; RFC 6454 (2011) 7; for
`Sec-Fetch-*` the W3C draft Fetch Metadata Request Headers. The headers are what Chromium sends.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness.api.app import create_app
from inkwitness.api.guard.gate import is_loopback, outside_origin
from inkwitness.errors import BadInput
from inkwitness.records.store import new_id
from tests.api.conftest import HEADERS, NOW, settings

OWN = "http://127.0.0.1:8000"


def opened(folder: Path, **more: Any) -> TestClient:
    app = create_app(settings(folder, names="", **more), clock=lambda: NOW)
    return TestClient(app, base_url=OWN, headers=HEADERS)


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    (tmp_path / "web").mkdir()
    (tmp_path / "web" / "index.html").write_text("<title>Inkwitness</title>")
    with opened(tmp_path) as client:
        yield client


def hold(client: TestClient, **headers: str) -> Any:
    body = {"id": new_id(), "label": "FICTIONAL delivery"}
    return client.post("/api/consignments", json=body, headers=headers)


@pytest.mark.parametrize(
    "host",
    [
        "rebound.example:8000",
        "rebound.example",
        "127.0.0.1.rebound.example:8000",
        "127.0.0.1:8000@rebound.example",
        "localhost.rebound.example",
        "192.168.43.1:8000",
        "0.0.0.0:8000",
        "[::ffff:127.0.0.1]:8000",
        "2130706433:8000",
        "",
    ],
)
def test_a_name_that_is_not_this_servers_reads_and_writes_nothing(
    client: TestClient, host: str
) -> None:
    for path in ("/api/units", "/", "/api/openapi.json", "/assets/app.js"):
        answer = client.get(path, headers={"Host": host})
        assert answer.status_code == 421
        assert answer.json()["error"]["code"] == "wrong_name"
    assert hold(client, Host=host, Origin=f"http://{host}").status_code == 421
    assert client.get("/api/consignments").json()["consignments"] == []


def test_two_host_headers_are_refused(client: TestClient) -> None:
    both = [("Host", "127.0.0.1:8000"), ("Host", "rebound.example")]
    assert client.get("/api/units", headers=both).status_code == 421


@pytest.mark.parametrize(
    "host", ["127.0.0.1:8000", "localhost:8000", "LOCALHOST:8000", "[::1]:8000"]
)
def test_loopback_is_let_in_by_each_of_its_names(client: TestClient, host: str) -> None:
    assert client.get("/api/units", headers={"Host": host}).status_code == 200
    own = f"http://{host.lower()}"
    assert hold(client, Host=host, Origin=own, **{"Sec-Fetch-Site": "same-origin"}).is_success


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "https://elsewhere.example", "Sec-Fetch-Site": "cross-site"},
        {"Origin": "https://elsewhere.example"},
        {"Origin": "http://127.0.0.1:9999", "Sec-Fetch-Site": "same-site"},
        {"Origin": "http://localhost:8000", "Sec-Fetch-Site": "cross-site"},
        {"Origin": "https://127.0.0.1:8000"},
        {"Origin": "null"},
        {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "no-cors", "Sec-Fetch-Dest": "empty"},
    ],
)
def test_a_page_in_another_tab_reads_holds_releases_and_uploads_nothing(
    client: TestClient, headers: dict[str, str]
) -> None:
    unit = new_id()
    body = {"id": new_id(), "disposition": "hold"}
    answers = [
        client.get("/api/units", headers=headers),
        hold(client, **headers),
        client.post(f"/api/units/{unit}/decisions", json=body, headers=headers),
        client.post("/api/photos", files={"file": ("a.png", b"x")}, headers=headers),
        client.options("/api/units", headers=headers),
    ]
    assert [answer.status_code for answer in answers] == [403] * 5
    assert {answer.json()["error"]["code"] for answer in answers} == {"other_page"}
    assert not any("access-control-allow-origin" in answer.headers for answer in answers)
    assert client.get("/api/consignments").json()["consignments"] == []


def test_a_picture_shown_by_another_page_is_refused(client: TestClient) -> None:
    seen = {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "no-cors", "Sec-Fetch-Dest": "image"}
    assert client.get(f"/api/photos/{new_id()}/picture", headers=seen).status_code == 403


def test_a_link_from_elsewhere_opens_the_page_and_nothing_of_the_api(client: TestClient) -> None:
    link = {
        "Sec-Fetch-Site": "cross-site",
        "Sec-Fetch-Mode": "navigate",
        "Sec-Fetch-Dest": "document",
        "Accept": "text/html",
    }
    assert client.get("/", headers=link).status_code == 200
    assert client.get("/api/units", headers=link).status_code == 403
    assert client.get("/", headers={**link, "Sec-Fetch-Dest": "iframe"}).status_code == 403


def test_a_program_on_this_machine_sends_neither_and_is_let_in(client: TestClient) -> None:
    assert hold(client).status_code == 201


@pytest.mark.parametrize("name", ["X-Forwarded-For", "Forwarded", "Via", "X-Forwarded-Proto"])
def test_a_proxy_on_the_same_host_does_not_open_a_server_without_accounts(
    client: TestClient, name: str
) -> None:
    answer = client.get("/api/units", headers={name: "192.168.43.7"})
    assert answer.status_code == 403
    assert "--accounts" in answer.json()["error"]["message"]


def test_behind_a_proxy_only_its_own_address_is_answered(tmp_path: Path) -> None:
    """The proxy speaks http to us and says what it was asked by; uvicorn hands on the scheme."""
    app = create_app(
        settings(tmp_path, names="", accounts=True, outside="https://ink.hospital.example")
    )
    by_proxy = {"Host": "ink.hospital.example"}
    with TestClient(app, base_url="https://ink.hospital.example") as client:
        path = "/api/alive"
        assert client.get(path, headers=by_proxy).status_code == 200
        assert client.get(path, headers={"Host": "rebound.example"}).status_code == 421
        wrong = {**by_proxy, "Origin": "http://ink.hospital.example"}
        assert client.get(path, headers=wrong).status_code == 403
    with TestClient(app, base_url="http://127.0.0.1:8000") as plain:
        assert plain.get("/api/alive").status_code == 200
        assert plain.get("/api/units").json()["error"]["code"] == "not_https"


@pytest.mark.parametrize(
    ("host", "answer"),
    [
        ("127.0.0.1", True),
        ("127.8.9.1", True),
        ("::1", True),
        ("localhost", True),
        ("0.0.0.0", False),
        ("::", False),
        ("192.168.43.1", False),
        ("ink.example", False),
    ],
)
def test_loopback_is_told_from_addresses_that_others_reach(host: str, answer: bool) -> None:
    assert is_loopback(host) is answer


@pytest.mark.parametrize("text", ["http://ink.example", "ink.example", "https://ink.example/a", ""])
def test_an_address_of_a_proxy_without_https_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match="https"):
        outside_origin(text)
