"""Stops a request body that is over the limit before it fills the disk."""

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from inkwitness.api.errors import answer
from inkwitness.records.served import MAX_BYTES, Sendable, too_many_bytes

# A multipart body is the file, the fields and the boundaries around them.
MAX_BODY = MAX_BYTES + 256 * 1024

# What is sent where, so that one who sends too much is told what to do about that.
_SENT_TO: dict[str, Sendable] = {
    "/api/photos": "photo",
    "/api/holders/preview": "list",
    "/api/holders/proposals": "list",
    "/api/holders/look-ups": "attachment",
}


class LimitBody:
    """Answers 413 to a body that says it is larger than the limit, or that turns out to be."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        told = dict(scope["headers"]).get(b"content-length", b"0")
        if not told.isdigit() or int(told) > MAX_BODY:
            await self._refuse(scope, receive, send)
            return
        seen = 0
        over = False

        async def counted() -> Message:
            nonlocal seen, over
            message = await receive()
            seen += len(message.get("body", b""))
            if seen > MAX_BODY:
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
        error = too_many_bytes(_SENT_TO.get(scope["path"].rstrip("/"), "request"))
        await answer(413, error.code, error.message)(scope, receive, send)
