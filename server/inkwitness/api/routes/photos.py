"""`/photos`: send a photo, see the copy that may be shown, see a line of print straightened."""

import datetime as dt
from typing import Annotated

from fastapi import APIRouter, File, Form, Path, Query, Response, UploadFile
from pydantic import Field

from inkwitness.api.deps import App, Id, Services, Writer, canonical_id
from inkwitness.api.errors import ErrorOut
from inkwitness.api.guard.roles import READERS, SCREENER, may
from inkwitness.api.room import check_room
from inkwitness.api.shapes.wire import Answer
from inkwitness.errors import BadInput
from inkwitness.jobs import queue as jobs
from inkwitness.jobs.queue import Job
from inkwitness.photo.containers import KINDS_SAID
from inkwitness.photo.decode import MAX_PIXELS
from inkwitness.photo.served import MAX_BYTES, served_copy, smaller, too_many_bytes
from inkwitness.records import chain, checks, removals
from inkwitness.records.chain import WriteContext
from inkwitness.records.tables import photos as photos_table
from inkwitness.use_cases import photos
from inkwitness.use_cases.photos import Sent

router = APIRouter(prefix="/photos", tags=["photos"])

# A photo's bytes never change, but it may hold what is nobody else's business.
_KEEP = {"Cache-Control": "private, max-age=31536000, immutable"}


class PhotoTaken(Answer):
    """The photo is kept and will be read; ask the job how far it is."""

    photo_id: str = Field(examples=["019a0b52-6f00-7d0a-b0f2-6a6d5a5d9a01"])
    unit_id: str = Field(examples=["019a0b52-6e00-7b7b-9c9c-0a1b2c3d4e5f"])
    job_id: str = Field(examples=["019a0b52-6f6e-7c1f-a4a3-0d8e7f3b2c11"])


@router.post(
    "",
    status_code=202,
    responses={
        code: {"model": ErrorOut, "description": why}
        for code, why in (
            (400, "no name in X-Actor"),
            (409, "the id was used before with other content"),
            (413, f"over {MAX_BYTES // 1024**2} MB or {MAX_PIXELS // 10**6} megapixels"),
            (415, f"no {KINDS_SAID} picture"),
            (422, "a field that cannot be used"),
        )
    },
    openapi_extra=may(SCREENER),
)
def send_photo(
    app: App,
    context: Writer,
    file: Annotated[UploadFile, File(description=f"{KINDS_SAID}, decided by content")],
    photo_id: Annotated[Id, Form(alias="id", description="UUIDv7 of the photo")],
    unit_id: Annotated[Id, Form(description="UUIDv7 of the unit; made if new")],
    surface: Annotated[str, Form(examples=["facepiece"])] = "facepiece",
    whole: Annotated[str, Form(examples=["yes"])] = "unknown",
    declared: Annotated[str, Form(description="comma separated", examples=["ear_loops"])] = "",
    told: Annotated[str, Form(description="k=v, comma separated")] = "",
    on: Annotated[str, Form(description="date to check for; by default today")] = "",
    reduced: Annotated[bool, Form(description="a reduced copy; the full one follows")] = False,
    replaces: Annotated[str, Form(description="id of the reduced copy that this replaces")] = "",
    count: Annotated[int, Form(description="number of identical items (a group)")] = 1,
    consignment_id: Annotated[str, Form()] = "",
    label: Annotated[str, Form(max_length=200)] = "",
    retaken: Annotated[
        str,
        Form(
            max_length=2000,
            description="faults of first photos that were taken again, comma separated",
            examples=["blur,glare"],
        ),
    ] = "",
) -> PhotoTaken:
    """Keep a photo and have it read. The same again changes nothing and answers the same job."""
    check_room(app, context.actor.id)
    data = file.file.read(MAX_BYTES + 1)
    if len(data) > MAX_BYTES:
        raise too_many_bytes("photo")
    sent = Sent(
        photo_id=photo_id,
        unit_id=unit_id,
        name=_name(file.filename),
        surface=surface,
        whole=whole,
        declared=_words(declared),
        told=_pairs(told),
        on=_date(on),
        reduced=reduced,
        replaces=_id(replaces, "replaces"),
        count=count,
        label=label.strip(),
        consignment_id=_id(consignment_id, "consignment_id"),
        retaken=_words(retaken),
    )
    job = take(app, sent, data, context)
    return PhotoTaken(photo_id=sent.photo_id, unit_id=unit_id, job_id=job.id)


@router.get("/{photo_id}/picture", response_class=Response, openapi_extra=may(*READERS))
def see_picture(
    app: App,
    photo_id: Id,
    width: Annotated[int | None, Query(ge=16, le=8000, description="no wider than this")] = None,
) -> Response:
    """The photo without metadata; with `width`, upright and no wider than that."""
    with app.store.database.reading() as conn:
        photo = chain.get(conn, photos_table, photo_id).content
        removals.refuse(conn, photo_id)
    data = app.store.files.served(photo["served_sha256"])
    if width is None:
        return Response(data, media_type=photo["served_type"], headers=_KEEP)
    picture, media_type = app.pictures.run(smaller, data, width)
    return Response(picture, media_type=media_type, headers=_KEEP)


@router.get("/{photo_id}/lines/{index}", response_class=Response, openapi_extra=may(*READERS))
def see_line(app: App, photo_id: Id, index: Annotated[int, Path(ge=0, le=9999)]) -> Response:
    """One line of print, straightened, as PNG."""
    with app.store.database.reading() as conn:
        chain.get(conn, photos_table, photo_id)
        removals.refuse(conn, photo_id)
        first = checks.as_read(conn, photo_id)
    reading = first.content["reading_id"] if first is not None else "none"
    return Response(
        app.store.files.line_image(reading, index), media_type="image/png", headers=_KEEP
    )


def take(app: Services, sent: Sent, data: bytes, context: WriteContext) -> Job:
    """Keep a photo, by whichever way it came, and have it read; answers the job that reads it."""
    copy = app.pictures.run(served_copy, data)
    entry, _ = photos.keep(app.store, sent, data, context, copy)
    with app.store.database.reading() as conn:
        job = jobs.of_photo(conn, entry.id)
    if job.state == "waiting":
        app.runner.submit(job)
    return job


def _name(filename: str | None) -> str:
    """The file's own name without any folders, at most 120 letters."""
    return (filename or "photo").replace("\\", "/").rsplit("/", 1)[-1][-120:]


def _words(text: str) -> tuple[str, ...]:
    return tuple(word.strip() for word in text.split(",") if word.strip())


def _pairs(text: str) -> tuple[tuple[str, str], ...]:
    pairs = []
    for word in _words(text):
        key, sign, value = word.partition("=")
        if not sign or not key.strip():
            raise BadInput("bad_told")
        pairs.append((key.strip(), value.strip()))
    return tuple(pairs)


def _date(text: str) -> dt.date | None:
    try:
        return dt.date.fromisoformat(text) if text else None
    except ValueError as error:
        raise BadInput("bad_on") from error


def _id(text: str, field: str) -> str | None:
    try:
        return canonical_id(text) if text else None
    except ValueError as error:
        raise BadInput("field_no_uuid", field=field) from error
