"""Who may ask for what: declared beside each route with `may`, enforced in `enforce` alone.

A route that declares nothing is refused to everybody once accounts are on.
"""

from collections.abc import Iterable
from typing import Annotated, Any, Protocol, cast

from fastapi import Depends, Request
from starlette.concurrency import run_in_threadpool
from starlette.types import ASGIApp, Receive, Scope, Send

from inkwitness.access import devices
from inkwitness.access.devices import Signed
from inkwitness.access.errors import NotAllowed, NotSignedIn, one_of
from inkwitness.access.store import note
from inkwitness.api.errors import answer
from inkwitness.consignment.dispositions import Disposition, roles_for
from inkwitness.records.chain import ROLES, Actor
from inkwitness.records.database import Database

SCREENER, LIST_KEEPER, RELEASER, AUDITOR, ADMINISTRATOR = ROLES
READERS = ROLES
# Said of a route that needs no account, because it is how one comes by one.
ANYONE = "anyone"
# The prefix binds the cookie to this host, to https and to the whole site (RFC 6265bis, 4.1.3.2).
COOKIE = "__Host-inkwitness"
_DECLARED = "x-roles"


def may(*roles: str) -> dict[str, Any]:
    """What a route declares as `openapi_extra`: who may ask for it."""
    return {_DECLARED: list(roles)}


class _Services(Protocol):
    access: Database | None

    @property
    def clock(self) -> Any: ...


def who(request: Request) -> Signed | None:
    """Who is signed in on the device that asks; None where accounts are off or it is not known."""
    services = cast(_Services, request.app.state.services)
    token = request.cookies.get(COOKIE, "")
    if services.access is None or not token:
        return None
    now = services.clock()
    with services.access.reading() as conn:
        signed = devices.who(conn, token, now)
        stale = (
            signed is not None
            and signed.person_id is not None
            and devices.needs_noting(conn, signed.device_id, now)
        )
    if signed is not None and stale:
        with services.access.writing() as conn:
            devices.seen(conn, signed.device_id, now)
    return signed


def enforce(request: Request) -> Signed | None:
    """Let a request through to its route, or raise NotSignedIn or NotAllowed."""
    services = cast(_Services, request.app.state.services)
    if services.access is None:
        return None
    declared = (getattr(request.scope["route"], "openapi_extra", None) or {}).get(_DECLARED, [])
    signed = who(request)
    if ANYONE in declared:
        return signed
    if signed is None or signed.person_id is None:
        raise NotSignedIn("not_signed_in")
    try:
        _among(signed.roles, declared)
    except NotAllowed:
        if request.method not in ("GET", "HEAD"):
            _note_refused(services, signed, request)
        raise
    return signed


def _note_refused(services: _Services, signed: Signed, request: Request) -> None:
    """Keep that somebody tried to write what their role does not cover."""
    assert services.access is not None
    with services.access.writing() as conn:
        note(
            conn,
            services.clock(),
            "refused",
            by=signed.person_id,
            about=signed.device_id,
            detail=f"{request.method} {request.url.path[:200]}",
        )


SignedIn = Annotated[Signed | None, Depends(enforce)]


def may_decide(actor: Actor, disposition: Disposition) -> None:
    """Raise NotAllowed where a role does not cover this decision: one route takes them all."""
    _among(actor.roles, roles_for(disposition))


def _among(roles: Iterable[str], declared: Iterable[str]) -> None:
    if set(roles) & set(declared):
        return
    # a route that names no role is nobody's, and a test fails where there is one
    raise NotAllowed("role_not_covering", roles=one_of(declared or ["nobody"]))


class NobodysBody:
    """Refuses a write by nobody before its body is read, so that it cannot fill the disk."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app
        self._open: frozenset[str] | None = None

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http" and await self._refused(scope):
            await answer(NotSignedIn("not_signed_in"), scope)(scope, receive, send)
            return
        await self._app(scope, receive, send)

    async def _refused(self, scope: Scope) -> bool:
        state = scope["app"].state
        reads = scope["method"] in ("GET", "HEAD")
        if reads or not scope["path"].startswith("/api/") or state.services.access is None:
            return False
        if scope["path"] in self._open_paths(scope):
            return False
        signed = await run_in_threadpool(who, Request(scope))
        return signed is None or signed.person_id is None

    def _open_paths(self, scope: Scope) -> frozenset[str]:
        if self._open is None:
            paths: dict[str, dict[str, dict[str, Any]]] = scope["app"].openapi()["paths"]
            self._open = frozenset(
                path
                for path, verbs in paths.items()
                for verb in verbs.values()
                if ANYONE in verb.get(_DECLARED, [])
            )
        return self._open
