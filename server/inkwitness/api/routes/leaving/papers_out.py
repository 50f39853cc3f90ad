"""Labels for goods on hold, and the text of neutral messages: to print or copy, nothing is sent."""

from typing import Annotated, Literal

from fastapi import APIRouter, Query, Request, Response

from inkwitness.api.deps import App, Id, Lang, Services, Writer
from inkwitness.api.files import pdf_answer
from inkwitness.api.guard.roles import READERS, may
from inkwitness.phrases import Language
from inkwitness.reports.fonts import find_fonts
from inkwitness.reports.outgoing import labels, messages
from inkwitness.reports.outgoing.labels import Paper
from inkwitness.reports.outgoing.messages import Addressee
from inkwitness.use_cases import overview

router = APIRouter(prefix="/consignments/{consignment_id}", tags=["what leaves the house"])


@router.get("/labels", response_class=Response, openapi_extra=may(*READERS))
def hold_labels(
    app: App,
    request: Request,
    consignment_id: Id,
    lang: Lang = "en",
    also: Annotated[Language | None, Query(description="a second language beside it")] = None,
    size: Annotated[str, Query(max_length=10, description="a4, a6, 100x50 or mm: 90x60")] = "a6",
    paper: Annotated[Paper, Query(description="pages of its size, or sheets of A4")] = "a4",
    each: Annotated[Literal["one", "carton"], Query(description="one, or one a carton")] = "one",
    contact: Annotated[str, Query(max_length=100)] = "",
) -> Response:
    """Labels for a consignment on hold, as PDF; refused with 409 while no hold is in force."""
    measures = labels.size_of(size)
    with app.store.database.reading() as conn:
        found = overview.of_consignment(conn, consignment_id, app.terms())
    address = f"{_origin(app, request)}/#/consignment/{consignment_id}"
    wanted = labels.labels_of(found, address, app.phrases(lang), each=each, contact=contact)
    languages = [lang] if also is None else [lang, also]
    # the letters of both languages
    fonts = find_fonts(app.settings.font, "hi" if "hi" in languages else lang)
    data = app.papers.run(
        labels.draw_labels, wanted, measures, paper, fonts, languages, app.clock()
    )
    return pdf_answer(data, f"labels-{consignment_id}")


@router.get("/messages/{to}", openapi_extra=may(*READERS))
def see_message(
    app: App,
    context: Writer,
    consignment_id: Id,
    to: Addressee,
    lang: Lang = "en",
    note: Annotated[str, Query(max_length=2000, description="a paragraph of your own")] = "",
    name_supplier: Annotated[
        bool, Query(description="the holder learns who offered the goods")
    ] = False,
) -> messages.Message:
    """The text of a message to copy or print; nothing is sent or written down."""
    with app.store.database.reading() as conn:
        found = overview.of_consignment(conn, consignment_id, app.terms())
        return messages.message(
            conn,
            found,
            app.rulebook(),
            to,
            app.phrases(lang),
            by=context.actor.name,
            on=context.at.date(),
            note=note,
            name_supplier=name_supplier,
        )


def _origin(app: Services, request: Request) -> str:
    return (app.settings.outside or str(request.base_url)).rstrip("/")
