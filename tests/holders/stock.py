"""Stock whose print people confirmed, as the records keep it: for re-checks and their benchmark."""

import datetime as dt
from collections.abc import Sequence
from functools import cache
from typing import Any

from sqlalchemy import Connection

from inkwitness import rulebook
from inkwitness.check.pipeline import RulesJudge
from inkwitness.check.values import Check, Reading
from inkwitness.findings.values import Circumstances
from inkwitness.holders.values import HolderList
from inkwitness.marks.values import Mark
from inkwitness.records import chain, checks, consignments
from inkwitness.records.chain import WriteContext, local_actor
from inkwitness.records.store import new_id
from inkwitness.records.tables import photos, units
from inkwitness.use_cases import confirmations
from inkwitness.use_cases.confirmations import Said
from inkwitness.use_cases.judged import judging
from tests.typed import item_of, reading_of

NOW = dt.datetime(2031, 3, 14, 9, 0, tzinfo=dt.UTC)
CONTEXT = WriteContext(local_actor("Ines Okparo"), NOW)
KEEPER = WriteContext(local_actor("Bo Terrazin"), NOW)
NAMES = ("approval_number", "manufacturer", "model", "filter_class")


@cache
def judge() -> RulesJudge:
    """The real rules, matching and outcome, as the server uses them."""
    return RulesJudge(rulebook.shipped())


def reading(values: Sequence[str]) -> Reading:
    """A reading of number, name, model and class."""
    marks = [
        Mark(
            name,
            value,
            value,
            "read",
            0.97,
            scheme="us-niosh" if name in ("approval_number", "filter_class") else "",
            id=f"0:{name}",
        )
        for name, value in zip(NAMES, values, strict=True)
    ]
    return reading_of(item_of((), marks), name="made.png")


def add(
    conn: Connection,
    held: HolderList | None,
    values: Sequence[str],
    *,
    count: int = 1,
    consignment_id: str | None = None,
    confirmed: bool = True,
) -> str:
    """Keep a unit, its photo, reading, confirmation and check; answers the photo's id."""
    unit_id, photo_id = new_id(), new_id()
    unit = {"label": values[2], "count": count, "consignment_id": consignment_id}
    chain.append(conn, units, unit_id, unit, CONTEXT)
    photo: dict[str, Any] = {
        "unit_id": unit_id,
        "sha256": "0" * 64,
        "replaces": None,
        "on": None,
        "surface": "facepiece",
        "whole": "yes",
        "declared": [],
        "told": [],
        "reduced": False,
    }
    chain.append(conn, photos, photo_id, photo, CONTEXT)
    read = reading(values)
    first = judge().judge(read, (), Circumstances(NOW.date(), "facepiece", "yes"), held)
    kept = checks.keep_reading(conn, photo_id, read, CONTEXT)
    checks.keep_check(conn, photo_id, kept.id, Check(read, first), CONTEXT)
    if confirmed:
        said = Said(photo_id, 0, NAMES[0], values[0], "as_read", values[0], "us-niosh")
        confirmations.keep(conn, new_id(), said, CONTEXT)
        judging.rejudge(conn, photo_id, judge(), held, CONTEXT, today=NOW.date(), why="confirmed")
    return photo_id


def consignment(conn: Connection, label: str) -> str:
    """Keep a consignment; answers its id."""
    id_ = new_id()
    consignments.make(conn, id_, {"label": label}, CONTEXT)
    return id_
