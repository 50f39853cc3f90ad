"""An index for finding units and consignments again: made of the records, and no record itself.

It stands in a file of its own beside the database (`finding.sqlite`), may be deleted at any time
and is made anew then. Each question first takes up what was appended since; the first one after a
long time may not get to the end, and says how much is left.
"""

import os
import threading
import time
from collections.abc import Iterable
from pathlib import Path

from sqlalchemy import Connection, Table, delete, func, insert, select

from inkwitness.records import tables
from inkwitness.records.database import Database, connect_database
from inkwitness.records.finding.found import FOUND, METADATA, SEEN, Asked, Found, look
from inkwitness.records.finding.taking import slices, take_consignments, take_units

FILE = "finding.sqlite"
#: Made anew where the program writes another form.
_FORM = 1
_SLICE = 200
#: What a row of each table is about.
_SOURCES: tuple[Table, ...] = (
    tables.units,
    tables.consignments,
    tables.attachments,
    tables.photos,
    tables.readings,
    tables.checks,
    tables.unit_checks,
    tables.confirmations,
    tables.decisions,
)


class Finder:
    """The index of one data folder. One thread at a time takes up what is new."""

    def __init__(self, folder: Path) -> None:
        self._path = folder / FILE
        self._lock = threading.Lock()
        self._base: Database | None = None

    def close(self) -> None:
        """Let go of the file."""
        if self._base is not None:
            self._base.close()
            self._base = None

    def catch_up(self, records: Connection, *, seconds: float = 2.0) -> int:
        """Take up what was appended; answers how many units and consignments are left for later."""
        with self._lock:
            base = self._opened()
            until = time.monotonic() + seconds
            with base.reading() as conn:
                if _up_to_date(conn, records):
                    return 0
            with base.writing() as conn:
                _start_anew_if_changed(conn, records)
                if not _marks(conn):
                    _begin(conn, records)
                _take_walks(conn, records, until)
                if left := _left(conn, records):
                    return left
                _take_changes(conn, records)
            return 0

    def find(self, asked: Asked, *, limit: int, before: str = "") -> tuple[list[Found], bool]:
        """What was found, the newest first, `limit` of it from behind `before`; is there more."""
        with self._lock:
            base = self._opened()
        with base.reading() as conn:
            return look(conn, asked, limit=limit, before=before)

    def _opened(self) -> Database:
        if self._base is None:
            opened = os.open(self._path, os.O_RDWR | os.O_CREAT, 0o600)
            os.fchmod(opened, 0o600)
            os.close(opened)
            base = connect_database(self._path)
            with base.writing() as conn:
                if conn.exec_driver_sql("PRAGMA user_version").scalar() != _FORM:
                    METADATA.drop_all(conn)
                    conn.exec_driver_sql(f"PRAGMA user_version={_FORM}")
                METADATA.create_all(conn)
            self._base = base
        return self._base


def _up_to_date(conn: Connection, records: Connection) -> bool:
    """Whether every last row is the one that was taken up last: nothing needs to be written."""
    marks = _marks(conn)
    walked = all(
        marks.get(f"walk {table.name}", (-1, "")) == marks.get(table.name)
        for table in (tables.units, tables.consignments)
    )
    return walked and all(_last(records, table) == marks.get(table.name) for table in _SOURCES)


def _start_anew_if_changed(conn: Connection, records: Connection) -> None:
    """Records put back from a backup have other rows: what was taken up is thrown away."""
    by_name = {table.name: table for table in _SOURCES}
    for source, (seq, hash_) in _marks(conn).items():
        if not seq:
            continue
        table = by_name[source.removeprefix("walk ")]
        now = records.execute(select(table.c.hash).where(table.c.seq == seq)).scalar()
        if now != hash_:
            conn.execute(delete(SEEN))
            conn.execute(delete(FOUND))
            return


def _begin(conn: Connection, records: Connection) -> None:
    """From nothing: units and consignments are walked once; later rows are changes."""
    for table in _SOURCES:
        _mark(conn, table.name, *_last(records, table))
    for table in (tables.units, tables.consignments):
        _mark(conn, f"walk {table.name}", 0, "")


def _take_walks(conn: Connection, records: Connection, until: float) -> None:
    marks = _marks(conn)
    for table in (tables.units, tables.consignments):
        name = f"walk {table.name}"
        seq = marks[name][0]
        end = marks[table.name][0]
        while seq < end and time.monotonic() < until:
            rows = records.execute(
                select(table.c.seq, table.c.hash, table.c.id)
                .where(table.c.seq > seq, table.c.seq <= end)
                .order_by(table.c.seq)
                .limit(_SLICE)
            ).all()
            take = take_units if table is tables.units else take_consignments
            take(conn, records, [row.id for row in rows])
            seq = rows[-1].seq
            _mark(conn, name, seq, rows[-1].hash)


def _left(conn: Connection, records: Connection) -> int:
    marks = _marks(conn)
    left = 0
    for table in (tables.units, tables.consignments):
        after = table.c.seq > marks[f"walk {table.name}"][0]
        until = table.c.seq <= marks[table.name][0]
        wanted = select(func.count()).select_from(table).where(after, until)
        left += records.execute(wanted).scalar_one()
    return left


def _take_changes(conn: Connection, records: Connection) -> None:
    """Whatever rows were appended since are about units and consignments: those are made anew."""
    marks = _marks(conn)
    touched: dict[str, None] = {}
    consignments: dict[str, None] = {}
    for table in _SOURCES:
        last, hash_ = _last(records, table)
        seen = marks[table.name][0]
        if last <= seen:
            continue
        touched.update(dict.fromkeys(_units_in(records, table, seen)))
        if "consignment_id" in table.c:
            ids = select(table.c.consignment_id).where(table.c.seq > seen)
            consignments.update(dict.fromkeys(one for one in records.execute(ids).scalars() if one))
        if table is tables.consignments:
            ids = select(table.c.id).where(table.c.seq > seen)
            consignments.update(dict.fromkeys(records.execute(ids).scalars()))
        _mark(conn, table.name, last, hash_)
        if f"walk {table.name}" in marks:
            _mark(conn, f"walk {table.name}", last, hash_)
    for some in slices([*touched]):
        before = select(FOUND.c.consignment_id).where(FOUND.c.id.in_(some)).distinct()
        consignments.update(dict.fromkeys(one for one in conn.execute(before).scalars() if one))
        take_units(conn, records, some)
        consignments.update(dict.fromkeys(one for one in conn.execute(before).scalars() if one))
    for some in slices([*consignments]):
        take_consignments(conn, records, some)


def _units_in(records: Connection, table: Table, seen: int) -> Iterable[str]:
    """Units that rows of a table after `seen` are about."""
    photos = tables.photos
    if table is tables.units:
        wanted = select(table.c.id).where(table.c.seq > seen)
    elif "unit_id" in table.c:
        wanted = select(table.c.unit_id).where(table.c.seq > seen, table.c.unit_id.is_not(None))
    elif "photo_id" in table.c:
        wanted = (
            select(photos.c.unit_id)
            .join(table, table.c.photo_id == photos.c.id)
            .where(table.c.seq > seen)
            .distinct()
        )
    else:
        return []
    return list(records.execute(wanted).scalars())


def _last(records: Connection, table: Table) -> tuple[int, str]:
    wanted = select(table.c.seq, table.c.hash).order_by(table.c.seq.desc()).limit(1)
    row = records.execute(wanted).first()
    return (row.seq, row.hash) if row is not None else (0, "")


def _marks(conn: Connection) -> dict[str, tuple[int, str]]:
    return {row.source: (row.seq, row.hash) for row in conn.execute(select(SEEN))}


def _mark(conn: Connection, source: str, seq: int, hash_: str) -> None:
    conn.execute(delete(SEEN).where(SEEN.c.source == source))
    conn.execute(insert(SEEN).values(source=source, seq=seq, hash=hash_))
