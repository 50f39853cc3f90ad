"""`/about`: what this server is, what it reads with and what it compares with; and the records."""

import datetime as dt
from typing import get_args

from fastapi import APIRouter
from pydantic import Field

import inkwitness
from inkwitness.api.deps import App, Services
from inkwitness.api.guard.roles import ANYONE, READERS, may
from inkwitness.api.shapes.wire import Answer
from inkwitness.photo.containers import KINDS
from inkwitness.photo.decode import MAX_BYTES, MAX_PIXELS
from inkwitness.phrases import Language
from inkwitness.records.chain import ChainState
from inkwitness.records.integrity.heads import head_of

router = APIRouter(tags=["about"])


class ListInForce(Answer):
    """The edition of the holder list that new checks are compared with."""

    name: str
    edition: int
    checked_on: dt.date | None
    entries: int
    fictional: bool


class Takes(Answer):
    """What is taken: the limits of one photo, and the kinds of picture, decided by content."""

    most_bytes: int = Field(description="of one file, a photo or another")
    most_pixels: int
    photos: list[str] = Field(description="media types")


class About(Answer):
    """Version, rules, readers, list, languages, and what is taken."""

    version: str = Field(examples=["0.1.0"])
    rules_edition: str
    readers: list[str]
    in_force: ListInForce | None = Field(alias="list")
    demo: bool
    languages: list[Language]
    takes: Takes
    caveat: str = "Not proof of authenticity."


class FoundOut(Answer):
    """One thing that is not as it should be."""

    kind: str = Field(examples=["file_changed"])
    table: str
    what: str = Field(description="the id or the row")
    says: str


class Records(Answer):
    """Whether what is kept is as it was written, and the head to keep elsewhere."""

    head: str
    rows_under_head: dict[str, int] = Field(description="rows of each table that has any")
    looked_at: dt.datetime | None = Field(description="when the last look ended; null: not yet")
    looking: bool = Field(description="a look is under way")
    chains: list[ChainState]
    found: list[FoundOut] = Field(description="at most 200; `inkwitness records audit` tells all")
    notes: list[str]


class Alive(Answer):
    """The process runs and answers. Says nothing else."""

    alive: bool = True


@router.get("/alive", openapi_extra=may(ANYONE))
def alive() -> Alive:
    """For whatever looks after the process; needs no name and no account."""
    return Alive()


@router.get("/about", openapi_extra=may(*READERS))
def about(app: App) -> About:
    """What this server is. Nothing here says anything about goods."""
    return About(
        version=inkwitness.__version__,
        rules_edition=app.judge().rules_edition,
        readers=list(app.reader.names),
        list=_in_force(app),
        demo=app.settings.demo,
        languages=list(get_args(Language)),
        takes=Takes(most_bytes=MAX_BYTES, most_pixels=MAX_PIXELS, photos=list(KINDS)),
    )


def _in_force(app: Services) -> ListInForce | None:
    found = app.holder_list()
    if found is None:
        return None
    return ListInForce(
        name=found.name,
        edition=found.edition or 0,
        checked_on=found.checked_on,
        entries=len(found.entries),
        fictional=found.fictional,
    )


@router.get("/records", openapi_extra=may(*READERS))
def records(app: App) -> Records:
    """What looking through every row and file showed, with the rows that came since looked at.

    It shows change after writing; not that it was true.
    """
    state = app.watch.now()
    first = {one.table: one for one in reversed(state.done.found) if one.kind == "row"}
    with app.store.database.reading() as conn:
        head = head_of(conn)
    chains = [
        ChainState(
            table=name,
            rows=mark.rows,
            head=mark.hash,
            broken_at=first[name].seq if name in first else None,
            reason=first[name].says if name in first else "",
        )
        for name, mark in sorted(state.done.marks.items())
    ]
    return Records(
        head=head.head,
        rows_under_head=dict(head.rows),
        looked_at=state.ended,
        looking=state.looking,
        chains=chains,
        found=[
            FoundOut(kind=one.kind, table=one.table, what=one.what, says=one.says)
            for one in state.done.found[:200]
        ],
        notes=state.done.notes,
    )
