"""What every answer tells a browser: run our own files only, show this in no frame, share nothing.

Sources: Content Security Policy Level 3 (W3C), Fetch standard (nosniff), RFC 9111 section 5.2
(Cache-Control).
"""

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

# Photos are shown from memory before they are sent (blob:); drawings of ours are inline images.
POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' blob: data:",
        "media-src 'self' blob:",
        "font-src 'self'",
        "connect-src 'self'",
        "worker-src 'self'",
        "manifest-src 'self'",
        "base-uri 'none'",
        "form-action 'self'",
        "frame-ancestors 'none'",
    )
)
_ALWAYS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(self), geolocation=(), microphone=()",
}


class Headers:
    """Adds the headers to each answer; what a route says of caching stands, else nothing is kept.

    A policy of a route's own is sent before this one: of several a browser enforces each (Content
    Security Policy Level 3, section 4.1: the list of policies), so that it can only be stricter.

    The page's own files may be kept by the browser and are asked for anew; files whose name changes
    with their content need not be.
    """

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        path: str = scope["path"]

        async def answered(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                own = headers.get("content-security-policy")
                for name, value in _ALWAYS.items():
                    headers[name] = value
                if own:
                    headers["Content-Security-Policy"] = f"{own}, {POLICY}"
                if "cache-control" not in headers:
                    headers["Cache-Control"] = _caching(path, message["status"])
            await send(message)

        await self._app(scope, receive, answered)


def _caching(path: str, status: int) -> str:
    if path.startswith("/api") or status >= 400:
        return "private, no-store"
    if path.startswith("/assets/"):
        return "private, max-age=31536000, immutable"
    return "private, no-cache"
