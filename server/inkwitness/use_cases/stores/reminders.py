"""What has been open for long, or grows old: told when asked, for a day; nothing sends itself."""

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

from sqlalchemy import Connection, select

from inkwitness.consignment import stock
from inkwitness.consignment.dispositions import HOLDS, RELEASES, held, questions, released
from inkwitness.consignment.gate import Terms
from inkwitness.holders.ended import ended_on
from inkwitness.holders.numbers import normal_form
from inkwitness.holders.values import HolderList
from inkwitness.phrases import Phrases
from inkwitness.records import chain
from inkwitness.records import units as records_units
from inkwitness.records.chain import Entry
from inkwitness.records.tables import (
    checks,
    consignments,
    decisions,
    official_look_ups,
    photos,
    units,
)
from inkwitness.use_cases import goods
from inkwitness.use_cases.stores import bins
from inkwitness.use_cases.stores import stock as stores
from inkwitness.use_cases.stores.affected import affected
from inkwitness.use_cases.stores.standing import standing


@dataclass(frozen=True, slots=True)
class Ages:
    """After how many days something is called to mind (decisions of this project, no source)."""

    look_up_days: int = 7
    list_days: int = 30
    hold_days: int = 14
    answer_days: int = 7
    ahead_days: int = 14
    notice_days: int = 1


@dataclass(frozen=True, slots=True)
class Reminder:
    """A key of the phrase book (`reminder.*`) and its values; `days` since, or minus until.

    `owner` sees to it: who was named for it, else who began it; empty where nobody in particular.
    """

    key: str
    subject: str
    subject_id: str
    days: int
    values: tuple[tuple[str, str], ...] = ()
    owner: str = ""

    def says(self, say: Phrases) -> str:
        """The sentence."""
        return say(f"reminder.{self.key}", days=abs(self.days), **dict(self.values))


def all_of_them(
    conn: Connection,
    holder_list: HolderList | None,
    on: dt.date,
    ages: Ages,
    terms: Terms | None = None,
) -> list[Reminder]:
    """Everything to call to mind on a day, what is oldest first.

    With `terms`, what a release waits for here, also the goods that a person released and that
    something stops since.
    """
    found = [
        *_of_list(holder_list, on, ages),
        *_of_ended(conn, holder_list, on),
        *(_of_stopped(conn, on, terms) if terms is not None else ()),
        *_of_decisions(conn, on, ages),
        *_of_look_ups(conn, on, ages),
        *_of_notices(conn, on, ages),
        *_of_bins(conn, on, ages),
    ]
    return sorted(found, key=lambda one: -one.days)


def _of_list(holder_list: HolderList | None, on: dt.date, ages: Ages) -> Iterator[Reminder]:
    if holder_list is None or holder_list.checked_on is None:
        return
    days = (on - holder_list.checked_on).days
    # a few days before it is too old there is still time to look
    if days >= ages.list_days - 3:
        values = (
            ("list", holder_list.name),
            ("day", holder_list.checked_on.isoformat()),
            ("limit", str(ages.list_days)),
        )
        yield Reminder("list", "list", "", days, values)
    for entry in holder_list.entries:
        ends = entry.valid_until
        if ends is not None and 0 <= (ends - on).days <= ages.ahead_days:
            told = (("number", entry.approval_number or entry.holder), ("day", ends.isoformat()))
            yield Reminder("entry_ends", "list", "", (on - ends).days, told)


def _of_ended(conn: Connection, holder_list: HolderList | None, on: dt.date) -> Iterator[Reminder]:
    """Goods in store or in hands of which the entry of the list ended by its own last day."""
    ended = ended_on(holder_list, on)
    if not ended:
        return
    looked_up = select(checks.c.looked_up, photos.c.unit_id).distinct()
    rows = conn.execute(looked_up.join(photos, photos.c.id == checks.c.photo_id)).all()
    for one in ended:
        ids = list(dict.fromkeys(row.unit_id for row in rows if one.of(row.looked_up)))
        units_of = (
            unit
            for start in range(0, len(ids), 500)
            for unit in records_units.summaries(conn, ids[start : start + 500])
            if any(map(one.of, unit.state.list_keys))
        )
        goods_of = dict.fromkeys(unit.consignment_id for unit in units_of if unit.consignment_id)
        there = dict.fromkeys(found.consignment_id for found in affected(conn, list(goods_of)))
        for id_ in there:
            values = (
                ("number", one.number),
                ("day", one.day.isoformat()),
                ("label", _label(conn, "consignment", id_)),
            )
            yield Reminder("entry_ended", "consignment", id_, (on - one.day).days, values)


def _of_stopped(conn: Connection, on: dt.date, terms: Terms) -> Iterator[Reminder]:
    """Goods that a person released, of which something lets nothing go now."""
    for subject, subject_id, taken in _parted(conn):
        kinds = [entry.content["disposition"] for entry in taken]
        if not released(kinds):
            continue
        lot = taken[-1].content.get("lot", "")
        found = standing(conn, subject_id, terms, lot)
        if not found.shut:
            continue
        last = next(one for one in reversed(taken) if one.content["disposition"] in RELEASES)
        label = _label(conn, subject, subject_id) + (f", {lot}" if lot else "")
        values = (("label", label), ("n", str(len(found.shut))))
        days = (on - last.at.date()).days
        yield Reminder("stopped", subject, subject_id, days, values, _owner(last))


def _parted(conn: Connection) -> Iterator[tuple[str, str, list[Entry]]]:
    """Histories, those of a consignment parted into what is of the whole and of each lot."""
    for subject, subject_id, taken in _histories(conn):
        by_lot: dict[str, list[Entry]] = {}
        for entry in taken:
            by_lot.setdefault(entry.content.get("lot", ""), []).append(entry)
        for part in by_lot.values():
            yield subject, subject_id, part


def _of_decisions(conn: Connection, on: dt.date, ages: Ages) -> Iterator[Reminder]:
    for subject, subject_id, taken in _parted(conn):
        kinds = [entry.content["disposition"] for entry in taken]
        label = (("label", _label(conn, subject, subject_id)),)
        if held(kinds):
            first = _since(taken)
            days = (on - first.at.date()).days
            if days >= ages.hold_days:
                yield Reminder("hold", subject, subject_id, days, label, _owner(first))
        open_ = {id_ for id_, said in questions(goods.acts(taken)).items() if not said}
        asked = next((entry for entry in taken if entry.id in open_), None)
        if asked is not None:
            days = (on - asked.at.date()).days
            if days >= ages.answer_days:
                yield Reminder("answer", subject, subject_id, days, label, _owner(asked))
        if kind := released(kinds):
            last = next(one for one in reversed(taken) if one.content["disposition"] == kind)
            if until := last.content.get("until"):
                ends = dt.date.fromisoformat(until)
                if (ends - on).days <= ages.ahead_days:
                    key = "limit_over" if on > ends else "limit_ends"
                    values = (*label, ("day", until))
                    yield Reminder(key, subject, subject_id, (on - ends).days, values, _owner(last))


def _owner(entry: Entry) -> str:
    assignee: str = entry.content.get("assignee", "")
    return assignee or entry.context.actor.name


def _since(taken: list[Entry]) -> Entry:
    """The decision since which a hold is in force without a break."""
    since = None
    for entry in taken:
        if entry.content["disposition"] in HOLDS:
            since = since or entry
        elif entry.content["disposition"] == "lift_hold":
            since = None
    assert since is not None  # only asked of goods on hold
    return since


def _histories(conn: Connection) -> Iterator[tuple[str, str, list[Entry]]]:
    """Decisions by what they are on."""
    by: dict[tuple[str, str], list[Entry]] = {}
    for entry in chain.entries(conn, decisions):
        unit, consignment = entry.content["unit_id"], entry.content["consignment_id"]
        key = ("unit", unit) if unit is not None else ("consignment", consignment)
        by.setdefault(key, []).append(entry)
    for (subject, subject_id), taken in by.items():
        yield subject, subject_id, taken


def _of_look_ups(conn: Connection, on: dt.date, ages: Ages) -> Iterator[Reminder]:
    newest: dict[str, Entry] = {}
    for entry in chain.entries(conn, official_look_ups):
        if entry.content["answer"] == "no_answer":
            continue
        key = normal_form(entry.content["looked_up"])
        kept = newest.get(key)
        if kept is None or _looked(entry) >= _looked(kept):
            newest[key] = entry
    for entry in newest.values():
        days = (on - _looked(entry)).days
        if days > ages.look_up_days:
            values = (
                ("number", entry.content["looked_up"]),
                ("day", _looked(entry).isoformat()),
                ("limit", str(ages.look_up_days)),
            )
            subject_id = entry.content["consignment_id"] or entry.content["unit_id"] or ""
            subject = "consignment" if entry.content["consignment_id"] else "unit"
            yield Reminder("look_up", subject if subject_id else "list", subject_id, days, values)


def _looked(entry: Entry) -> dt.date:
    return dt.date.fromisoformat(entry.content["looked_up_at"][:10])


def _of_notices(conn: Connection, on: dt.date, ages: Ages) -> Iterator[Reminder]:
    for entry, found in stores.recalls(conn):
        days = (on - found.on).days
        if found.ended or days < ages.notice_days or not _open(found):
            continue
        values = (
            ("lot", found.lot),
            ("left", str(found.unaccounted)),
            ("untold", str(len(found.asked) - len(found.told))),
        )
        yield Reminder("notice", "lot", entry.id, days, values)


def _open(found: stock.Recall) -> bool:
    untold = len(found.told) < len(found.asked)
    return untold or (found.notice == "recall" and found.unaccounted > 0)


def _of_bins(conn: Connection, on: dt.date, ages: Ages) -> Iterator[Reminder]:
    for one in bins.sortings(conn):
        days = (on - one.last_at.date()).days
        open_still = one.pieces and (one.late or not one.handed_over)
        if open_still and days >= ages.notice_days:
            values = (("place", one.place or "–"), ("pieces", str(one.pieces)))
            yield Reminder("bins", "bins", one.sorting_id, days, values)


def _label(conn: Connection, subject: str, subject_id: str) -> str:
    table = units if subject == "unit" else consignments
    wanted = select(table.c.id).where(table.c.id == subject_id)
    if conn.execute(wanted).scalar() is None:
        return subject_id[-6:]
    return chain.get(conn, table, subject_id).content["label"] or subject_id[-6:]
