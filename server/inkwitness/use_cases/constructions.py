"""A person looked at how a unit is made: kept, and its photos judged again with that."""

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from sqlalchemy import Connection

from inkwitness.check.protocols import Judge
from inkwitness.findings import looks
from inkwitness.holders.values import HolderList
from inkwitness.records import chain, constructions, photos
from inkwitness.records.chain import Entry, WriteContext
from inkwitness.records.database import Database
from inkwitness.records.tables import constructions as constructions_table
from inkwitness.records.tables import units
from inkwitness.use_cases.judged import judging
from inkwitness.use_cases.judged.beforehand import judged_by_list


@dataclass(frozen=True, slots=True)
class Seen:
    """What a person saw: an answer to each thing that was looked at; layers, grams, millimetres.

    It takes the place of what was seen before, whole: what has no answer was not looked at.
    """

    answers: Mapping[str, str]
    measures: Mapping[str, float] = field(default_factory=dict)
    note: str = ""


def keep(
    database: Database,
    id_: str,
    unit_id: str,
    seen: Seen,
    context: WriteContext,
    judge: Callable[[], Judge],
    list_now: Callable[[], HolderList | None],
    *,
    today: dt.date,
) -> Entry:
    """Keep what a person saw, and a new check of each photo of the unit, and of all together.

    Raises NotFound, and BadInput for what cannot be answered or measured so.
    """
    given = looks.checked(seen.answers)
    sizes = looks.checked_measures(seen.measures)

    def work(conn: Connection, ahead: Judge, held: HolderList | None) -> Entry:
        chain.get(conn, units, unit_id)
        content = constructions.content(unit_id, given, sizes, seen.note)
        entry, new = chain.append(conn, constructions_table, id_, content, context)
        if new:
            why = "construction"
            for photo in photos.of_unit(conn, unit_id):
                judging.rejudge(conn, photo.id, ahead, held, context, today=today, why=why)
            judging.judge_together(conn, unit_id, ahead, held, context, why=why)
        return entry

    return judged_by_list(database, judge, list_now, work)
