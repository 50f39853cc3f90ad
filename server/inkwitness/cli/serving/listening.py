"""How the server listens: on this machine alone, in the room, behind a proxy; what is refused."""

import asyncio
import contextlib
import datetime as dt
import ipaddress
import socket
import sys
import threading
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import uvicorn
from uvicorn.config import STARTUP_FAILURE

from inkwitness.access import codes, people
from inkwitness.access.store import open_access
from inkwitness.api.app import create_app
from inkwitness.api.guard.connections import (
    MOST_CONNECTIONS,
    CarefulProtocol,
    behind,
    log_settings,
    over_tls,
)
from inkwitness.api.guard.gate import is_loopback, outside_origin
from inkwitness.api.routes.joining.plain import create_plain_app
from inkwitness.api.settings import Settings
from inkwitness.cli.speaking import told
from inkwitness.errors import BadInput
from inkwitness.network import qr
from inkwitness.network.addresses import Reach
from inkwitness.network.authority import root_pem
from inkwitness.network.room import Room
from inkwitness.records.store import refuse_if_taken

LOOPBACK = "127.0.0.1"
# How often the addresses of this machine are looked at.
_LOOK_EVERY = 10.0


@dataclass(frozen=True, slots=True)
class How:
    """What was asked on the command line, looked at and found possible."""

    host: str
    port: int
    network: bool
    accounts: bool
    outside: str
    proxies: tuple[str, ...]

    @property
    def plain_port(self) -> int:
        return self.port + 1

    @property
    def own_port(self) -> int:
        return self.port + 2


def choose(
    host: str, port: int, *, network: bool, accounts: bool, outside: str, proxies: list[str]
) -> How:
    """How the server is to listen; raises BadInput where others would reach it unguarded."""
    if network and (outside or proxies or host):
        raise BadInput("network_alone")
    if network:
        return How("0.0.0.0", port, True, True, "", ())
    host = host or LOOPBACK
    for proxy in proxies:
        _look_at_proxy(proxy)
    if bool(outside) != bool(proxies):
        raise BadInput("outside_and_proxy")
    accounts = accounts or bool(outside)
    if not accounts and not is_loopback(host):
        raise BadInput("host_without_accounts", host=host)
    if not outside and not is_loopback(host):
        raise BadInput("host_without_https", host=host)
    known_as = outside_origin(outside) if outside else ""
    return How(host, port, False, accounts, known_as, tuple(proxies))


def _look_at_proxy(proxy: str) -> None:
    try:
        network = ipaddress.ip_network(proxy)
    except ValueError as error:
        raise BadInput("proxy_no_address", proxy=proxy) from error
    if network.prefixlen < (8 if network.version == 4 else 32):
        raise BadInput("proxy_too_many", proxy=proxy)


def listen(settings: Settings, how: How, log: str = "") -> None:
    """Serve until it is stopped; `log` is the file for the log, empty for stderr.

    Raises StorageTrouble where another server has the data folder.
    """
    refuse_if_taken(settings.data)
    if how.network:
        _in_the_room(settings, how, log)
        return
    reach = (lambda: Reach((how.outside,))) if how.outside else None
    address = how.outside or f"http://{how.host}:{how.port}"

    def say() -> None:
        if how.accounts:
            _first_link(settings.data, address)
        print(told("at", address=address), flush=True)
        if not how.accounts:
            print(told("accounts_off"), flush=True)

    app = create_app(settings, reach=reach, opened=say)
    config = _config(app, how.host, how.port, log_settings(log))
    if how.proxies:
        config.proxy_headers = True
        config.forwarded_allow_ips = list(how.proxies)
        config.http = behind(how.proxies)
    _run(config, [])


def first_link(folder: Path, address: str, now: dt.datetime) -> str:
    """A link that makes an administrator, good once and for a day; ends any older one."""
    store = open_access(folder)
    try:
        with store.writing() as conn:
            code, _ = codes.make(conn, "first", now)
    finally:
        store.close()
    return f"{address}/#/first/{code}"


def _first_link(folder: Path, address: str) -> None:
    """Print the first link once: only while nobody has an account.

    Only for whoever has the data folder alone: a new link ends the one that another server printed.
    """
    store = open_access(folder)
    try:
        with store.reading() as conn:
            there = bool(people.administrators(conn))
    finally:
        store.close()
    if not there:
        link = first_link(folder, address, dt.datetime.now(dt.UTC))
        print(f"{told('first_link')}\n  {link}\n")


def _in_the_room(settings: Settings, how: How, log: str) -> None:
    room = Room(
        settings.data / "network",
        how.port,
        how.plain_port,
        clock=lambda: dt.datetime.now(dt.UTC),
    )
    app = create_app(
        settings, names=room.names, reach=room.reach, opened=lambda: _say(settings, how, room)
    )
    plain = create_plain_app(
        settings,
        lambda: root_pem(room.authority),
        room.reach,
        room.names,
        lambda: app.state.services,
    )
    config = _config(app, how.host, how.port, log_settings(log))
    config.ssl_certfile = str(room.authority.chain_file)
    config.ssl_keyfile = str(room.authority.key_file)
    config.load()
    context = config.ssl
    assert context is not None
    config.http_protocol_class = over_tls(context)  # type: ignore[assignment]
    config.ssl = None  # or its handshakes would be nobody's until they end
    # This machine itself needs no certificate: http on loopback is as safe for a browser. The
    # application is the same one, opened and closed by the server above.
    own = _config(app, LOOPBACK, how.own_port)
    own.lifespan = "off"
    others = [_Beside(own), _Beside(_config(plain, how.host, how.plain_port))]
    stopping = threading.Event()

    def watch() -> None:
        while not stopping.wait(_LOOK_EVERY):
            if room.look():
                context.load_cert_chain(room.authority.chain_file, room.authority.key_file)

    looking = threading.Thread(target=watch, daemon=True)
    looking.start()
    try:
        _run(config, others)
    finally:
        stopping.set()
        looking.join(timeout=15)
        room.close()


class _Beside(uvicorn.Server):
    """A server that starts and stops with another one, which hears the signals."""

    @contextlib.contextmanager
    def capture_signals(self) -> Iterator[None]:
        yield


class _First(uvicorn.Server):
    """Opens and closes the application; the others answer only while it is open.

    All are in one loop: what is counted and waited for is so over all ports together.
    """

    def __init__(self, config: uvicorn.Config, others: list[_Beside]) -> None:
        super().__init__(config)
        self._others = others
        self._beside: list[asyncio.Task[None]] = []

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        self._beside = [asyncio.create_task(one.serve()) for one in self._others]

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        for one in self._others:
            one.should_exit = True
        await asyncio.gather(*self._beside)
        await super().shutdown(sockets)


def _run(config: uvicorn.Config, others: list[_Beside]) -> None:
    """Serve until stopped. Exits with uvicorn's code 3 where it could not start."""
    server = _First(config, others)
    # stopped by the keyboard it has ended in order, as it was asked to
    with contextlib.suppress(KeyboardInterrupt):
        server.run()
    if not server.started:
        sys.exit(STARTUP_FAILURE)


def _say(settings: Settings, how: How, room: Room) -> None:
    own = f"http://{LOOPBACK}:{how.own_port}"
    _first_link(settings.data, own)
    reach = room.reach()
    keys = ("on_this_machine", "in_the_room", "phone_starts")
    here, room_at, phone_at = (told(key) for key in keys)
    wide = max(len(here), len(room_at), len(phone_at))
    print(f"{here:{wide}} {own}/")
    for origin in reach.origins:
        print(f"{room_at:{wide}} {origin}/")
    if reach.plain:
        print(f"{phone_at:{wide}} {reach.plain}/")
        print(qr.for_terminal(f"{reach.plain}/"))
    else:
        print(told("no_network"))
    print(told("authority"))
    print(f"  {reach.fingerprint[:47]}\n  {reach.fingerprint[48:]}")
    if room.made_now:
        print(told("authority_new"))
    print(told("authority_ends", day=f"{room.authority.ends():%Y-%m-%d}"), flush=True)


def _config(app: object, host: str, port: int, log: dict[str, Any] | None = None) -> uvicorn.Config:
    # proxy headers are believed from nobody unless named: the library's own default is loopback
    return uvicorn.Config(
        app,  # type: ignore[arg-type]
        host=host,
        port=port,
        http=CarefulProtocol,
        log_config=log,
        log_level="warning",
        access_log=False,
        proxy_headers=False,
        server_header=False,
        limit_concurrency=MOST_CONNECTIONS,
        timeout_keep_alive=15,
        timeout_graceful_shutdown=30,
        h11_max_incomplete_event_size=32 * 1024,
    )
