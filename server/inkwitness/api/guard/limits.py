"""Stops a request body that is over the limit before it fills the disk, and too many at once."""

import asyncio
from collections import Counter

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from inkwitness.api.errors import NoTurn, TooMany, answer
from inkwitness.errors import TooLarge
from inkwitness.photo.served import MAX_BYTES, Sendable, too_many_bytes

# A multipart body is the file, the fields and the boundaries around them.
MAX_BODY = MAX_BYTES + 256 * 1024
#: What is no file is read as one piece by the process that answers everybody: far less of it.
MAX_PLAIN = 4 * 2**20
_LARGE = (
    "/api/photos",
    "/plain/photos",
    "/api/papers",
    "/api/holders/look-ups",
    "/api/holders/preview",
    "/api/holders/proposals",
)
#: Large bodies taken at once, and from one address; whoever is over waits, then is told to.
MOST_AT_ONCE = 6
MOST_OF_ONE_ADDRESS = 4
_WAIT_SECONDS = 20.0
_MOST_WAITING = 100

# What is sent where, so that one who sends too much is told what to do about that.
_SENT_TO: dict[str, Sendable] = {
    "/api/photos": "photo",
    "/plain/photos": "photo",
    "/api/holders/preview": "list",
    "/api/holders/proposals": "list",
    "/api/holders/look-ups": "attachment",
    "/api/papers": "attachment",
}


class LimitBody:
    """Answers 413 to a body that says it is larger than the limit, or that turns out to be."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        headers = dict(scope["headers"])
        told = headers.get(b"content-length", b"0")
        most = MAX_BODY if _has_files(headers) else MAX_PLAIN
        if not told.isdigit() or int(told) > most:
            await self._refuse(scope, receive, send)
            return
        seen = 0
        over = False

        async def counted() -> Message:
            nonlocal seen, over
            message = await receive()
            seen += len(message.get("body", b""))
            if seen > most:
                over = True
                # what was read so far is thrown away by whoever parses it
                return {"type": "http.disconnect"}
            return message

        async def answered(message: Message) -> None:
            if not over:
                await send(message)

        try:
            await self._app(scope, counted, answered)
        finally:
            if over:
                await self._refuse(scope, receive, send)

    async def _refuse(self, scope: Scope, receive: Receive, send: Send) -> None:
        if _has_files(dict(scope["headers"])):
            error = too_many_bytes(_SENT_TO.get(scope["path"].rstrip("/"), "request"))
        else:
            error = TooLarge("too_many_bytes", limit=MAX_PLAIN // 2**20)
        await answer(error, scope)(scope, receive, send)


def _has_files(headers: dict[bytes, bytes]) -> bool:
    return headers.get(b"content-type", b"").lower().startswith(b"multipart/")


class InTurn:
    """Large bodies are taken a few at a time, each address its share; the rest wait unread.

    Who has waited too long is answered 503 with Retry-After, and 429 where it is the only one that
    sends so much: phones keep what was not taken and send it again.
    """

    def __init__(self, app: ASGIApp) -> None:
        self._app = app
        self._taken: Counter[str] = Counter()
        self._waiting = 0
        self._changed = asyncio.Condition()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        large = scope["type"] == "http" and scope["method"] == "POST" and scope["path"] in _LARGE
        if not large:
            await self._app(scope, receive, send)
            return
        address = str((scope.get("client") or ("local",))[0])
        if not await self._enter(address):
            alone = self._taken.total() == self._taken[address]
            error = TooMany("too_many_files") if alone else NoTurn("too_many_files")
            await answer(error, scope)(scope, receive, send)
            return
        try:
            await self._app(scope, receive, send)
        finally:
            async with self._changed:
                self._taken[address] -= 1
                self._changed.notify_all()

    async def _enter(self, address: str) -> bool:
        if self._waiting >= _MOST_WAITING:
            return False
        self._waiting += 1
        try:
            async with asyncio.timeout(_WAIT_SECONDS), self._changed:
                await self._changed.wait_for(lambda: self._has_room(address))
                self._taken[address] += 1
                return True
        except TimeoutError:
            return False
        finally:
            self._waiting -= 1

    def _has_room(self, address: str) -> bool:
        return self._taken.total() < MOST_AT_ONCE and self._taken[address] < MOST_OF_ONE_ADDRESS
