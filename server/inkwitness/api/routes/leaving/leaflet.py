"""A leaflet to give with respirators; it speaks of no goods that are kept here."""

from typing import Annotated, Literal

from fastapi import APIRouter, Query, Response

from inkwitness.api.deps import App, Lang
from inkwitness.api.files import json_answer, pdf_answer
from inkwitness.api.guard.roles import READERS, may
from inkwitness.reports import pdf
from inkwitness.reports.fonts import find_fonts
from inkwitness.reports.outgoing.leaflet import leaflet

router = APIRouter(tags=["what leaves the house"])
Format = Annotated[Literal["pdf", "json"], Query()]


@router.get("/leaflet", response_class=Response, openapi_extra=may(*READERS))
def see_leaflet(
    app: App,
    format: Format = "pdf",  # noqa: A002
    lang: Lang = "en",
) -> Response:
    """How a respirator is worn and what it is not for, on one page to print."""
    say = app.phrases(lang)
    title, said = say("leaflet.title"), leaflet(say)
    if format == "json":
        return json_answer({"title": title, "sentences": list(said)})
    fonts = find_fonts(app.settings.font, lang)
    return pdf_answer(
        app.papers.run(pdf.draw_note, title, said, fonts, app.clock(), say), "leaflet"
    )
