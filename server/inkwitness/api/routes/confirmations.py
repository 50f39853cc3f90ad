"""`/confirmations`: a person's word on one mark, and taking it back."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter
from pydantic import BaseModel, ConfigDict, Field
from sqlalchemy import Connection

from inkwitness.api.deps import App, Id, Lang, Services, Writer
from inkwitness.api.guard.roles import READERS, SCREENER, may
from inkwitness.api.shapes.wire import Answer
from inkwitness.check.contract import CheckOut
from inkwitness.check.outward import check_out
from inkwitness.check.protocols import Judge
from inkwitness.check.values import NO_MARKS
from inkwitness.errors import BadInput
from inkwitness.holders.values import HolderList
from inkwitness.records import chain, checks
from inkwitness.records.chain import Entry, WriteContext
from inkwitness.records.tables import photos as photos_table
from inkwitness.use_cases import confirmations
from inkwitness.use_cases.confirmations import From, Said
from inkwitness.use_cases.judged import judging
from inkwitness.use_cases.judged.beforehand import judged_by_list

router = APIRouter(tags=["confirmations"])


class Confirm(BaseModel):
    """What a person says of one mark: what its letters are, what it is, or both.

    `mark_id` is the id that the check gives the mark. A mark that was not read gets an id of the
    sender's own that begins with `added:`. Without an id, `mark` and `occurrence` name it.
    """

    model_config = ConfigDict(
        extra="forbid",
        json_schema_extra={
            "examples": [
                {
                    "id": "019a0b53-0000-7abc-8def-001122334455",
                    "photo_id": "019a0b52-6f00-7d0a-b0f2-6a6d5a5d9a01",
                    "item": 0,
                    "mark_id": "0:3:0-6:manufacturer",
                    "named": "model",
                    "printed": "VX-910",
                    "from": "as_read",
                    "read_as": "VX-910",
                    "supersedes": None,
                }
            ]
        },
    )

    id: Id
    photo_id: Id
    item: int = Field(0, ge=0)
    mark_id: str = Field("", max_length=200, description="the mark, as the check names it")
    mark: str = Field("", max_length=60, description="its name; as in the check where left out")
    named: str = Field(
        "",
        max_length=60,
        description="what the ink is: a mark's name, `other_text` (print that is no mark) or "
        "`not_a_mark` (no print); empty: what it was read as",
    )
    scheme: str = Field("", max_length=60)
    occurrence: int = Field(
        0, ge=0, description="without an id: which of the marks of this name in the item"
    )
    printed: Annotated[str, Field(max_length=500)] | None = Field(
        description="letter for letter; null: it cannot be read"
    )
    come_from: From = Field(alias="from")
    read_as: str = Field("", max_length=500, description="what was read, shown or held back")
    supersedes: Id | None = None


class ConfirmSeveral(BaseModel):
    """What a person says of several marks of one photo in one go: all of it is kept, or none."""

    model_config = ConfigDict(extra="forbid")

    confirmations: list[Confirm] = Field(min_length=1, max_length=100)


class Withdraw(BaseModel):
    """Take a confirmation back."""

    model_config = ConfigDict(extra="forbid")

    id: Id


class Confirmed(Answer):
    """The stored word and the new check; null while the photo is not read yet."""

    confirmation_id: str
    check_id: str | None
    check: CheckOut | None


class ConfirmedSeveral(Answer):
    """The stored words in the order they were sent, and the one new check."""

    confirmation_ids: list[str]
    check_id: str | None
    check: CheckOut | None


class AgreementOut(Answer):
    """Of marks typed before the reading was shown: how many were what had been read."""

    asked: int = Field(examples=[41])
    same: int = Field(examples=[40])
    differed: int = Field(examples=[1])


@router.post("/confirmations", status_code=201, openapi_extra=may(SCREENER))
def confirm(app: App, context: Writer, body: Confirm, lang: Lang = "en") -> Confirmed:
    """Keep a person's word on a mark and judge the photo again. The reading stays as it was."""
    said = _said(app, body)

    def keep(conn: Connection) -> _Kept:
        entry, new = confirmations.keep(conn, body.id, said, context)
        return _Kept((entry.id,), body.photo_id, new)

    return _judged(app, context, keep, "confirmed", lang)[1]


@router.post("/confirmations/several", status_code=201, openapi_extra=may(SCREENER))
def confirm_several(
    app: App, context: Writer, body: ConfirmSeveral, lang: Lang = "en"
) -> ConfirmedSeveral:
    """Keep a person's words on several marks of one photo and judge it once: all words or none."""
    photo_ids = {one.photo_id for one in body.confirmations}
    if len(photo_ids) > 1:
        raise BadInput("several_photos")
    said = [(one.id, _said(app, one)) for one in body.confirmations]
    (photo_id,) = photo_ids

    def keep(conn: Connection) -> _Kept:
        kept = [confirmations.keep(conn, id_, one, context) for id_, one in said]
        return _Kept(tuple(entry.id for entry, _ in kept), photo_id, any(new for _, new in kept))

    ids, judged = _judged(app, context, keep, "confirmed", lang)
    return ConfirmedSeveral(
        confirmation_ids=list(ids), check_id=judged.check_id, check=judged.check
    )


@router.post(
    "/confirmations/{confirmation_id}/withdraw", status_code=201, openapi_extra=may(SCREENER)
)
def withdraw(
    app: App, context: Writer, confirmation_id: Id, body: Withdraw, lang: Lang = "en"
) -> Confirmed:
    """Take a confirmation back: appended, and the photo judged again."""

    def keep(conn: Connection) -> _Kept:
        entry, new = confirmations.withdraw(conn, body.id, confirmation_id, context)
        return _Kept((entry.id,), entry.content["photo_id"], new)

    return _judged(app, context, keep, "withdrawn", lang)[1]


@router.get("/agreement", openapi_extra=may(*READERS))
def see_agreement(app: App) -> AgreementOut:
    """How often people who typed a mark unseen typed what had been read."""
    with app.store.database.reading() as conn:
        found = confirmations.agreement(conn)
    return AgreementOut(asked=found.asked, same=found.same, differed=found.differed)


def _said(app: Services, body: Confirm) -> Said:
    known = app.rulebook().messages().marks
    if body.named and body.named not in NO_MARKS and body.named not in known:
        raise BadInput(
            "no_such_mark_name",
            named=body.named,
            allowed=", ".join((*sorted(known), *sorted(NO_MARKS))),
        )
    return Said(
        photo_id=body.photo_id,
        item=body.item,
        mark=body.mark,
        printed=body.printed,
        come_from=body.come_from,
        read_as=body.read_as,
        scheme=body.scheme,
        occurrence=body.occurrence,
        supersedes=body.supersedes,
        mark_id=body.mark_id,
        named=body.named,
    )


@dataclass(frozen=True, slots=True)
class _Kept:
    """Words as they are kept: their ids, the photo, and whether one of them is new."""

    ids: tuple[str, ...]
    photo_id: str
    new: bool


def _judged(
    app: Services,
    context: WriteContext,
    keep: Callable[[Connection], _Kept],
    why: str,
    lang: str,
) -> tuple[tuple[str, ...], Confirmed]:
    def work(
        conn: Connection, judge: Judge, held: HolderList | None
    ) -> tuple[tuple[str, ...], Entry | None]:
        kept = keep(conn)
        if not kept.new:
            return kept.ids, checks.newest(conn, kept.photo_id)
        today = app.today()
        check = judging.rejudge(conn, kept.photo_id, judge, held, context, today=today, why=why)
        unit_id = chain.get(conn, photos_table, kept.photo_id).content["unit_id"]
        judging.judge_together(conn, unit_id, judge, held, context, why=why)
        return kept.ids, check

    ids, check = judged_by_list(app.store.database, app.judge, app.holder_list, work)
    if check is None:
        return ids, Confirmed(confirmation_id=ids[0], check_id=None, check=None)
    with app.store.database.reading() as conn:
        made = checks.load(conn, check)
    told = check_out(made, app.rulebook(), lang)
    return ids, Confirmed(confirmation_id=ids[0], check_id=check.id, check=told)
