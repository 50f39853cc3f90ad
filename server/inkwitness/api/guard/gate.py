"""Which requests are let in at all: by Host name, Origin and the way they came, loopback included.

A browser sends a page's requests to whatever address the page's name resolves to. Without a look
at the Host header, a page on a stranger's name that resolves to 127.0.0.1 is a page of this
server; and without a look at the Origin, a page in another tab can write here. Sources: RFC 9110,
7.2 (Host) and RFC 6454, 7 (Origin); Fetch Metadata Request Headers (W3C draft) for
`Sec-Fetch-Site`.
"""

import ipaddress
from collections.abc import Callable
from dataclasses import dataclass
from urllib.parse import urlsplit

from starlette.types import ASGIApp, Receive, Scope, Send

from inkwitness.api.errors import NotLetIn, answer
from inkwitness.errors import BadInput

LOOPBACK_NAMES = frozenset({"localhost", "127.0.0.1", "[::1]"})
# Asked by whatever looks after the process, over plain http from the same host.
WATCHED = frozenset({"/api/alive", "/api/ready"})
_SAFE = frozenset({"GET", "HEAD", "OPTIONS"})
_PASSED_ON = (b"x-forwarded-for", b"x-forwarded-host", b"x-forwarded-proto", b"forwarded", b"via")


def is_loopback(host: str) -> bool:
    """Whether an address to listen on is reached from this machine alone."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return False


def bare_name(host: str) -> str:
    """The name of a Host header without its port, in lower case; IPv6 keeps its brackets."""
    name, colon, port = host.rpartition(":")
    if not colon or not port.isdigit():
        name = host
    return name.lower().removesuffix(".")


def outside_origin(text: str) -> str:
    """The origin by which a proxy is reached, as browsers write it; raises BadInput."""
    parts = urlsplit(text.strip())
    if parts.scheme != "https" or not parts.hostname or parts.path.strip("/") or parts.query:
        raise BadInput("no_proxy_address", address=text, example="https://ink.hospital.example")
    port = f":{parts.port}" if parts.port not in (None, 443) else ""
    host = f"[{parts.hostname}]" if ":" in parts.hostname else parts.hostname
    return f"https://{host.lower()}{port}"


@dataclass(frozen=True, slots=True)
class Ways:
    """How this server may be reached.

    `names` answers the host names and addresses beside loopback (they follow the network).
    `outside` is the origin of the proxy in front, or empty. `accounts` is for the whole server.
    """

    names: Callable[[], frozenset[str]]
    accounts: bool
    outside: str = ""


class Gate:
    """Answers 421 to a name that is not this server's and 403 to a page of somebody else's."""

    def __init__(self, app: ASGIApp, ways: Ways) -> None:
        self._app = app
        self._ways = ways

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            # there is no websocket here; to close before accepting is answered with 403
            await send({"type": "websocket.close", "code": 1008})
            return
        refused = self._look(scope)
        if refused is None:
            await self._app(scope, receive, send)
            return
        await answer(refused, scope)(scope, receive, send)

    def _look(self, scope: Scope) -> NotLetIn | None:
        """None to let in; else why not."""
        headers = scope["headers"]
        hosts = _values(headers, b"host")
        host = hosts[0] if len(hosts) == 1 else ""
        ways = self._ways
        if bare_name(host) not in LOOPBACK_NAMES | ways.names():
            return NotLetIn("wrong_name", 421, name=host or "?")
        if not ways.accounts and any(name in _PASSED_ON for name, _ in headers):
            return NotLetIn("passed_on")
        if ways.outside and scope["scheme"] != "https" and scope["path"] not in WATCHED:
            return NotLetIn("not_https")
        own = ways.outside or f"{scope['scheme']}://{host.lower()}"
        origins = _values(headers, b"origin")
        if any(origin.lower() != own for origin in origins):
            return NotLetIn("other_page")
        return _fetched(scope, headers, told=bool(origins))


def _fetched(scope: Scope, headers: list[tuple[bytes, bytes]], *, told: bool) -> NotLetIn | None:
    """What a browser says of who asks, where it does; programs say nothing and are let in.

    To open the page by a link from elsewhere is let in, and nothing else that comes from elsewhere.
    A browser says the Origin of every write, so that one without it and without the other word is
    a program's.
    """
    site = _values(headers, b"sec-fetch-site")
    if not site or set(site) <= {"same-origin", "none"}:
        return None
    opens = (
        scope["method"] in _SAFE
        and _values(headers, b"sec-fetch-mode") == ["navigate"]
        and _values(headers, b"sec-fetch-dest") == ["document"]
        and not scope["path"].startswith("/api")
    )
    return None if opens and not told else NotLetIn("other_page")


def _values(headers: list[tuple[bytes, bytes]], name: bytes) -> list[str]:
    return [value.decode("latin-1").strip() for key, value in headers if key == name]
