"""Too much at once is put off with a time to try again, fairly, and `/ready` says how it stands.

429 Too Many Requests: RFC 6585, 4; 503 Service Unavailable and Retry-After: RFC 9110, 15.6.4 and
10.2.3.
"""

import datetime as dt
import os
import shutil
import signal
import socket
import tempfile
from collections import namedtuple
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path
from typing import Any

import anyio
import pytest
from starlette.testclient import TestClient
from starlette.types import Message, Receive, Scope, Send

from inkwitness.api.app import create_app
from inkwitness.api.guard import limits
from inkwitness.api.guard.limits import MOST_AT_ONCE, MOST_OF_ONE_ADDRESS, InTurn
from inkwitness.jobs import queue
from inkwitness.jobs.runner import Health
from inkwitness.phrases import Sentence
from inkwitness.records import database
from inkwitness.records.integrity.audit import Found
from inkwitness.records.store import look_at_store, new_id
from tests.api.conftest import HEADERS, NOW, png, settings
from tests.endurance.kills import _start
from tests.ports import free_port

Sends = Callable[..., dict[str, Any]]
Space = namedtuple("Space", "total used free")


def upload(client: TestClient) -> Any:
    ids = {"id": new_id(), "unit_id": new_id()}
    return client.post("/api/photos", data=ids, files={"file": ("plain.png", png())})


def put_off(answer: Any, status: int, code: str) -> None:
    assert (answer.status_code, answer.json()["error"]["code"]) == (status, code), answer.text
    assert int(answer.headers["Retry-After"]) > 0


class Crowd:
    """Large bodies sent at once, each of which is taken until `go` is set."""

    def __init__(self) -> None:
        self.go = anyio.Event()
        self.taken: list[str] = []
        self.answers: dict[str, list[tuple[int, dict[bytes, bytes]]]] = {}
        self.door = InTurn(self._app)

    async def _app(self, scope: Scope, _receive: Receive, send: Send) -> None:
        self.taken.append(scope["client"][0])
        await self.go.wait()
        await send({"type": "http.response.start", "status": 202, "headers": []})

    async def send(self, address: str, path: str = "/api/photos") -> None:
        asked = {"type": "http", "method": "POST", "path": path}
        scope: dict[str, Any] = {**asked, "client": (address, 1), "headers": []}

        async def answered(message: Message) -> None:
            if message["type"] == "http.response.start":
                told = (message["status"], dict(message["headers"]))
                self.answers.setdefault(address, []).append(told)

        await self.door(scope, anyio.sleep_forever, answered)  # type: ignore[arg-type]


def crowd(
    monkeypatch: pytest.MonkeyPatch, *sent: tuple[str, int], path: str = "/api/photos"
) -> Crowd:
    """So many bodies of each address at once; what is not taken in time is put off."""
    monkeypatch.setattr(limits, "_WAIT_SECONDS", 2)
    found: list[Crowd] = []

    async def run() -> None:
        made = Crowd()
        found.append(made)
        async with anyio.create_task_group() as group:
            for address, count in sent:
                for _ in range(count):
                    group.start_soon(made.send, address, path)
                await anyio.sleep(0.01)
            while sum(len(one) for one in made.answers.values()) < sum(
                count for _, count in sent
            ) - len(made.taken):
                await anyio.sleep(0.01)
            made.go.set()

    # a thread of its own: in that of the browser's tests a loop runs already
    with ThreadPoolExecutor(1) as thread:
        thread.submit(anyio.run, run).result()
    return found[0]


def test_one_who_sends_much_leaves_room_for_the_next_and_is_told_so(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    made = crowd(monkeypatch, ("10.0.0.1", 10), ("10.0.0.2", 2))
    assert made.taken.count("10.0.0.1") == MOST_OF_ONE_ADDRESS
    assert made.taken.count("10.0.0.2") == MOST_AT_ONCE - MOST_OF_ONE_ADDRESS
    refused = [headers for status, headers in made.answers["10.0.0.1"] if status == 503]
    assert len(refused) == 10 - MOST_OF_ONE_ADDRESS
    assert all(int(headers[b"retry-after"]) > 0 for headers in refused)


@pytest.mark.parametrize("path", ["/api/photos", "/api/papers", "/api/holders/look-ups"])
def test_who_is_alone_and_sends_too_much_is_told_that_it_is_too_much(
    monkeypatch: pytest.MonkeyPatch, path: str
) -> None:
    made = crowd(monkeypatch, ("10.0.0.1", 6), path=path)
    statuses = sorted(status for status, _ in made.answers["10.0.0.1"])
    assert statuses == [202] * MOST_OF_ONE_ADDRESS + [429] * (6 - MOST_OF_ONE_ADDRESS)


def test_with_too_many_waiting_no_photo_is_taken_until_some_are_read(tmp_path: Path) -> None:
    app = create_app(settings(tmp_path, most_waiting=1), clock=lambda: NOW)
    with TestClient(app, headers=HEADERS) as client:
        app.state.services.runner.stop()
        assert upload(client).status_code == 202
        put_off(upload(client), 429, "too_many")
        with app.state.services.store.database.writing() as conn:
            (job,) = queue.unfinished(conn)
            queue.fail(conn, job, queue.Failure("x", Sentence("error.reader_stopped", {})), NOW)
        assert upload(client).status_code == 202


def test_one_who_sends_leaves_places_to_the_others(tmp_path: Path) -> None:
    app = create_app(settings(tmp_path, most_waiting=4), clock=lambda: NOW)
    with TestClient(app, headers=HEADERS) as client:
        app.state.services.runner.stop()
        assert [upload(client).status_code for _ in range(3)] == [202] * 3
        put_off(upload(client), 429, "too_many")
        client.headers["X-Actor"] = "Rae"
        assert upload(client).status_code == 202


def test_with_little_space_no_photo_is_taken_and_ready_says_so(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(shutil, "disk_usage", lambda _folder: Space(10**12, 10**12, 150_000_000))
    put_off(upload(client), 503, "no_space")
    paper = {"id": new_id(), "unit_id": new_id(), "paper": '{"kind": "type_certificate"}'}
    attached = {"files": ("p.png", png())}
    put_off(client.post("/api/papers", data=paper, files=attached), 503, "no_space")
    told = client.get("/api/ready")
    assert (told.status_code, told.json()["ready"], told.json()["free_mb"]) == (503, False, 150)
    assert int(told.headers["Retry-After"]) > 0
    assert client.get("/api/units").json()["units"] == []


def test_a_body_that_cannot_be_put_down_is_put_off_and_is_no_bad_request(
    client: TestClient, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    # over 1 MB a body is written to a file as it comes in
    large = png()[:-12] + bytes(2_000_000)
    ids = {"id": new_id(), "unit_id": new_id()}
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "nowhere"))
    answer = client.post("/api/photos", data=ids, files={"file": ("plain.png", large)})
    put_off(answer, 503, "storage")
    assert client.get("/api/units").json()["units"] == []


def test_a_write_lock_that_is_not_let_go_puts_the_next_off_and_stores_nothing(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(database, "BUSY_SECONDS", 0.1)
    turn = client.app.state.services.store.database._turn  # type: ignore[attr-defined]
    with turn:
        put_off(upload(client), 503, "busy")
        put_off(client.post("/api/consignments", json={"id": new_id(), "label": "x"}), 503, "busy")
    assert client.get("/api/units").json()["units"] == []
    assert upload(client).status_code == 202


def test_ready_says_how_readers_queue_folder_space_and_records_are(tmp_path: Path) -> None:
    now = [NOW]
    app = create_app(settings(tmp_path), clock=lambda: now[0])
    with TestClient(app, headers=HEADERS) as client:
        app.state.services.watch.now()
        well = client.get("/api/ready")
        assert well.status_code == 200
        told = well.json()
        free = shutil.disk_usage(tmp_path).free // 1_000_000
        assert abs(told.pop("free_mb") - free) < 5000
        assert told == {
            "ready": True,
            "readers_alive": 1,
            "readers": 1,
            "readers_begun_anew": 0,
            "waiting": 0,
            "oldest_waits_seconds": 0.0,
            "trouble": "",
            "writable": True,
            "records": "whole",
        }
        app.state.services.runner.stop()
        upload(client)
        now[0] += dt.timedelta(seconds=90)
        late = client.get("/api/ready")
        assert (late.status_code, late.json()["readers_alive"]) == (503, 0)
        assert (late.json()["waiting"], late.json()["oldest_waits_seconds"]) == (1, 90.0)


@pytest.mark.parametrize("what", ["trouble", "writable"])
def test_ready_is_503_for_trouble_with_the_storage(
    client: TestClient, monkeypatch: pytest.MonkeyPatch, what: str
) -> None:
    runner = client.app.state.services.runner  # type: ignore[attr-defined]
    if what == "trouble":
        monkeypatch.setattr(runner, "health", lambda: Health(1, 1, 0, "no_space"))
    else:
        monkeypatch.setattr(os, "access", lambda _path, _mode: False)
    told = client.get("/api/ready")
    assert (told.status_code, told.json()["ready"]) == (503, False)
    assert told.json()["trouble" if what == "trouble" else "writable"] == (
        "no_space" if what == "trouble" else False
    )


def test_what_the_audit_found_is_said_and_stops_nobody(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    watch = client.app.state.services.watch  # type: ignore[attr-defined]
    looked = watch.now()
    looked.done.found.append(Found("row", "photos", "x", "changed"))
    monkeypatch.setattr(watch, "last", lambda: looked)
    told = client.get("/api/ready")
    assert (told.status_code, told.json()["records"]) == (200, "found")


def test_a_stop_answers_what_was_begun_and_the_photo_is_there(tmp_path: Path) -> None:
    port = free_port()
    process = _start(tmp_path / "data", port)
    ids = {"id": new_id(), "unit_id": new_id()}
    parts = "".join(
        f'--x\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n'
        for name, value in ids.items()
    )
    head = '--x\r\nContent-Disposition: form-data; name="file"; filename="plain.png"\r\n\r\n'
    body = (parts + head).encode() + png() + b"\r\n--x--\r\n"
    asked = (
        f"POST /api/photos HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nX-Actor: Ines\r\n"
        f"Content-Type: multipart/form-data; boundary=x\r\nContent-Length: {len(body)}\r\n\r\n"
    )
    with closing(socket.create_connection(("127.0.0.1", port), timeout=120)) as opened:
        opened.sendall(asked.encode() + body[:100])
        # answered only once the first bytes of the other one have come in before it
        with closing(socket.create_connection(("127.0.0.1", port), timeout=120)) as other:
            other.sendall(f"GET /api/alive HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n\r\n".encode())
            assert b" 200 " in other.recv(4096)
        process.send_signal(signal.SIGTERM)
        opened.sendall(body[100:])
        assert b" 202 " in opened.recv(4096)
    # the server ends by the signal itself once it has done what it began
    assert process.wait(timeout=120) in (0, -signal.SIGTERM)
    store = look_at_store(tmp_path / "data")
    with store.database.reading() as conn:
        wanted = "SELECT sha256 FROM photos WHERE id = ?"
        sha256 = conn.exec_driver_sql(wanted, (ids["id"],)).scalar()
    assert store.files.state(str(sha256)) == "intact"
    store.close()
