"""`/checks`: one stored check."""

from fastapi import APIRouter

from inkwitness.api.deps import App, Id, Lang
from inkwitness.api.guard.roles import READERS, may
from inkwitness.api.shapes.wire import CheckRecord, check_record
from inkwitness.check.outward import check_out
from inkwitness.records import chain, checks
from inkwitness.records.tables import checks as checks_table
from inkwitness.records.tables import photos as photos_table

router = APIRouter(prefix="/checks", tags=["checks"])


class CheckOfUnit(CheckRecord):
    """A stored check and the unit it belongs to."""

    unit_id: str


@router.get("/{check_id}", openapi_extra=may(*READERS))
def see_check(app: App, check_id: Id, lang: Lang = "en") -> CheckOfUnit:
    """A check as it was made; a newer one may stand beside it."""
    with app.store.database.reading() as conn:
        entry = chain.get(conn, checks_table, check_id)
        unit_id = chain.get(conn, photos_table, entry.content["photo_id"]).content["unit_id"]
        check = checks.load(conn, entry)
    record = check_record(entry, check_out(check, app.rulebook(), lang))
    return CheckOfUnit(**dict(record), unit_id=unit_id)
