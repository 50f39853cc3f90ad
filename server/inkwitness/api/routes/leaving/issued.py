"""Reports that were given to somebody: kept byte for byte, corrected by a later one with a date."""

import json

from fastapi import APIRouter
from pydantic import Field

from inkwitness.api.deps import App, Id, Lang, Services, Writer
from inkwitness.api.guard.roles import RELEASER, SCREENER, may
from inkwitness.api.routes.leaving.shapes import DispatchOut, Given, dispatch_out
from inkwitness.errors import BadInput, Differs
from inkwitness.records import chain
from inkwitness.records.chain import Entry
from inkwitness.records.tables import dispatches as dispatches_table
from inkwitness.reports import pdf
from inkwitness.reports.consignment import Corrects, consignment_report
from inkwitness.reports.fonts import find_fonts
from inkwitness.reports.goods.table import as_csv
from inkwitness.use_cases import dispatches
from inkwitness.use_cases.dispatches import Dispatch, Recipient
from inkwitness.use_cases.look_ups import Attachment

router = APIRouter(tags=["what leaves the house"])


class GiveReport(Given):
    """A report that is given to somebody; with `corrects`, in place of an earlier one."""

    corrects: Id | None = Field(
        None,
        description="the dispatch of the report that this one corrects; `note` says what. Without "
        "`recipients` it goes to those of the earlier one",
    )


@router.post(
    "/consignments/{consignment_id}/reports",
    status_code=201,
    openapi_extra=may(SCREENER, RELEASER),
)
def give_report(
    app: App, context: Writer, consignment_id: Id, body: GiveReport, lang: Lang = "en"
) -> DispatchOut:
    """Make the report of a consignment as it stands, keep it, and write down who was given it."""
    say = app.phrases(lang)
    with app.store.database.reading() as conn:
        if chain.find(conn, dispatches_table, body.id) is not None:
            raise Differs("report_given_before")
        before = chain.get(conn, dispatches_table, body.corrects) if body.corrects else None
        recipients = body.to() or (dispatches.recipients_of(before) if before is not None else ())
        corrects = _corrects(before, body.note, recipients) if before is not None else None
        document = consignment_report(
            conn,
            app.store.files,
            app.rulebook(),
            consignment_id,
            context.at,
            app.terms(),
            app.policy(),
            say,
            corrects,
        )
    fonts = find_fonts(app.settings.font, lang)
    told = json.dumps(document.as_json(), ensure_ascii=False).encode()
    made = (
        ("report.pdf", "application/pdf", app.papers.run(pdf.draw, document, fonts)),
        ("report.json", "application/json", told),
        ("report.csv", "text/csv", as_csv(document, say)),
    )
    given = Dispatch(
        kind="report",
        recipients=recipients,
        on=body.day(context),
        language=lang,
        note=body.note,
        files=tuple(_kept(app, *one) for one in made),
        corrects=body.corrects,
    )
    with app.store.database.writing() as conn:
        entry, _ = dispatches.keep(
            conn, body.id, given, context, app.terms(), consignment_id=consignment_id
        )
    return dispatch_out(entry)


def _corrects(before: Entry, what: str, recipients: tuple[Recipient, ...]) -> Corrects:
    if before.content["kind"] != "report":
        raise BadInput("corrects_no_report")
    if len(what.strip()) < 3:
        raise BadInput("note_missing")
    first = before.content["attachments"][0]
    names = tuple(one.name for one in recipients)
    return Corrects(before.at.date(), first["sha256"], what.strip(), names)


def _kept(app: Services, name: str, media_type: str, data: bytes) -> Attachment:
    return Attachment(app.store.files.keep_sent(data), name, media_type, len(data))
