"""A sender or a reader that never comes to an end holds no place for ever; a slow one is served."""

import socket
import threading
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager

import pytest
import uvicorn
from starlette.types import Receive, Scope, Send

from inkwitness.api.guard import connections
from inkwitness.api.guard.connections import CarefulProtocol

LARGE = 25_000_000


async def _app(scope: Scope, receive: Receive, send: Send) -> None:
    """Takes a body whole, then answers with a large one in one piece."""
    if scope["type"] != "http":
        return
    while (await receive()).get("more_body"):
        pass
    headers = [(b"content-length", str(LARGE).encode())]
    await send({"type": "http.response.start", "status": 200, "headers": headers})
    await send({"type": "http.response.body", "body": bytes(LARGE)})


@contextmanager
def connected() -> Iterator[socket.socket]:
    """A connection to a real server with these limits, whose own buffers are small."""
    config = uvicorn.Config(
        _app, port=0, http=CarefulProtocol, lifespan="off", log_level="critical", log_config=None
    )
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run)
    thread.start()
    while not server.started:
        time.sleep(0.01)
    with closing(socket.socket()) as opened:
        opened.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 65536)
        opened.settimeout(60)
        before = connections._open.total()
        opened.connect(server.servers[0].sockets[0].getsockname())
        while connections._open.total() == before:
            time.sleep(0.01)
        yield opened
    server.should_exit = True
    thread.join()


def _closed(opened: socket.socket) -> int:
    """Read until the other side ends it; answers how many bytes came."""
    got = 0
    try:
        while more := opened.recv(65536):
            got += len(more)
    except ConnectionResetError:
        pass
    return got


def test_a_body_that_trickles_in_without_an_end_is_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(connections, "WHOLE_BODY_SECONDS", 0.5)
    with connected() as opened:
        opened.sendall(b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 100000\r\n\r\n")
        try:
            for _ in range(3000):  # never silent for as long as is allowed between two pieces
                opened.sendall(b"x")
                time.sleep(0.02)
        except (ConnectionResetError, BrokenPipeError):
            return
    pytest.fail("a body without an end was taken")


def test_an_answer_that_nobody_takes_is_not_held(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(connections, "DRAIN_SECONDS", 0.3)
    with connected() as opened:
        held = connections._open.total()
        opened.sendall(b"GET / HTTP/1.1\r\nHost: x\r\n\r\n")
        for _ in range(3000):
            if connections._open.total() < held:
                break
            time.sleep(0.02)
        else:
            pytest.fail("the connection is still there")
        assert _closed(opened) < LARGE


def test_an_answer_that_is_taken_slowly_is_sent_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(connections, "DRAIN_SECONDS", 0.3)
    with connected() as opened:
        opened.sendall(b"GET / HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n")
        got = 0
        for number in range(100_000):
            more = opened.recv(65536)
            got += len(more)
            if not more:
                break
            time.sleep(0.005 if number < 200 else 0)
        assert got > LARGE
