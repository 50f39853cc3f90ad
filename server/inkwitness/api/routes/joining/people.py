"""`/people` and `/devices` for the administrator; `/tickets` and `/network` for all signed in."""

import datetime as dt

from fastapi import APIRouter, Request
from pydantic import Field

from inkwitness.access import codes, devices, people
from inkwitness.api.deps import App, Id
from inkwitness.api.guard.roles import ADMINISTRATOR, READERS, SCREENER, SignedIn, may
from inkwitness.api.shapes.access_shapes import (
    Asked,
    CodeOut,
    DeviceOut,
    LinkOut,
    PersonOut,
    accounts,
    code_out,
    device_out,
    link,
    person_out,
    reach_of,
    somebody,
)
from inkwitness.api.shapes.wire import Answer
from inkwitness.errors import BadInput
from inkwitness.records import chain
from inkwitness.records.tables import units as units_table

router = APIRouter(tags=["people"])


class AddPerson(Asked):
    """Somebody new, with at least one role."""

    name: str = Field(max_length=200, examples=["Ines Okparo"])
    roles: list[str] = Field(max_length=10, examples=[["screener"]])


class SetRoles(Asked):
    """Roles in place of those that somebody has."""

    roles: list[str] = Field(max_length=10)


class ForWhom(Asked):
    """Whether the device to join is a tablet that several people use."""

    shared: bool = False


class ForUnit(Asked):
    """The unit that photos sent by the ticket belong to."""

    unit_id: Id


class TicketOut(Answer):
    """A ticket for photos of one unit, over plain http; it reads nothing back."""

    code: str
    ends_at: dt.datetime
    photos: int
    link: LinkOut


class NetworkOut(Answer):
    """How others reach this server, and how a phone comes to trust it."""

    pages: list[LinkOut]
    trust: LinkOut | None = Field(description="where a phone gets our authority, over plain http")
    fingerprint: str = Field(description="SHA-256 of the authority's certificate")


@router.get("/people", openapi_extra=may(ADMINISTRATOR))
def see_people(app: App) -> list[PersonOut]:
    """Everybody with an account."""
    with accounts(app).reading() as conn:
        return [person_out(one) for one in people.everybody(conn)]


@router.post("/people", status_code=201, openapi_extra=may(ADMINISTRATOR))
def add_person(app: App, signed: SignedIn, body: AddPerson) -> PersonOut:
    """Add somebody. They join their own device by a code."""
    with accounts(app).writing() as conn:
        return person_out(
            people.add(conn, body.name, body.roles, app.clock(), by=somebody(signed).person_id)
        )


@router.post("/people/{person_id}/roles", openapi_extra=may(ADMINISTRATOR))
def set_roles(app: App, signed: SignedIn, person_id: Id, body: SetRoles) -> PersonOut:
    """Give somebody other roles, at once. The last administrator stays one."""
    by = somebody(signed).person_id or ""
    with accounts(app).writing() as conn:
        return person_out(people.set_roles(conn, person_id, body.roles, app.clock(), by=by))


@router.post("/people/{person_id}/remove", openapi_extra=may(ADMINISTRATOR))
def remove_person(app: App, signed: SignedIn, person_id: Id) -> list[PersonOut]:
    """Remove somebody; what they did stays under their name. The last administrator stays."""
    with accounts(app).writing() as conn:
        people.remove(conn, person_id, app.clock(), by=somebody(signed).person_id or "")
        return [person_out(one) for one in people.everybody(conn)]


@router.post("/people/{person_id}/join-code", status_code=201, openapi_extra=may(ADMINISTRATOR))
def make_join_code(app: App, request: Request, person_id: Id, body: ForWhom) -> CodeOut:
    """A code by which somebody joins a device: once, within ten minutes."""
    with accounts(app).writing() as conn:
        people.get(conn, person_id)
        code, ends = codes.make(conn, "join", app.clock(), person_id=person_id, shared=body.shared)
    return code_out(app, request, "join", code, ends)


@router.get("/devices", openapi_extra=may(ADMINISTRATOR))
def see_devices(app: App, signed: SignedIn) -> list[DeviceOut]:
    """Every device that is known here, the last seen first."""
    with accounts(app).reading() as conn:
        return [device_out(one, somebody(signed)) for one in devices.known(conn, app.clock())]


@router.post("/devices/{device_id}/revoke", openapi_extra=may(ADMINISTRATOR))
def revoke_device(app: App, signed: SignedIn, device_id: Id) -> list[DeviceOut]:
    """Take a device off: whoever has it is signed out at once."""
    me, now = somebody(signed), app.clock()
    with accounts(app).writing() as conn:
        devices.revoke(conn, device_id, now, by=me.person_id)
        return [device_out(one, me) for one in devices.known(conn, now)]


@router.post("/tickets", status_code=201, openapi_extra=may(SCREENER))
def make_ticket(app: App, request: Request, signed: SignedIn, body: ForUnit) -> TicketOut:
    """A ticket for a phone that does not trust this server: one hour, one unit, photos only."""
    plain = reach_of(app, request).plain
    if not plain:
        raise BadInput("ticket_needs_plain")
    with app.store.database.reading() as conn:
        chain.get(conn, units_table, body.unit_id)
    with accounts(app).writing() as conn:
        code, ends = codes.make(
            conn, "ticket", app.clock(), person_id=somebody(signed).person_id, unit_id=body.unit_id
        )
    return TicketOut(
        code=code,
        ends_at=ends,
        photos=codes.TICKET_USES,
        link=link(f"{plain}/#/ticket/{code}"),
    )


@router.get("/network", openapi_extra=may(*READERS))
def see_network(app: App, request: Request) -> NetworkOut:
    """The addresses of this server as QR codes."""
    found = reach_of(app, request)
    return NetworkOut(
        pages=[link(f"{one}/") for one in found.origins],
        trust=link(f"{found.plain}/") if found.plain else None,
        fingerprint=found.fingerprint,
    )
