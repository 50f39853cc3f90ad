"""`/find`: units and consignments by number, lot, maker, person, day and state, by pages."""

import datetime as dt
from typing import Annotated, Literal

from fastapi import APIRouter, Depends, Query, Response

from inkwitness.api.deps import App, Lang
from inkwitness.api.files import csv_answer
from inkwitness.api.guard.roles import READERS, may
from inkwitness.api.shapes.wire import Answer
from inkwitness.consignment.dispositions import RELEASES
from inkwitness.errors import BadInput
from inkwitness.phrases import Phrases
from inkwitness.records.finding.found import Asked, Found
from inkwitness.reports import stores as sheets

router = APIRouter(prefix="/find", tags=["find"])
FoundState = Literal[
    "conflict",
    "missing",
    "cannot_tell",
    "no_conflict_found",
    "not_read",
    "to_be_confirmed",
    "held",
    "released",
]
#: Rows of an export at most: what is shown, and not the whole of the records.
MOST_EXPORTED = 20_000
_Text = Annotated[str, Query(max_length=100)]


class FoundRow(Answer):
    """One unit or consignment; `says` is how it stands, in words."""

    kind: Literal["unit", "consignment"]
    id: str
    made_at: dt.datetime
    outcome: str
    basis: str
    held: bool
    released: str
    says: str
    consignment_id: str | None
    label: str
    number: str
    maker: str
    lots: list[str]
    people: list[str]
    photo_id: str | None


class FoundPage(Answer):
    """What was found, the newest first; ask on with `before` = `next`.

    `left` units and consignments were not taken up yet: look again in a moment.
    """

    found: list[FoundRow]
    more: bool
    next: str
    left: int


def _asked(
    q: Annotated[str, Query(max_length=200, description="words, each anywhere")] = "",
    number: _Text = "",
    lot: _Text = "",
    maker: Annotated[str, Query(max_length=100, description="holder or supplier")] = "",
    person: Annotated[str, Query(max_length=100, description="who wrote or decided")] = "",
    kind: Literal["unit", "consignment"] | None = None,
    state: FoundState | None = None,
    since: dt.date | None = None,
    until: dt.date | None = None,
) -> Asked:
    if since is not None and until is not None and since > until:
        raise BadInput("since_after_until")
    return Asked(q, number, lot, maker, person, kind, state or "", since, until)


What = Annotated[Asked, Depends(_asked)]


@router.get("", openapi_extra=may(*READERS))
def find_again(
    app: App,
    asked: What,
    limit: Annotated[int, Query(ge=1, le=200)] = 50,
    before: Annotated[str, Query(max_length=100)] = "",
    lang: Lang = "en",
) -> FoundPage:
    """Units and consignments, the newest first; all that is asked must hold."""
    with app.store.database.reading() as conn:
        left = app.finder.catch_up(conn)
    found, more = app.finder.find(asked, limit=limit, before=before)
    say = app.phrases(lang)
    last = found[-1].place if found else ""
    return FoundPage(found=[_out(one, say) for one in found], more=more, next=last, left=left)


@router.get("/list.csv", response_class=Response, openapi_extra=may(*READERS))
def export_found(app: App, asked: What, lang: Lang = "en") -> Response:
    """The same as CSV, 20,000 rows at most; no cell of it can run as a formula."""
    with app.store.database.reading() as conn:
        app.finder.catch_up(conn, seconds=60.0)
    found, _ = app.finder.find(asked, limit=MOST_EXPORTED)
    data = sheets.found_csv(found, lambda one: says(one, app.phrases(lang)))
    return csv_answer(data, "found")


def says(one: Found, say: Phrases) -> str:
    """How a thing stands, in words: a hold first, then a release, then its outcome."""
    if one.held:
        return say("stock.status.held")
    if one.released in RELEASES:
        return say(f"decided.{one.released}")
    told = say(f"state.{one.outcome}") if one.outcome else say("find.not_read")
    return f"{told}, {say('find.to_be_confirmed')}" if one.basis == "reading" else told


def _out(one: Found, say: Phrases) -> FoundRow:
    return FoundRow(
        kind=one.kind,
        id=one.id,
        made_at=one.at,
        outcome=one.outcome,
        basis=one.basis,
        held=one.held,
        released=one.released,
        says=says(one, say),
        consignment_id=one.consignment_id,
        label=one.label,
        number=one.number,
        maker=one.maker,
        lots=list(one.lots),
        people=list(one.people),
        photo_id=one.photo_id,
    )
