"""The plain http side of `--network`: our authority to trust, and photos by a ticket. No more.

Everybody on the same network can read along here. So there is no sign-in, no cookie and nothing to
read back; a ticket lets photos in, to one unit, for an hour.
"""

from collections.abc import Callable

from fastapi import FastAPI, Request, Response
from fastapi.responses import FileResponse, PlainTextResponse
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile

import inkwitness
from inkwitness.access import codes, people, waits
from inkwitness.access.errors import NotAllowed
from inkwitness.api import errors
from inkwitness.api.deps import Services, canonical_id
from inkwitness.api.guard import gate
from inkwitness.api.guard.limits import InTurn, LimitBody
from inkwitness.api.guard.roles import SCREENER
from inkwitness.api.room import check_room
from inkwitness.api.routes.photos import take
from inkwitness.api.settings import Settings
from inkwitness.api.shapes.wire import Answer
from inkwitness.errors import BadInput, NotFound
from inkwitness.network.addresses import Reach
from inkwitness.photo.served import MAX_BYTES, too_many_bytes
from inkwitness.records.chain import Actor, WriteContext
from inkwitness.use_cases.photos import Sent

# No other site's script, no frame round it, nothing kept in a browser that is not signed in.
_HEADERS = {
    "Content-Security-Policy": "default-src 'self'; img-src 'self' data: blob:; "
    "style-src 'self' 'unsafe-inline'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
}


class PlainOut(Answer):
    """Where the page is over https, and how to tell our authority from another's."""

    pages: list[str]
    fingerprint: str


class Kept(Answer):
    """The photo is kept. What is read in it is seen on the page, after signing in."""

    kept: bool = True


def create_plain_app(
    settings: Settings,
    root: Callable[[], bytes],
    reach: Callable[[], Reach],
    names: Callable[[], set[str]],
    services: Callable[[], Services],
) -> FastAPI:
    """The application of the plain http port. `root` answers the authority's certificate (PEM)."""
    app = FastAPI(openapi_url=None, docs_url=None, redoc_url=None)
    errors.install(app)
    app.add_middleware(LimitBody)
    app.add_middleware(InTurn)
    app.add_middleware(gate.Gate, ways=gate.Ways(names=lambda: frozenset(names()), accounts=True))
    folder = settings.web or inkwitness.shipped_folder("page")

    @app.middleware("http")
    async def guarded(request: Request, call_next: Callable[[Request], object]) -> Response:
        answer: Response = await call_next(request)  # type: ignore[misc]
        answer.headers.update(_HEADERS)
        return answer

    @app.get("/", response_model=None)
    def door() -> Response:
        page = folder / "door.html"
        if not page.is_file():
            return PlainTextResponse("The page is not built. Run `make setup`.\n", 503)
        return FileResponse(page)

    @app.get("/{name}", response_model=None)
    def file(name: str) -> Response:
        if name not in ("early.js", "mark.svg"):
            raise NotFound("no_address", path=f"/{name}")
        return FileResponse(folder / name)

    @app.get("/assets/{name}", response_model=None)
    def asset(name: str) -> Response:
        path = folder / "assets" / name
        if "/" in name or name.startswith(".") or not path.is_file():
            raise NotFound("no_address", path=f"/assets/{name}")
        return FileResponse(path)

    @app.get("/plain/about")
    def about() -> PlainOut:
        now = reach()
        return PlainOut(pages=[f"{one}/" for one in now.origins], fingerprint=now.fingerprint)

    @app.get("/plain/inkwitness-authority.crt", response_model=None)
    def authority() -> Response:
        return Response(root(), media_type="application/x-x509-ca-cert")

    @app.post("/plain/photos", status_code=202)
    async def send(request: Request) -> Kept:
        open_ = services()
        actor, unit = await run_in_threadpool(_ticket, open_, request)
        await run_in_threadpool(check_room, open_, actor.id)
        # only now is the body read: without a ticket nothing comes in
        async with request.form(max_files=1, max_fields=10) as form:
            file = form.get("file")
            if not isinstance(file, UploadFile):
                raise BadInput("file_missing")
            data = await file.read(MAX_BYTES + 1)
            said = {key: str(form.get(key, "")) for key in ("id", "surface", "whole")}
        await run_in_threadpool(_keep, open_, actor, unit, said, data)
        return Kept()

    return app


def _ticket(services: Services, request: Request) -> tuple[Actor, str]:
    """Whose ticket it is and for which unit; raises NotAllowed."""
    assert services.access is not None
    now = services.clock()
    where = f"ticket@{waits.place(request.client.host if request.client is not None else None)}"
    with services.access.writing() as conn:
        waits.count(conn, where, now, free=30)
    with services.access.writing() as conn:
        code = codes.use(conn, "ticket", request.headers.get("X-Ticket", ""), now)
        assert code.person_id is not None
        assert code.unit_id is not None
        person = people.get(conn, code.person_id)
        if SCREENER not in person.roles:
            raise NotAllowed("ticket_of_no_screener")
        waits.forget(conn, where)
    # whoever holds the ticket sends; the name says whose ticket, and that it was one
    return Actor(f"ticket:{code.id}", f"{person.name} (ticket)", (SCREENER,)), code.unit_id


def _keep(
    services: Services, actor: Actor, unit_id: str, said: dict[str, str], data: bytes
) -> None:
    if len(data) > MAX_BYTES:
        raise too_many_bytes("photo")
    try:
        photo_id = canonical_id(said["id"])
    except ValueError as error:
        raise BadInput("field_no_uuid", field="id") from error
    sent = Sent(
        photo_id=photo_id,
        unit_id=unit_id,
        name="photo",
        surface=said["surface"] or "facepiece",
        whole=said["whole"] or "unknown",
        declared=(),
        told=(),
        on=None,
        reduced=False,
        replaces=None,
        count=1,
        label="",
        consignment_id=None,
    )
    context = WriteContext(actor, services.clock())
    take(services, sent, data, context)
