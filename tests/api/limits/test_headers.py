"""What every answer tells a browser, and connections that say nothing."""

import datetime as dt
import logging
import re
import resource
import socket
import ssl
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest
import uvicorn
from starlette.testclient import TestClient

from inkwitness.api.app import create_app
from inkwitness.api.guard import connections
from inkwitness.api.guard.connections import CarefulProtocol, FewLines
from inkwitness.network.authority import certify, open_authority, root_pem
from inkwitness.records.store import new_id
from tests.api.conftest import NOW, settings


@pytest.mark.parametrize(
    "path", ["/", "/api/about", "/api/nothing", "/api/docs", "/api/openapi.json", "/nothing/%ff"]
)
def test_every_answer_has_a_strict_policy_and_is_nobody_elses(
    client: TestClient, path: str
) -> None:
    headers = client.get(path).headers
    policy = dict(part.split(" ", 1) for part in headers["Content-Security-Policy"].split("; "))
    # CSP Level 3: nothing but our own files, no inline script or style, no frame around it
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == policy["style-src"] == policy["connect-src"] == "'self'"
    assert policy["frame-ancestors"] == "'none'"
    assert "unsafe" not in headers["Content-Security-Policy"]
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["X-Frame-Options"] == "DENY"
    assert headers["Referrer-Policy"] == "no-referrer"
    assert headers["Cache-Control"].startswith("private")


def test_an_attached_file_keeps_its_own_stricter_policy_beside_the_servers(
    client: TestClient,
) -> None:
    form = {
        "id": new_id(),
        "looked_up": "TC-84A-9981",
        "list_name": "Certified Equipment List",
        "answer": "not_listed",
        "scheme": "us-niosh",
        "looked_up_at": "2031-03-18T09:30:00+01:00",
    }
    page = ("s.html", b"<script>alert(1)</script>", "text/html")
    made = client.post("/api/holders/look-ups", data=form, files=[("files", page)])
    assert made.status_code == 201, made.text
    file = client.get(f"/api/holders/look-ups/{made.json()['look_up_id']}/files/0")
    # CSP Level 3, 4.1: of several policies, parted by commas, a browser enforces each
    own, everywhere = file.headers["Content-Security-Policy"].split(", ")
    assert own == "sandbox; default-src 'none'"
    assert "frame-ancestors 'none'" in everywhere
    assert file.headers["Content-Disposition"] == "attachment"


def test_the_apis_page_is_made_of_our_own_files_and_names_each_route(client: TestClient) -> None:
    page = client.get("/api/docs")
    assert page.status_code == 200
    assert "POST /api/photos" in page.text
    assert "<script" not in page.text
    assert re.findall(r'(?:src|href)="(https?:)?//', page.text) == []
    assert client.get("/api/docs.css").headers["content-type"].startswith("text/css")


def test_the_description_names_the_errors_that_are_sent(client: TestClient) -> None:
    told = client.get("/api/openapi.json").json()
    for path, methods in told["paths"].items():
        for method, one in methods.items():
            assert {"404", "413", "422", "429", "500", "503"} <= set(one["responses"]), path
            shape = one["responses"]["422"]["content"]["application/json"]["schema"]
            assert shape["$ref"].endswith("/ErrorOut"), (method, path)


@contextmanager
def serving(tmp_path: Path, context: ssl.SSLContext | None = None) -> Iterator[int]:
    """The application on a real port; gives the port."""
    app = create_app(settings(tmp_path), clock=lambda: NOW)
    config = uvicorn.Config(
        app, port=0, http=CarefulProtocol, log_level="critical", log_config=None
    )
    if context is not None:
        config.load()
        config.http_protocol_class = connections.over_tls(context)  # type: ignore[assignment]
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run)
    thread.start()
    _until(lambda: server.started)
    yield server.servers[0].sockets[0].getsockname()[1]
    server.should_exit = True
    thread.join()


@pytest.fixture
def served(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[int]:
    """The application with short limits; gives the port."""
    monkeypatch.setattr(connections, "HEAD_SECONDS", 0.5)
    monkeypatch.setattr(connections, "BODY_SECONDS", 0.5)
    monkeypatch.setattr(connections, "MOST_OF_ONE_ADDRESS", 20)
    with serving(tmp_path) as port:
        yield port


_ASK = b"GET /api/about HTTP/1.1\r\nHost: testserver\r\n\r\n"


def _answer(opened: socket.socket) -> bytes:
    got = b""
    while not got.endswith(b"}"):
        more = opened.recv(65536)
        if not more:
            return got
        got += more
    return got


@pytest.mark.parametrize(
    "begins",
    [
        b"",
        b"GET /api/about HTTP/1.1\r\nHost: testserver\r\n",
        b"POST /api/units HTTP/1.1\r\nHost: testserver\r\nContent-Length: 100000\r\n\r\n--x",
        _ASK + b"GET /api/about HT",
    ],
    ids=["nothing", "half a head", "half a body", "a second half head"],
)
def test_a_connection_that_says_nothing_more_is_closed(served: int, begins: bytes) -> None:
    with closing(socket.create_connection(("127.0.0.1", served), timeout=60)) as opened:
        opened.sendall(begins)
        got = b""
        try:
            while more := opened.recv(65536):
                got += more
        except ConnectionResetError:
            pass
    assert got.count(b"HTTP/1.1 200") == begins.count(_ASK)


def test_many_half_open_connections_leave_room_for_the_next_after_them(
    served: int, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    enough, most = 3000, resource.getrlimit(resource.RLIMIT_NOFILE)[1]
    resource.setrlimit(resource.RLIMIT_NOFILE, (min(enough, most), most))
    held = [socket.create_connection(("127.0.0.1", served), timeout=60) for _ in range(1050)]
    for _ in range(600):
        with closing(socket.create_connection(("127.0.0.1", served), timeout=60)) as opened:
            try:
                opened.sendall(_ASK)
                if b"200 OK" in _answer(opened):
                    break
            except (ConnectionResetError, BrokenPipeError):
                pass
        time.sleep(0.05)
    else:
        pytest.fail("no answer beside 1,050 connections that say nothing")
    for one in held:
        one.close()
    assert len(caplog.records) < 50


def test_silence_before_and_in_the_handshake_counts_and_ends_and_who_shakes_hands_is_served(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(connections, "HEAD_SECONDS", 5)
    monkeypatch.setattr(connections, "MOST_OF_ONE_ADDRESS", 5)
    authority, _ = open_authority(tmp_path / "network", dt.datetime.now(dt.UTC))
    certify(authority, (), dt.datetime.now(dt.UTC))
    server = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    server.load_cert_chain(authority.chain_file, authority.key_file)
    phone = ssl.create_default_context(cadata=root_pem(authority).decode())
    before = connections._open.total()
    with serving(tmp_path, server) as port:
        silent = [socket.create_connection(("127.0.0.1", port), timeout=60) for _ in range(4)]
        silent[0].sendall(b"\x16\x03\x01")  # the first bytes of a handshake: RFC 8446, 5.1
        _until(lambda: connections._open.total() - before >= 4)
        # the fifth of this address is let in, the sixth is not
        plain = socket.create_connection(("127.0.0.1", port), timeout=60)
        with closing(phone.wrap_socket(plain, server_hostname="localhost")) as opened:
            with closing(socket.create_connection(("127.0.0.1", port), timeout=60)) as sixth:
                assert _closed(sixth)
            opened.sendall(_ASK)
            assert b"200 OK" in _answer(opened)
        assert all(_closed(one) for one in silent)
        _until(lambda: connections._open.total() == before)
        for one in silent:
            one.close()


def _until(come: Callable[[], bool]) -> None:
    for _ in range(6000):
        if come():
            return
        time.sleep(0.01)
    pytest.fail("it did not come within a minute")


def _closed(opened: socket.socket) -> bool:
    """Whether the other side closes it without a word."""
    try:
        return opened.recv(1) == b""
    except ConnectionResetError:
        return True


def test_a_log_has_so_many_lines_a_minute_and_says_what_it_left_out(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    now = [1000.0]
    monkeypatch.setattr("inkwitness.api.guard.connections.time.monotonic", lambda: now[0])
    few = FewLines(10)

    def record() -> logging.LogRecord:
        return logging.LogRecord("x", logging.WARNING, "x.py", 1, "a line", None, None)

    assert sum(few.filter(record()) for _ in range(10_000)) == 10
    now[0] += 61
    later = record()
    assert few.filter(later)
    assert "9990 lines were left out" in later.getMessage()
