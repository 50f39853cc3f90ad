"""Reports of units and consignments, as PDF or JSON, and the papers-only view."""

from typing import Annotated, Literal

from fastapi import APIRouter, Query, Response

from inkwitness.api.deps import App, Id, Lang, Services
from inkwitness.api.files import csv_answer, json_answer, pdf_answer
from inkwitness.api.guard.roles import READERS, may
from inkwitness.records import chain, units
from inkwitness.records.tables import units as units_table
from inkwitness.reports import pdf
from inkwitness.reports.consignment import consignment_report
from inkwitness.reports.document import Document
from inkwitness.reports.fonts import find_fonts
from inkwitness.reports.goods.table import as_csv
from inkwitness.reports.papers import papers_needed
from inkwitness.reports.steps import consignment_steps, unit_steps
from inkwitness.reports.unit import unit_report

router = APIRouter(tags=["reports"])

Format = Annotated[Literal["pdf", "json"], Query()]
TableFormat = Annotated[Literal["pdf", "json", "csv"], Query(description="`csv`: marks, findings")]
View = Annotated[
    Literal["full", "papers_only"],
    Query(description="`papers_only` can be shown to a seller: a sentence and papers, no outcome"),
]


@router.get("/units/{unit_id}/report", response_class=Response, openapi_extra=may(*READERS))
def report_unit(
    app: App,
    unit_id: Id,
    format: Format = "pdf",  # noqa: A002
    view: View = "full",
    lang: Lang = "en",
) -> Response:
    """The report of one unit."""
    say = app.phrases(lang)
    with app.store.database.reading() as conn:
        if view == "papers_only":
            chain.get(conn, units_table, unit_id)
            (unit,) = units.summaries(conn, [unit_id])
            papers = papers_needed([unit.scheme], app.rulebook(), say)
            if format == "json":
                return json_answer({"sentence": papers.sentence, "papers": list(papers.papers)})
            fonts = find_fonts(app.settings.font, lang)
            data = app.papers.run(pdf.draw_papers, papers, fonts, app.clock(), say)
            return pdf_answer(data, "papers-needed")
        document = unit_report(conn, app.store.files, app.rulebook(), unit_id, app.clock(), say)
    return _answer(app, document, format, f"unit-{unit_id}")


@router.get(
    "/consignments/{consignment_id}/report", response_class=Response, openapi_extra=may(*READERS)
)
def report_consignment(
    app: App,
    consignment_id: Id,
    format: TableFormat = "pdf",  # noqa: A002
    lang: Lang = "en",
) -> Response:
    """The report of a consignment: one page for the person who decides, then the evidence."""
    say = app.phrases(lang)
    with app.store.database.reading() as conn:
        document = consignment_report(
            conn,
            app.store.files,
            app.rulebook(),
            consignment_id,
            app.clock(),
            app.terms(),
            app.policy(),
            say,
        )
    if format == "csv":
        return csv_answer(as_csv(document, say), f"consignment-{consignment_id}")
    return _answer(app, document, format, f"consignment-{consignment_id}")


@router.get("/units/{unit_id}/next-steps", response_class=Response, openapi_extra=may(*READERS))
def steps_of_unit(
    app: App,
    unit_id: Id,
    format: Format = "pdf",  # noqa: A002
    lang: Lang = "en",
) -> Response:
    """What to do next about one unit, as a list to print."""
    with app.store.database.reading() as conn:
        document = unit_steps(conn, app.rulebook(), unit_id, app.clock(), app.phrases(lang))
    return _answer(app, document, format, f"next-steps-{unit_id}")


@router.get(
    "/consignments/{consignment_id}/next-steps",
    response_class=Response,
    openapi_extra=may(*READERS),
)
def steps_of_consignment(
    app: App,
    consignment_id: Id,
    format: Format = "pdf",  # noqa: A002
    lang: Lang = "en",
) -> Response:
    """What to do next about a consignment: each step once, with the units it is for."""
    with app.store.database.reading() as conn:
        document = consignment_steps(
            conn, app.rulebook(), consignment_id, app.clock(), app.terms(), app.phrases(lang)
        )
    return _answer(app, document, format, f"next-steps-{consignment_id}")


def _answer(app: Services, document: Document, kind: str, name: str) -> Response:
    if kind == "json":
        return json_answer(document.as_json())
    fonts = find_fonts(app.settings.font, document.language)
    return pdf_answer(app.papers.run(pdf.draw, document, fonts), name)
