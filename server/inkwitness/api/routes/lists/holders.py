"""`/holders`: the user's list and its editions; proposals and official look-ups beside it."""

from typing import Annotated

from fastapi import APIRouter, Query, Response

from inkwitness.api.deps import App
from inkwitness.api.guard.roles import READERS, may
from inkwitness.api.routes.lists import holder_changes, holder_look_ups
from inkwitness.api.shapes.holder_shapes import (
    ChangesOut,
    EntriesOut,
    ListOut,
    NumberOut,
    changes_out,
    entry_out,
    list_out,
    needed,
)
from inkwitness.holders import match
from inkwitness.holders.editions import difference
from inkwitness.holders.files import exporting
from inkwitness.holders.lookup import entries_of
from inkwitness.holders.search import search
from inkwitness.records import lists

router = APIRouter(prefix="/holders", tags=["holders"])
_KINDS = {
    "csv": "text/csv; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "json": "application/json",
}


@router.get("", openapi_extra=may(*READERS))
def in_force(app: App) -> ListOut | None:
    """The edition in force; null where none was accepted yet."""
    found = app.holder_list()
    return list_out(app, found) if found is not None else None


@router.get("/entries", openapi_extra=may(*READERS))
def entries(
    app: App,
    q: Annotated[str, Query(max_length=200, description="piece of a number, model or name")] = "",
    scheme: str = "",
    status: str = "",
    limit: Annotated[int, Query(ge=1, le=200)] = 20,
    offset: Annotated[int, Query(ge=0)] = 0,
) -> EntriesOut:
    """Search as you type."""
    found = search(needed(app), q, scheme=scheme, status=status, limit=limit, offset=offset)
    return EntriesOut(entries=[entry_out(one) for one in found.entries], total=found.total)


@router.get("/check", openapi_extra=may(*READERS))
def look_up_number(
    app: App,
    number: Annotated[str, Query(min_length=1, max_length=100)],
    scheme: str = "",
) -> NumberOut:
    """The entries of exactly this number, or what is near and not equal."""
    holder_list = needed(app)
    exact = entries_of(holder_list, number, scheme)
    near = (
        ()
        if exact
        else match.near_numbers(number, holder_list, schemes=(scheme,) if scheme else ())
    )
    return NumberOut.model_validate(
        {
            "number": number,
            "entries": [entry_out(one) for one in exact],
            "near": near,
            "list": list_out(app, holder_list),
        }
    )


@router.get("/editions", openapi_extra=may(*READERS))
def editions(app: App) -> list[lists.EditionSummary]:
    """Every edition, the newest first."""
    with app.store.database.reading() as conn:
        return lists.editions(conn)


@router.get("/editions/{number}/export", response_class=Response, openapi_extra=may(*READERS))
def export(
    app: App,
    number: int,
    kind: Annotated[exporting.Format, Query(alias="format")] = "csv",
) -> Response:
    """An edition as a file. No cell of it can run as a formula."""
    with app.store.database.reading() as conn:
        holder_list = lists.edition(conn, number)
    headers = {
        "Content-Disposition": f'attachment; filename="holders-edition-{number}.{kind}"',
        "X-Content-Type-Options": "nosniff",
    }
    data = exporting.export(holder_list, kind)
    return Response(data, media_type=_KINDS[kind], headers=headers)


@router.get("/difference", openapi_extra=may(*READERS))
def editions_differ(
    app: App,
    old: Annotated[int, Query(ge=1)],
    new: Annotated[int, Query(ge=1)],
) -> ChangesOut:
    """What differs between two editions."""
    with app.store.database.reading() as conn:
        before, after = lists.edition(conn, old), lists.edition(conn, new)
    return changes_out(difference(before.entries, after.entries))


router.include_router(holder_changes.router)
router.include_router(holder_look_ups.router)
