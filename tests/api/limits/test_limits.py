"""A body that says that it is too large is refused before a byte of it is taken.

413 Content Too Large: RFC 9110, 15.5.14. The server tells a well-formed Content-Length apart from
one that is no number (8.6): the latter is refused too.
"""

from typing import Any

import pytest
from anyio.from_thread import start_blocking_portal
from starlette.types import Message, Receive, Scope, Send

from inkwitness.api.guard.limits import MAX_BODY, MAX_PLAIN, LimitBody


class Asked:
    """What the application behind the limit was asked, and what was answered before it."""

    def __init__(self) -> None:
        self.calls = 0
        self.received = 0
        self.statuses: list[int] = []

    async def app(self, _scope: Scope, receive: Receive, send: Send) -> None:
        self.calls += 1
        while (await receive()).get("more_body"):
            pass
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b""})

    async def receive(self) -> Message:
        self.received += 1
        return {"type": "http.request", "body": b"x", "more_body": False}

    async def send(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.statuses.append(message["status"])


FILES = b"multipart/form-data; boundary=x"


def asked(length: str | None, kind: bytes = FILES) -> Asked:
    """One request with this Content-Length, whose body is one byte in truth."""
    told = [(b"content-type", kind)]
    told += [] if length is None else [(b"content-length", length.encode())]
    scope: dict[str, Any] = {
        "type": "http", "method": "POST", "path": "/api/photos", "headers": told,
    }  # fmt: skip
    found = Asked()
    # A loop in a thread of its own: the driver of the browsers keeps one running in this one.
    with start_blocking_portal() as portal:
        portal.call(LimitBody(found.app), scope, found.receive, found.send)
    return found


@pytest.mark.parametrize("length", [str(MAX_BODY + 1), "99999999999999", "-1", "1e3", "many"])
def test_too_long_or_no_length_is_refused_unread(length: str) -> None:
    found = asked(length)
    assert (found.statuses, found.calls, found.received) == ([413], 0, 0)


@pytest.mark.parametrize("length", [None, "0", "1", str(MAX_BODY)])
def test_up_to_the_limit_the_body_is_passed_on(length: str | None) -> None:
    found = asked(length)
    assert (found.statuses, found.calls) == ([200], 1)


@pytest.mark.parametrize("kind", [b"application/json", b"application/x-www-form-urlencoded", b""])
def test_what_is_no_file_may_be_far_smaller(kind: bytes) -> None:
    assert asked(str(MAX_PLAIN), kind).statuses == [200]
    found = asked(str(MAX_PLAIN + 1), kind)
    assert (found.statuses, found.calls) == ([413], 0)
