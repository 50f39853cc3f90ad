"""Units and groups: created with their first photo or alone, attached to a consignment later."""

import datetime as dt
import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, func, select

from inkwitness.check.values import Basis
from inkwitness.consignment.values import PhotoState, UnitState
from inkwitness.errors import BadInput
from inkwitness.findings.looks import words_of
from inkwitness.findings.outcome import Outcome
from inkwitness.records import chain
from inkwitness.records.chain import Entry, WriteContext
from inkwitness.records.database import slices
from inkwitness.records.lists import EDITION_OF_CHECK
from inkwitness.records.tables import (
    attachments,
    checks,
    consignments,
    constructions,
    finding_answers,
    photos,
    unit_checks,
    units,
)


@dataclass(frozen=True, slots=True)
class UnitSummary:
    """One unit as a list shows it; `state` carries the newest check of each of its photos.

    `unit_check_id` is the check of its photos together; None where it has one photo.
    """

    unit_id: str
    label: str
    count: int
    consignment_id: str | None
    made_at: dt.datetime
    state: UnitState
    scheme: str
    approval_number: str
    holder: str
    unit_check_id: str | None = None

    @property
    def outcome(self) -> Outcome | None:
        return self.state.outcome

    @property
    def basis(self) -> Basis | None:
        return self.state.basis


def make(
    conn: Connection,
    unit_id: str,
    context: WriteContext,
    *,
    label: str = "",
    count: int = 1,
    consignment_id: str | None = None,
) -> Entry:
    """Create a unit. The same again changes nothing; other content raises Differs."""
    content = _content(conn, label, count, consignment_id)
    entry, _ = chain.append(conn, units, unit_id, content, context)
    return entry


def make_or_find(
    conn: Connection,
    unit_id: str,
    context: WriteContext,
    *,
    label: str,
    count: int,
    consignment_id: str | None,
) -> Entry:
    """The unit of a photo: created if new; what is left at its default is taken as not said."""
    content = _of_photo(conn, unit_id, label, count, consignment_id)
    entry, _ = chain.append(conn, units, unit_id, content, context)
    return entry


def refuse(
    conn: Connection, unit_id: str, *, label: str, count: int, consignment_id: str | None
) -> None:
    """Raise what `make_or_find` would, where nothing is written yet."""
    chain.same(conn, units, unit_id, _of_photo(conn, unit_id, label, count, consignment_id))


def _of_photo(
    conn: Connection, unit_id: str, label: str, count: int, consignment_id: str | None
) -> dict[str, object]:
    existing = chain.find(conn, units, unit_id)
    if existing is None:
        return _content(conn, label, count, consignment_id)
    kept = existing.content
    return _content(
        conn,
        label or kept["label"],
        kept["count"] if count == 1 else count,
        consignment_id or kept["consignment_id"],
    )


def _content(
    conn: Connection, label: str, count: int, consignment_id: str | None
) -> dict[str, object]:
    if not 1 <= count <= 1_000_000:
        raise BadInput("bad_count")
    if consignment_id is not None:
        _consignment(conn, consignment_id)
    return {"label": label, "count": count, "consignment_id": consignment_id}


def attach(
    conn: Connection,
    id_: str,
    unit_id: str,
    consignment_id: str,
    place: str,
    context: WriteContext,
    *,
    label: str = "",
) -> Entry:
    """Put a unit under a consignment, at a place of its draw (empty: the one its label names).

    `label` is what the unit is called from now on; empty: as before.
    """
    chain.get(conn, units, unit_id)
    _consignment(conn, consignment_id)
    content = {"unit_id": unit_id, "consignment_id": consignment_id, "place": place}
    # left out where nothing is renamed: such a fact is stored as it was before there were names
    content |= {"label": label} if label else {}
    entry, _ = chain.append(conn, attachments, id_, content, context)
    return entry


def page(
    conn: Connection, *, limit: int, before: str | None = None, consignment_id: str | None = None
) -> list[UnitSummary]:
    """Units, the newest first; `before` is the id of the last unit of the page before."""
    wanted = select(units.c.id).order_by(units.c.seq.desc())
    if before is not None:
        wanted = wanted.where(units.c.seq < chain.get(conn, units, before).seq)
    if consignment_id is not None:
        attached = select(attachments.c.unit_id).where(
            attachments.c.consignment_id == consignment_id
        )
        wanted = wanted.where((units.c.consignment_id == consignment_id) | units.c.id.in_(attached))
    else:
        wanted = wanted.limit(limit)  # or a page would take longer with every unit that is kept
    # a unit attached elsewhere since is left out below, so more than `limit` may be needed
    found: list[UnitSummary] = []
    for unit_ids in slices(list(conn.execute(wanted).scalars()), max(limit, 50)):
        for summary in summaries(conn, unit_ids):
            if consignment_id is None or summary.consignment_id == consignment_id:
                found.append(summary)
                if len(found) == limit:
                    return found
    return found


def of_consignment(conn: Connection, consignment_id: str) -> list[UnitSummary]:
    """All units under a consignment now, the oldest first."""
    return page(conn, limit=1_000_000, consignment_id=consignment_id)[::-1]


def summaries(conn: Connection, unit_ids: Sequence[str]) -> list[UnitSummary]:
    """These units (at most some hundreds at once), in this order, with their newest checks."""
    together = _together(conn, unit_ids)
    rows = chain.get_all(conn, units, unit_ids)
    last = (
        select(func.max(checks.c.seq).label("seq"))
        .join(photos, photos.c.id == checks.c.photo_id)
        .where(photos.c.unit_id.in_(unit_ids))
        .group_by(checks.c.photo_id)
    )
    newest = {
        row.photo_id: row
        for row in conn.execute(
            select(
                checks.c.photo_id,
                checks.c.outcome,
                checks.c.basis,
                checks.c.scheme,
                checks.c.approval_number,
                checks.c.holder,
                checks.c.looked_up,
                EDITION_OF_CHECK.label("edition"),
            ).where(checks.c.seq.in_(last))
        )
    }
    photo_ids: dict[str, list[str]] = {}
    declared: dict[str, set[str]] = {}
    replaced = set()
    for row in conn.execute(
        select(photos.c.id, photos.c.unit_id, photos.c.replaces, photos.c.content)
        .where(photos.c.unit_id.in_(unit_ids))
        .order_by(photos.c.seq)
    ):
        photo_ids.setdefault(row.unit_id, []).append(row.id)
        replaced.add(row.replaces)
        declared.setdefault(row.unit_id, set()).update(json.loads(row.content)["declared"])
    for unit_id, words in _seen(conn, unit_ids):
        declared.setdefault(unit_id, set()).update(words)
    attached = _attached(conn, unit_ids)
    places = {unit_id: (consignment_id, place) for unit_id, consignment_id, place, _ in attached}
    renamed = {unit_id: label for unit_id, _, _, label in attached if label}
    answers = _answers(conn, unit_ids)
    found = []
    for unit_id in unit_ids:
        entry = rows[unit_id]
        live = [photo for photo in photo_ids.get(unit_id, []) if photo not in replaced]
        read = [newest[photo] for photo in live if photo in newest]
        whole = together.get(unit_id) if len(live) > 1 else None
        told = [whole, *read] if whole is not None else read
        consignment_id, place = places.get(unit_id, (entry.content["consignment_id"], ""))
        state = UnitState(
            unit_id=unit_id,
            count=entry.content["count"],
            photos=tuple(
                PhotoState(
                    photo,
                    newest[photo].outcome if photo in newest else None,
                    newest[photo].basis if photo in newest else None,
                    newest[photo].edition if photo in newest else None,
                )
                for photo in live
            ),
            place=place or (entry.content["label"] if consignment_id else ""),
            list_keys=tuple(sorted({row.looked_up for row in told if row.looked_up})),
            together=whole.outcome if whole is not None else None,
            label=renamed.get(unit_id, entry.content["label"]),
            scheme=_first(row.scheme for row in told),
            declared=tuple(sorted(declared.get(unit_id, ()))),
            answers=len(answers.get(unit_id, ())),
            taken_up=sum(answers.get(unit_id, ())),
        )
        found.append(
            UnitSummary(
                unit_id=unit_id,
                label=state.label,
                count=entry.content["count"],
                consignment_id=consignment_id,
                made_at=entry.at,
                state=state,
                scheme=state.scheme,
                approval_number=_first(row.approval_number for row in told),
                holder=_first(row.holder for row in told),
                unit_check_id=whole.id if whole is not None else None,
            )
        )
    return found


def _together(conn: Connection, unit_ids: Sequence[str]) -> dict[str, Row[*tuple[Any, ...]]]:
    """The newest check of each of these units that has one."""
    last = (
        select(func.max(unit_checks.c.seq))
        .where(unit_checks.c.unit_id.in_(unit_ids))
        .group_by(unit_checks.c.unit_id)
    )
    wanted = select(
        unit_checks.c.id,
        unit_checks.c.unit_id,
        unit_checks.c.outcome,
        unit_checks.c.scheme,
        unit_checks.c.approval_number,
        unit_checks.c.holder,
        unit_checks.c.looked_up,
    ).where(unit_checks.c.seq.in_(last))
    return {row.unit_id: row for row in conn.execute(wanted)}


def _seen(conn: Connection, unit_ids: Sequence[str]) -> Iterator[tuple[str, frozenset[str]]]:
    """What people saw of these units, as words. A word of before stays: goods that somebody called
    worn or loose are not put among the others by another's answer."""
    wanted = select(constructions.c.unit_id, constructions.c.content)
    for row in conn.execute(wanted.where(constructions.c.unit_id.in_(unit_ids))):
        yield row.unit_id, words_of(json.loads(row.content)["answers"])


def _answers(conn: Connection, unit_ids: Sequence[str]) -> dict[str, list[bool]]:
    """The answers to findings of these units: for each whether it took a finding up again."""
    wanted = select(finding_answers.c.unit_id, finding_answers.c.content).where(
        finding_answers.c.unit_id.in_(unit_ids)
    )
    found: dict[str, list[bool]] = {}
    for row in conn.execute(wanted):
        taken_up = json.loads(row.content)["takes_up"] is not None
        found.setdefault(row.unit_id, []).append(taken_up)
    return found


def _attached(conn: Connection, unit_ids: Sequence[str]) -> list[tuple[str, str, str, str]]:
    """(unit, consignment, place, new label or empty) of these units, the newest last."""
    wanted = (
        select(attachments.c.unit_id, attachments.c.consignment_id, attachments.c.content)
        .where(attachments.c.unit_id.in_(unit_ids))
        .order_by(attachments.c.seq)
    )
    told = ((row, json.loads(row.content)) for row in conn.execute(wanted))
    return [
        (row.unit_id, row.consignment_id, content["place"], content.get("label", ""))
        for row, content in told
    ]


def _consignment(conn: Connection, consignment_id: str) -> None:
    chain.get(conn, consignments, consignment_id)


def _first(values: Iterable[str]) -> str:
    return next((value for value in values if value), "")
