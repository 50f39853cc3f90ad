"""Shapes of people, devices and codes on the wire, and what their routes ask first."""

import datetime as dt

from fastapi import Request
from pydantic import BaseModel, ConfigDict, Field

from inkwitness.access import people
from inkwitness.access.devices import Device, Signed
from inkwitness.access.errors import NotSignedIn
from inkwitness.access.people import Person, name_key
from inkwitness.api.deps import Services
from inkwitness.api.shapes.wire import Answer
from inkwitness.errors import BadInput
from inkwitness.network import qr
from inkwitness.network.addresses import Reach
from inkwitness.records.database import Database


class Asked(BaseModel):
    """Base of what is asked: a key that is not known is refused."""

    model_config = ConfigDict(extra="forbid")


class PersonShort(Answer):
    """Somebody's name."""

    person_id: str
    name: str


class PersonOut(PersonShort):
    """Somebody with an account."""

    roles: list[str]
    has_password: bool
    has_pin: bool
    made_at: dt.datetime


class DeviceOut(Answer):
    """A device that is known here; `this` is the one that asks."""

    device_id: str
    label: str
    shared: bool
    person: str = Field(description="who is signed in on it now; empty: nobody")
    joined_by: str
    made_at: dt.datetime
    seen_at: dt.datetime
    this: bool


class LinkOut(Answer):
    """An address and the same as a QR code: rows of 1 (dark) and 0, without the quiet zone."""

    url: str
    qr: list[str]


class CodeOut(Answer):
    """A code, when it ends, and the addresses that hold it; the first stays when others change."""

    code: str
    ends_at: dt.datetime
    links: list[LinkOut]


def accounts(app: Services) -> Database:
    """The database of accounts; raises BadInput where accounts are off."""
    if app.access is None:
        raise BadInput("accounts_off")
    return app.access


def somebody(signed: Signed | None) -> Signed:
    """Who is signed in; raises NotSignedIn where that is nobody."""
    if signed is None or signed.person_id is None:
        raise NotSignedIn("not_signed_in")
    return signed


def person_out(one: Person) -> PersonOut:
    """On the wire."""
    return PersonOut(
        person_id=one.id,
        name=one.name,
        roles=list(one.roles),
        has_password=one.has_password,
        has_pin=one.has_pin,
        made_at=one.made_at,
    )


def device_out(one: Device, me: Signed) -> DeviceOut:
    """On the wire."""
    return DeviceOut(
        device_id=one.id,
        label=one.label,
        shared=one.shared,
        person=one.person,
        joined_by=one.joined_by_name,
        made_at=one.made_at,
        seen_at=one.seen_at,
        this=one.id == me.device_id,
    )


def reach_of(app: Services, request: Request) -> Reach:
    """By which addresses others reach this server: told by whoever started it, else as asked."""
    if app.reach is not None:
        return app.reach()
    return Reach(origins=(f"{request.url.scheme}://{request.headers['host']}",))


def link(url: str) -> LinkOut:
    """An address with its QR code."""
    return LinkOut(url=url, qr=qr.rows(url))


def code_out(app: Services, request: Request, page: str, code: str, ends: dt.datetime) -> CodeOut:
    """A code with its links. It stands after `#`, which browsers send to nobody."""
    origins = reach_of(app, request).origins
    return CodeOut(
        code=code, ends_at=ends, links=[link(f"{one}/#/{page}/{code}") for one in origins]
    )


def of_the_house(app: Services, name: str) -> None:
    """Refuse to name somebody who has no account, where accounts are on; raises BadInput."""
    if not name.strip() or app.access is None:
        return
    with app.access.reading() as conn:
        known = {name_key(one.name) for one in people.everybody(conn)}
    if name_key(name) not in known:
        raise BadInput("assignee_unknown", name=name.strip())
