"""`/access`: who is signed in on this device; joining it, signing in, switching names, leaving."""

import datetime as dt
from typing import Annotated

from fastapi import APIRouter, Request, Response
from pydantic import Field
from sqlalchemy import Connection

from inkwitness.access import codes, devices, people, secrets, waits
from inkwitness.access.devices import Signed
from inkwitness.access.errors import NotAllowed, NotSignedIn
from inkwitness.api.deps import App, Id, Services
from inkwitness.api.guard.roles import ANYONE, COOKIE, READERS, SignedIn, may
from inkwitness.api.shapes.access_shapes import (
    Asked,
    CodeOut,
    DeviceOut,
    PersonShort,
    accounts,
    code_out,
    device_out,
    somebody,
)
from inkwitness.api.shapes.wire import Answer
from inkwitness.errors import BadInput, NotFound

router = APIRouter(prefix="/access", tags=["access"])

_LABEL = Field("", max_length=100, description="what the device is called in the list of devices")


class Me(Answer):
    """Who is signed in now."""

    person_id: str
    name: str
    roles: list[str]
    has_password: bool
    has_pin: bool


class AccessOut(Answer):
    """What a page needs to know before all else. Says nothing of people to a device not known."""

    accounts: bool = Field(description="off: one person on this machine alone, with every role")
    first: bool = Field(False, description="nobody has an account yet: use the first link")
    shared: bool = Field(False, description="a known tablet on which people switch by PIN")
    me: Me | None = None
    people: list[PersonShort] = Field([], description="who can switch here, on a shared tablet")
    house: list[str] = Field([], description="names of all who have an account, once signed in")


class First(Asked):
    """Makes the first administrator with the link that the server printed."""

    code: str = Field(max_length=60)
    name: str = Field(max_length=200)
    password: str = Field(max_length=400)
    device: str = _LABEL


class Join(Asked):
    """Joins this device with a code."""

    code: str = Field(max_length=60, examples=["K7QD-9MXA-02CF-T5WZ"])
    device: str = _LABEL


class Password(Asked):
    """Signs in by name and password."""

    name: str = Field(max_length=200)
    password: str = Field(max_length=400)
    device: str = _LABEL


class Switch(Asked):
    """Signs somebody else in on a shared tablet."""

    person_id: Id
    pin: str = Field(max_length=20)


class Secrets(Asked):
    """A new password, a new PIN, or both; `present` is the password in force, if there is one."""

    password: Annotated[str, Field(max_length=400)] | None = None
    pin: Annotated[str, Field(max_length=20)] | None = None
    present: str = Field("", max_length=400)


@router.get("", openapi_extra=may(ANYONE))
def see_access(app: App, signed: SignedIn) -> AccessOut:
    """Whether accounts are on, and who is signed in on the device that asks."""
    return _state(app, signed)


@router.post("/first", status_code=201, openapi_extra=may(ANYONE))
def make_first(
    app: App, signed: SignedIn, request: Request, response: Response, body: First
) -> AccessOut:
    """Make the first administrator, and join this device."""
    store, now = accounts(app), app.clock()
    with store.writing() as conn:
        waits.count(conn, f"code@{_place(request)}", now, free=30)
    with store.writing() as conn:
        codes.use(conn, "first", body.code, now)
        roles = ("screener", "list_keeper", "releaser", "administrator")
        person = people.add(conn, body.name, roles, now, by=None)
        people.keep_password(conn, person.id, body.password, now)
        _forget(conn, signed, now)
        token = devices.join(conn, person.id, body.device, now, by="first")
        waits.forget(conn, f"code@{_place(request)}")
    return _joined(app, response, token)


@router.post("/join", status_code=201, openapi_extra=may(ANYONE))
def join(app: App, signed: SignedIn, request: Request, response: Response, body: Join) -> AccessOut:
    """Join this device with a code that an administrator or oneself made on another one."""
    store, now = accounts(app), app.clock()
    # counted for itself, so that a wrong code stays counted when its transaction is given up
    with store.writing() as conn:
        waits.count(conn, f"code@{_place(request)}", now, free=30)
    with store.writing() as conn:
        code = codes.use(conn, "join", body.code, now)
        assert code.person_id is not None
        person = people.get(conn, code.person_id)
        _forget(conn, signed, now)
        token = devices.join(conn, person.id, body.device, now, by="code", shared=code.shared)
        waits.forget(conn, f"code@{_place(request)}")
    return _joined(app, response, token)


@router.post("/sign-in", status_code=201, openapi_extra=may(ANYONE))
def sign_in(
    app: App, signed: SignedIn, request: Request, response: Response, body: Password
) -> AccessOut:
    """Sign in by name and password. A known device waits by itself, whatever others try."""
    store, now = accounts(app), app.clock()
    place = f"device:{signed.device_id}" if signed is not None else _place(request)
    key = f"password:{people.name_key(body.name)[:100]}@{place}"
    with store.writing() as conn:
        waits.count(conn, f"password@{place}", now, free=30)
        waits.count(conn, key, now)
    with store.reading() as conn:
        person_id, kept = people.secret_of(conn, "password", name=body.name)
    if not secrets.fits(kept, body.password):
        raise NotAllowed("name_or_password_wrong")
    with store.writing() as conn:
        waits.forget(conn, key)
        person = people.get(conn, person_id)
        if signed is not None and signed.shared:
            token = devices.switch(conn, signed.device_id, person.id, now, by="password")
        else:
            _forget(conn, signed, now)
            token = devices.join(conn, person.id, body.device, now, by="password")
    return _joined(app, response, token)


@router.post("/switch", status_code=201, openapi_extra=may(ANYONE))
def switch(app: App, signed: SignedIn, response: Response, body: Switch) -> AccessOut:
    """Sign somebody else in on a shared tablet by their PIN."""
    store, now = accounts(app), app.clock()
    if signed is None:
        raise NotSignedIn("device_not_known")
    if not signed.shared:
        raise NotAllowed("pin_on_shared_only")
    key = f"pin:{body.person_id}@device:{signed.device_id}"
    with store.writing() as conn:
        waits.count(conn, key, now)
    with store.reading() as conn:
        person_id, kept = people.secret_of(conn, "pin", person_id=body.person_id)
    if not secrets.fits(kept, body.pin):
        raise NotAllowed("pin_wrong")
    with store.writing() as conn:
        waits.forget(conn, key)
        token = devices.switch(conn, signed.device_id, person_id, now)
    return _joined(app, response, token)


@router.post("/sign-out", openapi_extra=may(ANYONE))
def sign_out(app: App, signed: SignedIn, response: Response) -> AccessOut:
    """Sign out. A shared tablet stays known; any other device is forgotten."""
    store = accounts(app)
    if signed is not None:
        with store.writing() as conn:
            devices.leave(conn, signed.device_id, app.clock(), by=signed.person_id)
    if signed is None or not signed.shared:
        response.delete_cookie(COOKIE, path="/", secure=True, httponly=True, samesite="strict")
        return _state(app, None)
    left = Signed(signed.device_id, True, None, "", (), signed.by)
    return _state(app, left)


@router.post("/secrets", openapi_extra=may(*READERS))
def keep_secrets(app: App, signed: SignedIn, body: Secrets) -> AccessOut:
    """Set one's own password or PIN. Who has a password gives it, or could be put out by a PIN."""
    store, now, me = accounts(app), app.clock(), somebody(signed)
    key = f"secrets:{me.person_id}@device:{me.device_id}"
    with store.writing() as conn:
        waits.count(conn, key, now)
    with store.reading() as conn:
        _, kept = people.secret_of(conn, "password", person_id=me.person_id or "")
    if kept is not None and not secrets.fits(kept, body.present):
        raise NotAllowed("password_wrong")
    if kept is None and me.by == "pin":
        raise NotAllowed("here_by_pin_secrets")
    if body.password is None and body.pin is None:
        raise BadInput("no_secret_sent")
    with store.writing() as conn:
        waits.forget(conn, key)
        assert me.person_id is not None
        if body.password is not None:
            people.keep_password(conn, me.person_id, body.password, now)
        if body.pin is not None:
            people.keep_pin(conn, me.person_id, body.pin, now)
    return _state(app, me)


@router.post("/join-code", status_code=201, openapi_extra=may(*READERS))
def make_own_code(app: App, request: Request, signed: SignedIn) -> CodeOut:
    """A code to join a further device of one's own. Not from a PIN, which others see typed."""
    store, me = accounts(app), somebody(signed)
    if me.by == "pin":
        raise NotAllowed("here_by_pin_code")
    with store.writing() as conn:
        code, ends = codes.make(conn, "join", app.clock(), person_id=me.person_id)
    return code_out(app, request, "join", code, ends)


@router.get("/devices", openapi_extra=may(*READERS))
def own_devices(app: App, signed: SignedIn) -> list[DeviceOut]:
    """One's own devices."""
    me = somebody(signed)
    with accounts(app).reading() as conn:
        found = devices.known(conn, app.clock(), joined_by=me.person_id or "")
    return [device_out(one, me) for one in found]


@router.post("/devices/{device_id}/revoke", openapi_extra=may(*READERS))
def revoke_own(app: App, signed: SignedIn, device_id: Id) -> list[DeviceOut]:
    """Take one of one's own devices off."""
    me, now = somebody(signed), app.clock()
    with accounts(app).writing() as conn:
        own = [one.id for one in devices.known(conn, now, joined_by=me.person_id or "")]
        if device_id not in own:
            raise NotFound("not_your_device")
        devices.revoke(conn, device_id, now, by=me.person_id)
        found = devices.known(conn, now, joined_by=me.person_id or "")
    return [device_out(one, me) for one in found]


def _place(request: Request) -> str:
    return waits.place(request.client.host if request.client is not None else None)


def _forget(conn: Connection, signed: Signed | None, now: dt.datetime) -> None:
    """End what this browser was before: its cookie is about to be replaced."""
    if signed is not None:
        devices.revoke(conn, signed.device_id, now, by=signed.person_id)


def _joined(app: Services, response: Response, token: str) -> AccessOut:
    response.set_cookie(
        COOKIE,
        token,
        max_age=round(devices.LONGEST.total_seconds()),
        path="/",
        secure=True,
        httponly=True,
        samesite="strict",
    )
    with accounts(app).reading() as conn:
        signed = devices.who(conn, token, app.clock())
    return _state(app, signed)


def _state(app: Services, signed: Signed | None) -> AccessOut:
    if app.access is None:
        return AccessOut(accounts=False)
    me: Me | None = None
    others: list[PersonShort] = []
    house: list[str] = []
    with app.access.reading() as conn:
        first = not people.administrators(conn)
        if signed is not None and signed.person_id is not None:
            person = people.get(conn, signed.person_id)
            me = Me(
                person_id=person.id,
                name=person.name,
                roles=list(signed.roles),
                has_password=person.has_password,
                has_pin=person.has_pin,
            )
            house = [one.name for one in people.everybody(conn)]
        if signed is not None and signed.shared:
            others = [
                PersonShort(person_id=one.id, name=one.name)
                for one in people.everybody(conn)
                if one.has_pin
            ]
    shared = signed is not None and signed.shared
    return AccessOut(accounts=True, first=first, shared=shared, me=me, people=others, house=house)
