"""`/bins`: counts of sorted goods without a consignment, and their hand-over."""

import datetime as dt
from typing import Annotated, Literal

from fastapi import APIRouter, Query, Response
from pydantic import BaseModel, ConfigDict, Field

from inkwitness.api.deps import App, Id, Lang, Services, Writer
from inkwitness.api.files import json_answer, pdf_answer
from inkwitness.api.guard.roles import READERS, RELEASER, SCREENER, may
from inkwitness.api.shapes.wire import Answer
from inkwitness.records.integrity.heads import head_of
from inkwitness.reports import pdf
from inkwitness.reports import stores as sheets
from inkwitness.reports.fonts import find_fonts
from inkwitness.use_cases.stores import bins
from inkwitness.use_cases.stores.bins import Bin, SortedGroup, Sorting

router = APIRouter(prefix="/bins", tags=["bins"])
Format = Annotated[Literal["pdf", "json"], Query()]


class PutInBin(BaseModel):
    """A group of identical items for a bin. The phone makes the ids, also without a network."""

    model_config = ConfigDict(extra="forbid")

    id: Id
    sorting_id: Id = Field(description="one table on one day; the device that begins makes it")
    bin: Bin
    count: int = Field(ge=1, le=1_000_000)
    place: str = Field("", max_length=120)
    unit_id: Id | None = Field(None, description="where its photos are; they may come later")


class TakeBack(BaseModel):
    """A group taken back out."""

    model_config = ConfigDict(extra="forbid")

    id: Id
    entry_id: Id


class HandOver(BaseModel):
    """Bins taken over by a competent person, with the counts that stand on the sheet."""

    model_config = ConfigDict(extra="forbid")

    id: Id
    received_by: str = Field(max_length=120)
    words: str = Field("", max_length=2000)
    counts: dict[Bin, int]


class HandedOut(Answer):
    """A hand-over."""

    received_by: str
    words: str
    counts: dict[str, int]
    by: str
    at: dt.datetime


class SortingOut(Answer):
    """One sorting. `late` groups came after a sheet was signed and are on none."""

    sorting_id: str
    place: str
    pieces: int
    counts: dict[str, int]
    groups: list[SortedGroup]
    handed_over: list[HandedOut]
    late: int
    last_at: dt.datetime | None


@router.post("/entries", status_code=201, openapi_extra=may(SCREENER, RELEASER))
def put_in_bin(app: App, context: Writer, body: PutInBin) -> SortingOut:
    """Put a group into a bin. The same again changes nothing."""
    with app.store.database.writing() as conn:
        bins.put(
            conn,
            body.id,
            context,
            sorting_id=body.sorting_id,
            bin_=body.bin,
            count=body.count,
            place=body.place,
            unit_id=body.unit_id,
        )
        return _out(bins.sorting(conn, body.sorting_id))


@router.post("/taken-back", status_code=201, openapi_extra=may(SCREENER, RELEASER))
def take_group_back(app: App, context: Writer, body: TakeBack) -> SortingOut:
    """Take a group back out of its bin. 409 once a sheet with it was signed."""
    with app.store.database.writing() as conn:
        entry, _ = bins.take_back(conn, body.id, body.entry_id, context)
        return _out(bins.sorting(conn, entry.content["sorting_id"]))


@router.get("/sortings", openapi_extra=may(*READERS))
def list_sortings(
    app: App, limit: Annotated[int, Query(ge=1, le=200)] = 50, open_only: bool = False
) -> list[SortingOut]:
    """Sortings, the newest first; `open_only`: those that nobody took over yet."""
    with app.store.database.reading() as conn:
        found = bins.sortings(conn)
    wanted = [one for one in found if not open_only or one.late or not one.handed_over]
    return [_out(one) for one in wanted[:limit]]


@router.get("/sortings/{sorting_id}", openapi_extra=may(*READERS))
def see_sorting(app: App, sorting_id: Id) -> SortingOut:
    """One sorting, with what every device put in; empty while nothing came."""
    with app.store.database.reading() as conn:
        return _out(bins.sorting(conn, sorting_id))


@router.post(
    "/sortings/{sorting_id}/hand-over", status_code=201, openapi_extra=may(SCREENER, RELEASER)
)
def hand_bins_over(app: App, context: Writer, sorting_id: Id, body: HandOver) -> SortingOut:
    """Keep that a competent person took the bins over. 409 where the counts are others now."""
    with app.store.database.writing() as conn:
        bins.hand_over(
            conn,
            body.id,
            sorting_id,
            context,
            received_by=body.received_by,
            words=body.words,
            counts={str(name): count for name, count in body.counts.items()},
        )
        return _out(bins.sorting(conn, sorting_id))


@router.get("/sortings/{sorting_id}/sheet", response_class=Response, openapi_extra=may(*READERS))
def hand_over_sheet(
    app: App,
    sorting_id: Id,
    format: Format = "pdf",  # noqa: A002
    lang: Lang = "en",
) -> Response:
    """The count sheet that goes with the bins, with a line for a signature."""
    with app.store.database.reading() as conn:
        found = bins.sorting(conn, sorting_id)
        head = head_of(conn).head
    sheet = sheets.hand_over_sheet(found, app.clock(), head, app.phrases(lang))
    if format == "json":
        return json_answer(sheet.as_json())
    fonts = find_fonts(app.settings.font, lang)
    return pdf_answer(app.papers.run(pdf.draw, sheet, fonts), "count-sheet")


@router.get(
    "/sortings/{sorting_id}/donor-note", response_class=Response, openapi_extra=may(*READERS)
)
def donor_note(
    app: App,
    sorting_id: Id,
    format: Format = "pdf",  # noqa: A002
    lang: Lang = "en",
) -> Response:
    """A note for whoever brought the goods: thanks, what may happen to them, no promise."""
    return _note(app, sorting_id, format, lang)


def _note(app: Services, sorting_id: str, kind: str, lang: Lang) -> Response:
    say = app.phrases(lang)
    with app.store.database.reading() as conn:
        said = sheets.donor_note(bins.sorting(conn, sorting_id), app.clock(), say)
    if kind == "json":
        return json_answer(said)
    fonts = find_fonts(app.settings.font, lang)
    title = say("donor.title")
    return pdf_answer(
        app.papers.run(pdf.draw_note, title, said, fonts, app.clock(), say), "donor-note"
    )


def _out(found: Sorting) -> SortingOut:
    return SortingOut(
        sorting_id=found.sorting_id,
        place=found.place,
        pieces=found.pieces,
        counts=dict(found.counts),
        groups=list(found.groups),
        handed_over=[
            HandedOut(
                received_by=one.received_by,
                words=one.words,
                counts=dict(one.counts),
                by=one.by,
                at=one.at,
            )
            for one in found.handed_over
        ],
        late=found.late,
        last_at=found.last_at if found.groups or found.handed_over else None,
    )
