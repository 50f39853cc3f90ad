"""Connections that say nothing, or too little for too long, are closed; nobody gets too many.

The server's own limits begin with a whole request. Here a limit is set on the time until one is
there, and on how many connections stand open at once, in all and from one address. Over TLS both
begin before the handshake: the server's library would call the rest only after it.
"""

import asyncio
import ipaddress
import logging
import ssl
import time
from asyncio.sslproto import SSLProtocol
from collections import Counter
from collections.abc import Callable, Sequence
from typing import Any

from uvicorn.protocols.http.h11_impl import H11Protocol

#: Below the 1,024 open files that a process has by default, with room for database and photos.
MOST_CONNECTIONS = 400
#: A browser opens 6 (common practice); behind one router several people may sit.
MOST_OF_ONE_ADDRESS = 100
#: Seconds until the head of a request is there whole, and between two pieces of its body.
HEAD_SECONDS = 15.0
BODY_SECONDS = 60.0
#: Seconds until a body is there whole: 25 MB at 42 kB a second.
WHOLE_BODY_SECONDS = 600.0
#: An answer that waits to be taken is given up where less than this is taken of it meanwhile: what
#: the event loop writes between two of its own marks (asyncio, `set_write_buffer_limits`).
DRAIN_SECONDS, LEAST_TAKEN = 60.0, 48 * 1024
_open: "Counter[str]" = Counter()
Network = ipaddress.IPv4Network | ipaddress.IPv6Network


def _let_in(transport: asyncio.BaseTransport, proxies: Sequence[Network] = ()) -> str:
    """Count a connection that was just made; answers its address, or nothing where it is refused.

    The transport is then aborted. What is counted here is given back with `_gone`.
    """
    peer = transport.get_extra_info("peername")
    address = str(peer[0]) if isinstance(peer, tuple) else "local"
    many = _open[address] >= MOST_OF_ONE_ADDRESS and not _is_one_of(address, proxies)
    if many or _open.total() >= MOST_CONNECTIONS:
        assert isinstance(transport, asyncio.Transport)
        transport.abort()
        return ""
    _open[address] += 1
    return address


def _gone(address: str) -> None:
    _open[address] -= 1
    if not _open[address]:
        del _open[address]


def _is_one_of(address: str, proxies: Sequence[Network]) -> bool:
    return any(ipaddress.ip_address(address) in one for one in proxies)


class CarefulProtocol(H11Protocol):
    """HTTP/1.1 with limits on silence and on the number of connections."""

    #: Proxies in front: each of their connections is somebody else's, so only the whole counts.
    proxies: tuple[Network, ...] = ()
    #: Off where another layer has counted the connection before.
    counts = True
    _address = ""
    _timer: asyncio.TimerHandle | None = None
    _drain: asyncio.TimerHandle | None = None
    _body_until = 0.0
    _unsent = 0
    _taken = False

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        self._address = _let_in(transport, self.proxies) if self.counts else "counted before"
        if not self._address:
            return
        super().connection_made(transport)
        self._wait(HEAD_SECONDS)

    def connection_lost(self, exc: Exception | None) -> None:
        if not self._address:  # it was never let in
            return
        if self.counts:
            _gone(self._address)
        self._address = ""
        self._rest()
        if self._drain is not None:
            self._drain.cancel()
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        if not self._address:
            return
        had = self.cycle
        super().data_received(data)
        cycle = self.cycle
        if cycle is None or (cycle is had and cycle.response_complete):
            # the head of a request, the first one or a later one, that is not there whole
            if self._timer is None:
                self._wait(HEAD_SECONDS)
        elif cycle.more_body:
            now = self.loop.time()
            if cycle is not had:
                self._body_until = now + WHOLE_BODY_SECONDS
            self._wait(min(BODY_SECONDS, self._body_until - now))
        else:
            self._rest()

    def on_response_complete(self) -> None:
        super().on_response_complete()
        self._watch_drain()
        # the next request of this connection: silence is ended by the server's own limit
        self._rest()

    def pause_writing(self) -> None:
        super().pause_writing()
        self._watch_drain()

    def resume_writing(self) -> None:
        self._taken = True
        super().resume_writing()

    def _watch_drain(self) -> None:
        self._unsent = self._left()
        self._taken = False
        if self._drain is None and self._unsent:
            self._drain = self.loop.call_later(DRAIN_SECONDS, self._look_at_drain)

    def _look_at_drain(self) -> None:
        """Close what holds an answer and does not take it."""
        self._drain = None
        left = self._left()
        if left and not self._taken and self._unsent - left < LEAST_TAKEN:
            self.transport.abort()
        else:
            self._watch_drain()

    def _left(self) -> int:
        return self.transport.get_write_buffer_size() if self.transport is not None else 0

    def _wait(self, seconds: float) -> None:
        self._rest()
        self._timer = self.loop.call_later(seconds, self._too_late)

    def _rest(self) -> None:
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None

    def _too_late(self) -> None:
        self._timer = None
        if self.transport is not None and not self.transport.is_closing():
            self.transport.abort()


def behind(proxies: Sequence[str]) -> type[CarefulProtocol]:
    """The same for a server behind these proxies (addresses or networks)."""
    named = tuple(ipaddress.ip_network(one) for one in proxies)
    return type("CarefulBehindProxy", (CarefulProtocol,), {"proxies": named})


class _CarefulTls(SSLProtocol):
    """TLS of a server whose connections are counted from the first and shake hands in time."""

    def __init__(
        self, loop: asyncio.AbstractEventLoop, inner: asyncio.Protocol, context: ssl.SSLContext
    ) -> None:
        # nobody waits for the end of a handshake; the stubs know neither that nor parts of seconds
        super().__init__(
            loop,
            inner,
            context,
            None,  # type: ignore[arg-type]
            server_side=True,
            ssl_handshake_timeout=HEAD_SECONDS,  # type: ignore[arg-type]
        )
        self._address = ""

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        self._address = _let_in(transport)
        if self._address:
            super().connection_made(transport)

    def connection_lost(self, exc: BaseException | None) -> None:
        if self._address:
            _gone(self._address)
            self._address = ""
        super().connection_lost(exc)


def over_tls(context: ssl.SSLContext) -> Callable[..., asyncio.BaseProtocol]:
    """What a server makes for each connection, instead of its own TLS."""
    inner = type("CarefulOverTls", (CarefulProtocol,), {"counts": False})

    def make(**more: Any) -> asyncio.BaseProtocol:
        return _CarefulTls(asyncio.get_running_loop(), inner(**more), context)

    return make


class FewLines(logging.Filter):
    """Lets through so many lines a minute and says how many it left out: a log fills no disk."""

    def __init__(self, lines_a_minute: int = 120) -> None:
        super().__init__()
        self._most = lines_a_minute
        self._since = time.monotonic()
        self._seen = 0

    def filter(self, record: logging.LogRecord) -> bool:
        now = time.monotonic()
        if now - self._since >= 60:
            left_out, self._since, self._seen = self._seen - self._most, now, 0
            if left_out > 0:
                record.msg = f"({left_out} lines were left out before) {record.msg}"
        self._seen += 1
        return self._seen <= self._most


def log_settings(file: str = "") -> dict[str, Any]:
    """How the server logs: warnings, time first, at most 120 lines a minute; to stderr or a file.

    A file is kept below 10 MB, with two older ones beside it.
    """
    handler: dict[str, Any] = {"class": "logging.StreamHandler", "stream": "ext://sys.stderr"}
    if file:
        handler = {
            "class": "logging.handlers.RotatingFileHandler",
            "filename": file,
            "maxBytes": 10_000_000,
            "backupCount": 2,
            "encoding": "utf-8",
        }
    handler |= {"formatter": "plain", "filters": ["few"]}
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {"plain": {"format": "%(asctime)s %(levelname)s %(name)s: %(message)s"}},
        "filters": {"few": {"()": FewLines}},
        "handlers": {"out": handler},
        "root": {"handlers": ["out"], "level": "WARNING"},
    }
