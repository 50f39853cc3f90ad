"""Stock whose print people confirmed, as the records keep it: for re-checks and their benchmark."""

import datetime as dt
from collections.abc import Sequence
from functools import cache
from typing import Any

from sqlalchemy import Connection

from inkwitness import rulebook
from inkwitness.check.contract import CheckOut, HolderMatchOut, ItemOut, MarkOut
from inkwitness.check.pipeline import Checker
from inkwitness.holders.values import HolderList
from inkwitness.reading.engines import Readers, load_readers
from inkwitness.records import chain, checks, confirmations, consignments, judging
from inkwitness.records.chain import Hand, local_actor
from inkwitness.records.confirmations import Said
from inkwitness.records.pipeline_checker import PipelineChecker
from inkwitness.records.store import new_id
from inkwitness.records.tables import photos, units

NOW = dt.datetime(2031, 3, 14, 9, 0, tzinfo=dt.UTC)
HAND = Hand(local_actor("Ines Okparo"), NOW)
KEEPER = Hand(local_actor("Bo Terrazin"), NOW)
NAMES = ("approval_number", "manufacturer", "model", "filter_class")


@cache
def checker() -> PipelineChecker:
    """The real pipeline: rules, matching and outcome, as the server uses it."""
    readers: Readers = load_readers()
    return PipelineChecker(Checker(readers=readers, rulebook=rulebook.load(), holder_list=None))


def reading(values: Sequence[str]) -> CheckOut:
    """A check of a reading without any confirmation, of number, name, model and class."""
    marks = [
        MarkOut(
            mark=name,
            printed=value,
            value=value,
            standing="read",
            probability=0.97,
            scheme="us-niosh" if name in ("approval_number", "filter_class") else "",
        )
        for name, value in zip(NAMES, values, strict=True)
    ]
    nothing = HolderMatchOut(state="no_list_for_scheme")
    item = ItemOut(
        polygon=[(0, 0), (20, 0), (20, 20), (0, 20)],
        surface="facepiece",
        whole="yes",
        schemes=["us-niosh"],
        marks=marks,
        findings=[],
        holder_match=nothing,
    )
    return CheckOut(
        photo="made.png",
        sha256="0" * 64,
        on=NOW.date(),
        outcome="cannot_tell",
        basis="reading",
        aspects={},
        items=[item],
        scheme="us-niosh",
        marks={mark.mark: mark for mark in marks},
        lines=[],
        findings=[],
        holder_match=nothing,
        photo_quality=[],
        milliseconds=0,
    )


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
    chain.append(conn, units, unit_id, unit, HAND)
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
    chain.append(conn, photos, photo_id, photo, HAND)
    first = reading(values)
    checks.keep_reading(conn, photo_id, first, HAND)
    if confirmed:
        said = Said(photo_id, 0, NAMES[0], values[0], "as_read", values[0], "us-niosh")
        confirmations.keep(conn, new_id(), said, HAND)
        judging.rejudge(conn, photo_id, checker(), held, HAND, today=NOW.date(), why="confirmed")
    return photo_id


def consignment(conn: Connection, label: str) -> str:
    """Keep a consignment; answers its id."""
    id_ = new_id()
    consignments.make(conn, id_, {"label": label}, HAND)
    return id_
