"""Changing the list: a file looked at, a proposal kept, accepted, stock judged against it again."""

import datetime as dt
import logging
import time
from typing import Annotated

from fastapi import APIRouter, BackgroundTasks, File, Form, UploadFile
from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, ValidationError

from inkwitness.api.deps import App, Id, Lang, Services, Writer
from inkwitness.api.guard.roles import LIST_KEEPER, READERS, may
from inkwitness.api.routes.lists.list_files import look_at
from inkwitness.api.shapes.holder_shapes import (
    MOST_SHOWN,
    Accept,
    AffectedOut,
    PreviewOut,
    ProblemOut,
    ProposalOut,
    ProposeEntries,
    RecheckOut,
    StockOut,
    changes_out,
    needed,
    proposal_out,
)
from inkwitness.errors import BadInput, BadList, NotFound
from inkwitness.holders.editions import Change
from inkwitness.holders.files import importing, own_json
from inkwitness.holders.files.cells import clean
from inkwitness.holders.files.columns import ColumnMap
from inkwitness.holders.files.importing import Preview
from inkwitness.holders.files.rows import RowRules
from inkwitness.holders.values import HolderList
from inkwitness.photo.served import MAX_BYTES, too_many_bytes
from inkwitness.records import chain, checks, lists
from inkwitness.records.chain import WriteContext
from inkwitness.records.tables import list_editions, list_proposals
from inkwitness.records.trouble import trouble
from inkwitness.use_cases.judged import rechecks
from inkwitness.use_cases.stores.affected import affected

router = APIRouter()
_log = logging.getLogger(__name__)


class _MapText(BaseModel):
    model_config = ConfigDict(extra="forbid")

    columns: dict[str, str] = {}
    fixed: dict[str, str] = {}
    header_row: int | None = Field(None, ge=1)


FileField = Annotated[UploadFile, File(description="CSV, XLSX or JSON exported from here")]
MapField = Annotated[
    str,
    Form(
        alias="mapping",
        description='JSON: {"columns": {field: header or #C}, "fixed": {field: value}, '
        '"header_row": number}',
    ),
]
SheetField = Annotated[str, Form(description="name of the sheet; empty: the first")]


@router.post("/preview", openapi_extra=may(LIST_KEEPER))
def preview(
    app: App, file: FileField, mapping: MapField = "", sheet: SheetField = "", lang: Lang = "en"
) -> PreviewOut:
    """Every problem of a file by row and column, and what it would change. Stores nothing."""
    found, changes = _preview(app, file, mapping, sheet)
    return PreviewOut(
        rows=found.rows,
        entries=len(found.entries),
        header_row=found.header_row,
        headers=list(found.headers),
        columns=dict(found.columns),
        notes=list(found.notes),
        errors=len(found.errors),
        doubts=len(found.doubts),
        problems=[
            ProblemOut(
                row=one.row,
                column=one.column,
                level=one.level,
                message=one.why.said(app.phrases(lang)),
                value=one.value,
            )
            for one in (*found.errors, *found.doubts)[:MOST_SHOWN]
        ],
        difference=changes_out(changes) if changes is not None else None,
    )


@router.post("/proposals", status_code=201, openapi_extra=may(LIST_KEEPER))
def propose_file(
    app: App,
    context: Writer,
    file: FileField,
    proposal_id: Annotated[Id, Form(alias="id", description="UUIDv7 of the proposal")],
    mapping: MapField = "",
    sheet: SheetField = "",
    name: Annotated[str, Form(max_length=200)] = "",
    checked_on: Annotated[str, Form(description="day on which the list was checked")] = "",
    note: Annotated[str, Form(max_length=2000)] = "",
) -> ProposalOut:
    """Keep a file as a proposal for the next edition. Refused where it has an error."""
    found, _ = _preview(app, file, mapping, sheet)
    base = app.holder_list()
    proposed = importing.list_of(
        found,
        name=clean(name) or (base.name if base else "Holders"),
        checked_on=_date(checked_on),
        fictional=False if base is not None and not base.fictional else None,
    )
    return _propose(app, context, proposal_id, proposed, note)


@router.post("/proposals/entries", status_code=201, openapi_extra=may(LIST_KEEPER))
def propose_entries(app: App, context: Writer, body: ProposeEntries) -> ProposalOut:
    """Keep some entries as a proposal: each takes the place of the entry of its number."""
    base = app.holder_list()
    entries = tuple(own_json.entry_of(one.model_dump(mode="json")) for one in body.entries)
    today = app.today()
    for entry in entries:
        if not entry.holder or not entry.scheme:
            raise BadList("entry_incomplete")
        if entry.checked_on is None or not entry.source or not entry.checked_by:
            raise BadList("entry_unsourced", holder=entry.holder)
        if entry.checked_on > today:
            raise BadList("entry_in_future", holder=entry.holder, day=str(entry.checked_on))
    keys = [entry.key for entry in entries]
    if len(set(keys)) < len(keys):
        raise BadList("same_number_twice")
    proposed = HolderList(
        name=clean(body.name) or (base.name if base else "Holders"),
        entries=entries,
        checked_on=body.checked_on or (base.checked_on if base else None),
        fictional=base.fictional if base else all(entry.fictional for entry in entries),
    )
    return _propose(app, context, body.id, proposed, body.note)


@router.get("/proposals", openapi_extra=may(*READERS))
def proposals(app: App) -> list[ProposalOut]:
    """Proposals that can still be accepted, the newest first."""
    with app.store.database.reading() as conn:
        return [proposal_out(one) for one in lists.open_proposals(conn)]


@router.get("/proposals/{proposal_id}", openapi_extra=may(*READERS))
def proposal(app: App, proposal_id: Id) -> ProposalOut:
    """A proposal with its difference from the edition it was made against."""
    with app.store.database.reading() as conn:
        entry = chain.get(conn, list_proposals, proposal_id)
        return proposal_out(entry, lists.changes_of(conn, proposal_id))


@router.post("/proposals/{proposal_id}/accept", status_code=201, openapi_extra=may(LIST_KEEPER))
def accept(
    app: App, context: Writer, background: BackgroundTasks, proposal_id: Id, body: Accept
) -> lists.EditionSummary:
    """Make a proposal the next edition; stock that was confirmed is then judged against it."""
    entry, _ = lists.accept_in(
        app.store.database, body.id, proposal_id, context, two_people=app.two_people
    )
    with app.store.database.reading() as conn:
        made = next(one for one in lists.editions(conn) if one.edition_id == entry.id)
    background.add_task(_recheck, app, entry.id, context)
    return made


@router.get("/editions/{number}/recheck", openapi_extra=may(*READERS))
def recheck_state(app: App, number: int, lang: Lang = "en") -> RecheckOut:
    """How far re-checking is, and the stock whose answer the edition changed."""
    return _recheck_out(app, number, lang)


@router.post("/editions/{number}/recheck", status_code=202, openapi_extra=may(LIST_KEEPER))
def recheck(app: App, context: Writer, background: BackgroundTasks, number: int) -> RecheckOut:
    """Take up re-checking where it stopped, for the edition in force."""
    holder_list = needed(app)
    if holder_list.edition != number:
        raise BadInput("edition_in_force_only", edition=holder_list.edition)
    background.add_task(_recheck, app, _edition_id(app, number), context)
    return _recheck_out(app, number)


def _preview(
    app: Services, file: UploadFile, mapping: str, sheet: str
) -> tuple[Preview, list[Change] | None]:
    data = file.file.read(MAX_BYTES + 1)
    if len(data) > MAX_BYTES:
        raise too_many_bytes("list")
    book = app.rulebook()
    rules = RowRules(
        schemes=[scheme.scheme for scheme in book.schemes], grammars=book.grammars, on=app.today()
    )
    return app.tables.run(look_at, data, _mapping(mapping), sheet or None, rules, app.holder_list())


def _mapping(text: str) -> ColumnMap:
    if not text.strip():
        return ColumnMap()
    try:
        found = TypeAdapter(_MapText).validate_json(text)
    except ValidationError as error:
        first = error.errors()[0]
        raise BadInput("mapping_unusable", why=first["msg"], place=str(first["loc"])) from error
    return ColumnMap(found.columns, found.fixed, found.header_row)


def _propose(
    app: Services, context: WriteContext, id_: str, proposed: HolderList, note: str
) -> ProposalOut:
    entry, _ = lists.propose_in(app.store.database, id_, proposed, context, note=note)
    with app.store.database.reading() as conn:
        return proposal_out(entry, lists.changes_of(conn, id_))


#: Seconds to wait before re-checking is taken up again while the storage gives errors.
WAITS = (0.2, 1.0, 5.0, 20.0, 60.0)


def _recheck(app: Services, edition_id: str, context: WriteContext) -> None:
    """Runs after the answer was sent; what it did is seen in `recheck_state`."""
    for wait in (*WAITS, None):
        try:
            with app.store.database.reading() as conn:
                number = chain.get(conn, list_editions, edition_id).content["edition"]
                holder_list = lists.edition(conn, number)
            rechecks.recheck_all(
                app.store.database,
                app.judge(),
                edition_id,
                holder_list,
                context,
                today=app.today(),
            )
        except Exception as error:
            if trouble(error) is None:
                _log.exception("Re-checking against edition %s stopped", edition_id)
                raise
            if wait is None:
                _log.error("Re-checking against edition %s stopped; take it up", edition_id)
                return
            _log.warning("Re-checking against edition %s waits: %s", edition_id, error)
            time.sleep(wait)
        else:
            return


def _recheck_out(app: Services, number: int, lang: str = "en") -> RecheckOut:
    edition_id = _edition_id(app, number)
    with app.store.database.reading() as conn:
        done = {one.photo_id for one in rechecks.results(conn, edition_id)}
        waiting = [id_ for id_ in checks.confirmed_photos(conn) if id_ not in done]
        changed = rechecks.changed_stock(conn, edition_id)
        whose = [
            one.consignment_id
            for one in changed
            if one.consignment_id is not None and one.result.after[1] != "no_conflict_found"
        ]
        lie = affected(conn, whose)
    say = app.phrases(lang)
    return RecheckOut(
        edition=number,
        done=len(done),
        waiting=len(waiting),
        changed=[
            StockOut(
                unit_id=one.result.unit_id,
                photo_id=one.result.photo_id,
                label=one.label,
                count=one.count,
                consignment_id=one.consignment_id,
                consignment_label=one.consignment_label,
                place=one.place,
                looked_up=one.result.looked_up,
                holder=one.result.holder,
                state_before=one.result.before[0],
                state_after=one.result.after[0],
                outcome_before=one.result.before[1],
                outcome_after=one.result.after[1],
                check_before=one.result.check_before,
                check_after=one.result.check_after,
            )
            for one in changed
        ],
        in_store=[
            AffectedOut(
                consignment_id=one.consignment_id,
                lot=one.lot,
                in_store=one.in_store,
                in_hands=dict(one.in_hands),
                says=one.says(say),
            )
            for one in lie
        ],
    )


def _edition_id(app: Services, number: int) -> str:
    with app.store.database.reading() as conn:
        for one in lists.editions(conn):
            if one.edition == number:
                return one.edition_id
    raise NotFound("no_edition_of_list", number=number)


def _date(text: str) -> dt.date | None:
    try:
        return dt.date.fromisoformat(text) if text else None
    except ValueError as error:
        raise BadInput("bad_checked_on") from error
