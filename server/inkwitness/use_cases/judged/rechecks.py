"""A new edition of the list: every confirmed photo judged against it, results added, never changed.

Each result stands beside the one before it with its own date; `changed` says where they differ, and
in which consignment that stock is.
"""

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from sqlalchemy import Connection, select

from inkwitness.check.protocols import Judge
from inkwitness.check.values import Judgement, UnitJudgement
from inkwitness.holders.values import HolderList, HolderMatch
from inkwitness.records import chain, checks, units
from inkwitness.records.chain import Entry, WriteContext
from inkwitness.records.database import Database, slices
from inkwitness.records.store import new_id
from inkwitness.records.tables import (
    consignments,
    list_editions,
    list_rechecks,
    photos,
    unit_checks,
)
from inkwitness.use_cases.judged import judging
from inkwitness.use_cases.judged.beforehand import judged

# A slice is one transaction; what it judges is judged before, without the lock.
_AT_ONCE = 10


@dataclass(frozen=True, slots=True)
class Rechecked:
    """One photo judged again. `before` and `after` are list state and outcome.

    `changed` where these, the entry's status, or what was said of any field differ.
    """

    photo_id: str
    unit_id: str
    check_before: str
    check_after: str
    before: tuple[str, str]
    after: tuple[str, str]
    holder: str
    looked_up: str
    changed: bool


@dataclass(frozen=True, slots=True)
class ChangedStock:
    """Stock whose answer changed, and where it is."""

    result: Rechecked
    label: str
    count: int
    consignment_id: str | None
    consignment_label: str
    place: str


def recheck_all(
    database: Database,
    judge: Judge,
    edition_id: str,
    holder_list: HolderList,
    context: WriteContext,
    *,
    today: dt.date,
    progress: Callable[[int, int], None] = lambda _done, _all: None,
) -> int:
    """Judge every confirmed photo, and its unit, against an edition; answers how many photos were.

    Goes in slices, each its own transaction, so that people can write in between. What was done is
    not done again: a run that was cut off is taken up where it stopped.
    """
    with database.reading() as conn:
        chain.get(conn, list_editions, edition_id)
        done = {
            entry.content["photo_id"]
            for entry in chain.entries(conn, list_rechecks, edition_id=edition_id)
        }
        waiting = [id_ for id_ in checks.confirmed_photos(conn) if id_ not in done]
    count = 0
    for some in slices(waiting, _AT_ONCE):

        def keep(conn: Connection, ahead: Judge, some: Sequence[str] = some) -> int:
            made = sum(
                _one(conn, photo_id, ahead, edition_id, holder_list, context, today)
                for photo_id in some
            )
            for unit_id in _units_of(conn, some):
                judging.judge_together(
                    conn,
                    unit_id,
                    ahead,
                    holder_list,
                    context,
                    why="list_edition",
                    edition_id=edition_id,
                )
            return made

        count += judged(database, lambda: judge, keep)
        progress(count, len(waiting))
    return count


def results(conn: Connection, edition_id: str) -> list[Rechecked]:
    """What re-checking against an edition gave, in the order it was done."""
    return [_of(entry) for entry in chain.entries(conn, list_rechecks, edition_id=edition_id)]


def changed_stock(conn: Connection, edition_id: str) -> list[ChangedStock]:
    """The stock whose answer an edition changed, and where it is.

    A unit of several photos stands there once, under its first photo, with what they come to
    together; only where that did not change do the photos stand for themselves.
    """
    together = _units_changed(conn, edition_id)
    named = {one.unit_id for one in together}
    alone = [one for one in results(conn, edition_id) if one.changed and one.unit_id not in named]
    changed = [*together, *alone]
    unit_ids = list(dict.fromkeys(result.unit_id for result in changed))
    by_unit = {
        one.unit_id: one
        for some in slices(unit_ids, _AT_ONCE)
        for one in units.summaries(conn, some)
    }
    labels: dict[str, str] = {}
    found = []
    for result in changed:
        unit = by_unit[result.unit_id]
        where = unit.consignment_id
        if where is not None and where not in labels:
            labels[where] = str(chain.get(conn, consignments, where).content.get("label", ""))
        found.append(
            ChangedStock(
                result=result,
                label=unit.label,
                count=unit.count,
                consignment_id=where,
                consignment_label=labels.get(where or "", ""),
                place=unit.state.place,
            )
        )
    return found


def _one(
    conn: Connection,
    photo_id: str,
    judge: Judge,
    edition_id: str,
    holder_list: HolderList,
    context: WriteContext,
    today: dt.date,
) -> bool:
    before = checks.newest(conn, photo_id)
    after = judging.rejudge(
        conn, photo_id, judge, holder_list, context, today=today, why="list_edition"
    )
    if before is None or after is None:
        return False
    photo = chain.get(conn, photos, photo_id)
    was, now = (checks.load(conn, entry).judgement for entry in (before, after))
    content = {
        "edition_id": edition_id,
        "photo_id": photo_id,
        "unit_id": photo.content["unit_id"],
        "check_before": before.id,
        "check_after": after.id,
        "before": _answer(was),
        "after": _answer(now),
        "changed": _said(was) != _said(now),
        "holder": after.content["holder"],
        "looked_up": after.content["looked_up"],
    }
    chain.append(conn, list_rechecks, new_id(), content, context)
    return True


def _units_of(conn: Connection, photo_ids: Sequence[str]) -> list[str]:
    wanted = select(photos.c.unit_id).where(photos.c.id.in_(photo_ids)).distinct()
    return list(conn.execute(wanted).scalars())


def _units_changed(conn: Connection, edition_id: str) -> list[Rechecked]:
    """Units whose own answer differs from what it was before the edition."""
    made: dict[str, list[Entry]] = {}
    for entry in chain.entries(conn, unit_checks, edition_id=edition_id):
        made.setdefault(entry.content["unit_id"], []).append(entry)
    found = []
    for unit_id, entries in made.items():
        if entries[0].content["before"] is None:
            continue
        before = chain.get(conn, unit_checks, entries[0].content["before"])
        after = entries[-1]
        was, now = (checks.load_unit(conn, entry) for entry in (before, after))
        if _said(was) == _said(now):
            continue
        state_before, outcome_before = _answer(was)
        state_after, outcome_after = _answer(now)
        found.append(
            Rechecked(
                photo_id=after.content["photos"][0],
                unit_id=unit_id,
                check_before=before.content["checks"][0],
                check_after=after.content["checks"][0],
                before=(state_before, outcome_before),
                after=(state_after, outcome_after),
                holder=after.content["holder"],
                looked_up=after.content["looked_up"],
                changed=True,
            )
        )
    return found


def _answer(judged: Judgement | UnitJudgement) -> list[str]:
    return [judged.holder_match.state, judged.outcome]


def _said(judged: Judgement | UnitJudgement) -> tuple[HolderMatch, str]:
    """What the list said, without which edition said it and how old that was."""
    said = replace(
        judged.holder_match,
        list_name="",
        list_edition=None,
        list_checked_on=None,
        list_age_days=None,
        list_too_old=False,
        says="",
    )
    return said, judged.outcome


def _of(entry: Entry) -> Rechecked:
    content = entry.content
    return Rechecked(
        photo_id=content["photo_id"],
        unit_id=content["unit_id"],
        check_before=content["check_before"],
        check_after=content["check_after"],
        before=(content["before"][0], content["before"][1]),
        after=(content["after"][0], content["after"][1]),
        holder=content["holder"],
        looked_up=content["looked_up"],
        changed=content["changed"],
    )
