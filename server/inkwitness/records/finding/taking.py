"""Units and consignments as the index keeps them, made of the rows of the records."""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, delete, insert, select

from inkwitness.consignment.dispositions import held, released
from inkwitness.consignment.values import worst
from inkwitness.holders.numbers import normal_form
from inkwitness.records import tables, units
from inkwitness.records.chain import stamp
from inkwitness.records.finding.found import FOUND

_SLICE = 200


def take_units(conn: Connection, records: Connection, ids: Sequence[str]) -> None:
    """Make the rows of these units anew."""
    if not ids:
        return
    said = _said_of_units(records, ids)
    rows = []
    for unit in units.summaries(records, ids):
        told = said[unit.unit_id]
        words = (unit.label, unit.approval_number, unit.holder, *told.print, *told.people)
        rows.append(
            {
                "kind": "unit",
                "id": unit.unit_id,
                "at": stamp(unit.made_at),
                "state": unit.outcome or "",
                "basis": unit.basis or "",
                "held": int(held(told.decided)),
                "released": released(told.decided),
                "consignment_id": unit.consignment_id,
                "label": unit.label,
                "number": _kept([unit.approval_number]),
                "maker": _kept([unit.holder]),
                "lots": _kept(told.lots),
                "people": _kept(told.people),
                "photo_id": next((one.photo_id for one in unit.state.photos), None),
                "words": _searched((*words, *told.lots)),
            }
        )
    _put(conn, "unit", ids, rows)


def take_consignments(conn: Connection, records: Connection, ids: Sequence[str]) -> None:
    """Make the rows of these consignments anew; their units were taken before."""
    if not ids:
        return
    table, decisions = tables.consignments, tables.decisions
    taken: dict[str, list[tuple[str, str]]] = {}
    of_them = decisions.c.consignment_id.in_(ids)
    for row in records.execute(select(decisions).where(of_them).order_by(decisions.c.seq)):
        kind = json.loads(row.content)["disposition"]
        taken.setdefault(row.consignment_id, []).append((kind, _name(row.actor)))
    rows = []
    for row in records.execute(select(table).where(table.c.id.in_(ids))):
        content = json.loads(row.content)
        decided = taken.get(row.id, [])
        kinds = [kind for kind, _ in decided]
        people = [_name(row.actor), *(name for _, name in decided)]
        lots = [lot["code"] for lot in content.get("lots", [])]
        label = content.get("label", "")
        outcomes = select(FOUND.c.state).where(FOUND.c.consignment_id == row.id).distinct()
        states: list[Any] = [state or None for state in conn.execute(outcomes).scalars()]
        words = (label, content.get("supplier", ""), content.get("reference", ""), *lots, *people)
        rows.append(
            {
                "kind": "consignment",
                "id": row.id,
                "at": row.at,
                "state": worst(states) or "",
                "basis": "",
                "held": int(held(kinds)),
                "released": released(kinds),
                "consignment_id": None,
                "label": label,
                "number": "",
                "maker": _kept([content.get("supplier", "")]),
                "lots": _kept(lots),
                "people": _kept(people),
                "photo_id": None,
                "words": _searched(words),
            }
        )
    _put(conn, "consignment", ids, rows)


@dataclass(slots=True)
class _Said:
    """What stands in a unit's rows beside its summary."""

    print: list[str]
    lots: list[str]
    people: list[str]
    decided: list[str]


def _said_of_units(records: Connection, ids: Sequence[str]) -> dict[str, _Said]:
    said = {id_: _Said([], [], [], []) for id_ in ids}
    photos, readings = tables.photos, tables.readings
    of_photo: dict[str, str] = {}
    for row in records.execute(
        select(photos.c.id, photos.c.unit_id, photos.c.actor).where(photos.c.unit_id.in_(ids))
    ):
        of_photo[row.id] = row.unit_id
        said[row.unit_id].people.append(_name(row.actor))
    newest: dict[str, str] = {}
    for some in slices([*of_photo]):
        wanted = select(readings.c.photo_id, readings.c.content).order_by(readings.c.seq)
        for read in records.execute(wanted.where(readings.c.photo_id.in_(some))):
            newest[read.photo_id] = read.content
        _confirmed(records, some, of_photo, said)
    for photo_id, content in newest.items():
        mine = said[of_photo[photo_id]]
        for item in json.loads(content).get("reading", {}).get("items", []):
            mine.print += [line["text"] for line in item["lines"]]
            for mark in item["marks"]:
                mine.print += [mark["printed"], mark["value"]]
                if mark["mark"] == "lot" and mark["standing"] == "read":
                    mine.lots.append(mark["printed"])
    decisions = tables.decisions
    taken = select(decisions.c.unit_id, decisions.c.content, decisions.c.actor)
    for one in records.execute(taken.where(decisions.c.unit_id.in_(ids)).order_by(decisions.c.seq)):
        said[one.unit_id].decided.append(json.loads(one.content)["disposition"])
        said[one.unit_id].people.append(_name(one.actor))
    return said


def _confirmed(
    records: Connection,
    photo_ids: Sequence[str],
    of_photo: Mapping[str, str],
    said: dict[str, _Said],
) -> None:
    """Words of people on marks of these photos: their names, and what they say is printed."""
    words = tables.confirmations
    wanted = select(words.c.photo_id, words.c.content, words.c.actor).order_by(words.c.seq)
    for row in records.execute(wanted.where(words.c.photo_id.in_(photo_ids))):
        mine, content = said[of_photo[row.photo_id]], json.loads(row.content)
        mine.people.append(_name(row.actor))
        printed = content.get("printed") or ""
        if printed:
            mine.print.append(printed)
            if (content.get("named") or content.get("mark")) == "lot":
                mine.lots.append(printed)


def _put(
    conn: Connection, kind: str, ids: Sequence[str], rows: Sequence[Mapping[str, object]]
) -> None:
    conn.execute(delete(FOUND).where(FOUND.c.kind == kind, FOUND.c.id.in_(ids)))
    if rows:
        conn.execute(insert(FOUND), list(rows))


def _searched(texts: Iterable[str]) -> str:
    """Texts as they are searched: small letters, each beside its normal form."""
    once = dict.fromkeys(text.casefold() for text in texts if text)
    bare = dict.fromkeys(normal_form(text).casefold() for text in once)
    return "\n".join((*once, *(text for text in bare if text not in once)))


def _kept(texts: Iterable[str]) -> str:
    """Texts to be shown and searched: as they are, then as they are searched."""
    once = [*dict.fromkeys(text for text in texts if text)]
    return f"{json.dumps(once, ensure_ascii=False)}\n{_searched(once)}" if once else ""


def _name(actor: str) -> str:
    name: str = json.loads(actor)["name"]
    return name


def slices(ids: Sequence[str]) -> Iterable[Sequence[str]]:
    """Some ids at a time: SQLite takes at most 32,766 values in one statement."""
    for start in range(0, len(ids), _SLICE):
        yield ids[start : start + _SLICE]
