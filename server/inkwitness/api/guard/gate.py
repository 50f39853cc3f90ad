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

from inkwitness.api.errors import answer
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
        raise BadInput(
            f"`{text}` is no address of a proxy. Write it as people type it, with https and "
            "without a path: https://ink.hospital.example"
        )
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
        status, code, message = refused
        await answer(status, code, message)(scope, receive, send)

    def _look(self, scope: Scope) -> tuple[int, str, str] | None:
        """None to let in; else status, code and sentence."""
        headers = scope["headers"]
        hosts = _values(headers, b"host")
        host = hosts[0] if len(hosts) == 1 else ""
        ways = self._ways
        if bare_name(host) not in LOOPBACK_NAMES | ways.names():
            return (
                421,
                "wrong_name",
                (
                    f"This server does not answer to the name {host or '(none)'}. Open it by the "
                    "address that it printed when it started."
                ),
            )
        if not ways.accounts and any(name in _PASSED_ON for name, _ in headers):
            return (
                403,
                "passed_on",
                (
                    "A proxy passed this request on, and accounts are off: whoever reaches the "
                    "proxy would have every role. Start the server with --accounts."
                ),
            )
        if ways.outside and scope["scheme"] != "https" and scope["path"] not in WATCHED:
            return (
                403,
                "not_https",
                (
                    "This came without https, or from a proxy that is not named. Name the proxy "
                    "with --proxy and have it send X-Forwarded-Proto."
                ),
            )
        own = ways.outside or f"{scope['scheme']}://{host.lower()}"
        origins = _values(headers, b"origin")
        if any(origin.lower() != own for origin in origins):
            return _elsewhere()
        return _fetched(scope, headers, told=bool(origins))


def _fetched(
    scope: Scope, headers: list[tuple[bytes, bytes]], *, told: bool
) -> tuple[int, str, str] | None:
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
    return None if opens and not told else _elsewhere()


def _elsewhere() -> tuple[int, str, str]:
    return (
        403,
        "other_page",
        (
            "A page of another address asked for this, and only Inkwitness's own page may. If you "
            "did not do this yourself, close the other page."
        ),
    )


def _values(headers: list[tuple[bytes, bytes]], name: bytes) -> list[str]:
    return [value.decode("latin-1").strip() for key, value in headers if key == name]
