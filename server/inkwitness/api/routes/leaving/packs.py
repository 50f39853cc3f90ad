"""Evidence packs: made when they are asked for, by a named person, and written down."""

from functools import partial

import uuid_utils
from fastapi import APIRouter
from fastapi.responses import FileResponse
from pydantic import Field
from starlette.background import BackgroundTask

from inkwitness.api.deps import App, Id, Lang, Writer
from inkwitness.api.guard.roles import RELEASER, may
from inkwitness.api.routes.leaving.shapes import Given
from inkwitness.errors import Differs
from inkwitness.photo.files import make_folders
from inkwitness.records import chain
from inkwitness.records.tables import dispatches as dispatches_table
from inkwitness.reports import pdf
from inkwitness.reports.fonts import find_fonts
from inkwitness.reports.pack.make import make_pack
from inkwitness.use_cases import dispatches
from inkwitness.use_cases.dispatches import Dispatch
from inkwitness.use_cases.look_ups import Attachment

router = APIRouter(tags=["what leaves the house"])


class MakePack(Given):
    """An evidence pack: to whom it goes, and whether photos as they came go with it."""

    originals: bool = Field(
        False, description="photos as they came, with what their files say of place and device"
    )


@router.post(
    "/consignments/{consignment_id}/packs",
    response_class=FileResponse,
    openapi_extra=may(RELEASER),
)
def make_evidence_pack(
    app: App, context: Writer, consignment_id: Id, body: MakePack, lang: Lang = "en"
) -> FileResponse:
    """Make the evidence pack of a consignment; the zip is answered and its manifest kept.

    The headers X-Seal and X-Dispatch have the seal at the zip's end and the id it is kept under.
    """
    with app.store.database.reading() as conn:
        if chain.find(conn, dispatches_table, body.id) is not None:
            raise Differs("pack_made_before")
    fonts = find_fonts(app.settings.font, lang)
    parts = app.store.files.folder / "parts"
    make_folders(parts, app.store.files.folder)
    out = parts / f"{uuid_utils.uuid7()}.part"
    try:
        with app.store.database.reading() as conn:
            made = make_pack(
                conn,
                app.store.files,
                app.rulebook(),
                consignment_id,
                out,
                app.terms(),
                app.policy(),
                app.phrases(lang),
                lambda document: app.papers.run(pdf.draw, document, fonts),
                by=context.actor.name,
                made_at=context.at,
                originals=body.originals,
            )
        manifest = made.bagged.manifest.encode()
        sha256 = app.store.files.keep_sent(manifest)
        given = Dispatch(
            kind="pack",
            recipients=body.to(),
            on=body.day(context),
            language=lang,
            note=body.note,
            files=(Attachment(sha256, "manifest-sha256.txt", "text/plain", len(manifest)),),
            whole=made.bagged.sha256,
            originals=body.originals,
        )
        with app.store.database.writing() as conn:
            dispatches.keep(
                conn, body.id, given, context, app.terms(), consignment_id=consignment_id
            )
    except BaseException:
        out.unlink(missing_ok=True)
        raise
    headers = {
        "X-Seal": made.bagged.seal,
        "X-Dispatch": body.id,
        "Cache-Control": "no-store",
        # it is compressed already
        "Content-Encoding": "identity",
    }
    return FileResponse(
        out,
        media_type="application/zip",
        filename=made.name,
        headers=headers,
        background=BackgroundTask(partial(out.unlink, missing_ok=True)),
    )
