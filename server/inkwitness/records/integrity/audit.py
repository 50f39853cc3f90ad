"""Looks whether what is kept is as it was written: each row, each file, what belongs together.

It finds a row that was changed, left out or put elsewhere, and a file whose hash differs. Rows cut
off the end and a chain that was computed anew are found by a head kept elsewhere (`heads`); without
one the report says that they cannot be seen. It goes on where an earlier look ended, if told so.
"""

import datetime as dt
import json
import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from sqlalchemy import Connection, Table, func, select, text

from inkwitness.photo.files import PHOTOS, UNNAMED, PhotoFiles
from inkwitness.records import chain, removals
from inkwitness.records.chain import Entry
from inkwitness.records.database import Database
from inkwitness.records.integrity.heads import Head, head_of, over
from inkwitness.records.tables import checks, jobs, photos, readings

# Short looks, so that the write-ahead log can be put into the database between them.
_AT_ONCE = 200
# Seconds within which whoever removes a file has done so.
_UNDER_WAY = 1.0
_ODD_CLOCK = dt.timedelta(minutes=5)
BLIND = (
    "No head that was kept elsewhere was given, so rows cut off the end of a table, and a chain "
    "computed anew by someone who can write to this folder, cannot be seen."
)


@dataclass(frozen=True, slots=True)
class Mark:
    """How far a table was looked at: rows, the last one's number and hash."""

    rows: int
    seq: int
    hash: str


@dataclass(frozen=True, slots=True)
class Found:
    """One thing that is not as it should be; `kind` is for programs, `says` for people."""

    kind: str
    table: str
    what: str
    says: str
    seq: int | None = None


@dataclass(slots=True)
class Audit:
    """What a look showed. `marks` is where the next one may go on; `notes` are no faults."""

    head: Head
    marks: dict[str, Mark] = field(default_factory=dict)
    found: list[Found] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    rows: int = 0
    files: int = 0


@dataclass(slots=True)
class _Clocks:
    back: int = 0
    off: int = 0
    most: dt.timedelta = dt.timedelta()
    last: dt.datetime | None = None

    def see(self, at: str, offset_ms: int | None) -> None:
        moment = dt.datetime.fromisoformat(at)
        self.back += self.last is not None and moment < self.last
        self.last = moment
        off = abs(dt.timedelta(milliseconds=offset_ms or 0))
        self.off += off > _ODD_CLOCK
        self.most = max(self.most, off)


class _Removed:
    """Which removal names a file: all read once, and what came since asked for by the name."""

    def __init__(self, database: Database) -> None:
        self._database = database
        self._known: dict[str, Entry] | None = None

    def of(self, name: str) -> Entry | None:
        with self._database.reading() as conn:
            if self._known is None:
                self._known = {
                    str(file): entry
                    for entry in reversed(removals.every(conn))
                    for file in entry.content["files"]
                }
            return self._known.get(name) or removals.of_file(conn, name)


def audit(
    database: Database,
    files: PhotoFiles,
    *,
    since: Mapping[str, Mark] | None = None,
    kept: Head | None = None,
    go_on: Callable[[], bool] = lambda: True,
) -> Audit:
    """Look at every row and file, or, with `since`, at those after an earlier look.

    It ends early where `go_on` answers False.
    """
    with database.reading() as conn:
        done = Audit(head_of(conn))
        done.found += _triggers(conn)
        done.found += _belonging(conn)
        tables = chain.tables_in(conn)
        for name in chain.lost_tables(conn):
            done.found.append(Found("table", name, name, f"{name}: the whole table is gone."))
    started, removed = dict(since or {}), _Removed(database)
    for table in tables:
        _follow(database, files, table, started.get(table.name), done, removed, go_on)
    done.found += _not_removed(database, files)
    aside = sum(path.is_file() for path in files.unnamed.rglob("*"))
    if aside:
        done.notes.append(f"{aside} files that no row names lie in {PHOTOS}/{UNNAMED}.")
    if kept is None:
        done.notes.append(BLIND)
    else:
        with database.reading() as conn:
            done.found += _against(conn, kept)
    return done


def _follow(
    database: Database,
    files: PhotoFiles,
    table: Table,
    start: Mark | None,
    done: Audit,
    removed: _Removed,
    go_on: Callable[[], bool],
) -> None:
    mark = start or Mark(0, 0, chain.genesis(table.name))
    clocks = _Clocks()
    if start is not None and start.rows:
        with database.reading() as conn:
            there = conn.execute(select(table.c.hash).where(table.c.seq == start.seq)).scalar()
        if there != start.hash:
            done.found.append(
                Found(
                    "recomputed",
                    table.name,
                    str(start.seq),
                    f"{table.name}: row {start.seq} is not the one that was there at the last "
                    "look: it was cut off, or the chain was computed anew.",
                )
            )
            mark = Mark(0, 0, chain.genesis(table.name))
    while True:
        with database.reading() as conn:
            rows = (
                conn.execute(
                    select(table)
                    .where(table.c.seq > mark.seq)
                    .order_by(table.c.seq)
                    .limit(_AT_ONCE)
                )
                .mappings()
                .all()
            )
        for row in rows:
            reason = chain.broken(table, row, mark.hash)
            if reason:
                says = f"{table.name}: row {row['seq']} ({row['id']}) {reason}."
                done.found.append(Found("row", table.name, row["id"], says, row["seq"]))
            else:
                clocks.see(row["at"], row["clock_offset_ms"])
            done.found += _files_of(files, table, row["id"], row["content"], done, removed)
            # go on from what stands there, so that one changed row is told once
            mark = Mark(mark.rows + 1, row["seq"], row["hash"])
            done.rows += 1
        if len(rows) < _AT_ONCE or not go_on():
            break
    done.marks[table.name] = mark
    _counted(database, table, mark, done)
    if clocks.back or clocks.off:
        done.notes.append(
            f"{table.name}: the server's clock went back {clocks.back} times; {clocks.off} entries "
            f"came from a device whose clock was more than 5 minutes off (at most {clocks.most})."
        )


def _counted(database: Database, table: Table, mark: Mark, done: Audit) -> None:
    """SQLite itself counts the rows that were ever appended (AUTOINCREMENT, sqlite.org)."""
    with database.reading() as conn:
        ever = conn.execute(
            text("SELECT seq FROM sqlite_sequence WHERE name = :name"), {"name": table.name}
        ).scalar()
        last = conn.execute(select(func.max(table.c.seq))).scalar()
    if (ever or 0) > (last or 0):
        says = (
            f"{table.name}: {ever} rows were appended, and the last that is there is {last or 0}."
        )
        done.found.append(Found("cut", table.name, str(last or 0), says))
    if mark.rows != mark.seq:
        says = f"{table.name}: {mark.rows} rows are there, and the last has the number {mark.seq}."
        done.found.append(Found("gap", table.name, str(mark.seq), says))


def _files_of(
    files: PhotoFiles, table: Table, id_: str, content: str, done: Audit, removed: _Removed
) -> Iterator[Found]:
    if table is photos:
        told = json.loads(content)
        looks = [
            ("original", files.path_of("sent", told["sha256"]), files.state(told["sha256"])),
            (
                "copy that is shown",
                files.path_of("served", told["served_sha256"]),
                files.served_state(told["served_sha256"]),
            ),
        ]
    elif table is readings:
        looks = [
            (
                f"picture of line {line}",
                files.strip_path(id_, int(line)),
                files.strip_state(id_, int(line), sha256),
            )
            for line, sha256 in json.loads(content).get("strips", {}).items()
        ]
    elif '"attachments":[{' in content:
        looks = [
            (
                f"attached file {one['name']}",
                files.path_of("sent", one["sha256"]),
                files.state(one["sha256"]),
            )
            for one in json.loads(content).get("attachments", ())
        ]
    else:
        return
    for what, path, state in looks:
        done.files += 1
        if state == "missing" and _was_removed(removed, files, path, done):
            continue
        if state != "intact":
            where = path.relative_to(files.folder)
            says = f"{table.name} {id_}: the {what} is {state} ({where})."
            yield Found(f"file_{state}", table.name, id_, says)


def _was_removed(removed: _Removed, files: PhotoFiles, path: Path, done: Audit) -> bool:
    """Whether a file that is not there was removed by somebody, who is then named in the notes."""
    removal = removed.of(path.relative_to(files.folder).as_posix())
    if removal is None:
        return False
    note = f"photos {removal.content['photo_id']}: its bytes were {removals.says(removal)}."
    if note not in done.notes:
        done.notes.append(note)
    return True


def _not_removed(database: Database, files: PhotoFiles) -> Iterator[Found]:
    """Files that somebody removed, as a row says, and that are there all the same."""
    with database.reading() as conn:
        there = removals.left(conn, files)
    if there:
        time.sleep(_UNDER_WAY)  # the row comes first: it may be under way
    for removal, path in there:
        if path.is_file():
            id_ = removal.content["photo_id"]
            says = f"photos {id_}: {path.relative_to(files.folder)} was {removals.says(removal)}; "
            yield Found("file_back", "photos", id_, says + "and it is there.")


def _triggers(conn: Connection) -> Iterator[Found]:
    there = set(
        conn.execute(text("SELECT name FROM sqlite_master WHERE type = 'trigger'")).scalars()
    )
    for table in chain.tables_in(conn):
        for verb in ("update", "delete"):
            if f"refuse_{verb}_{table.name}" not in there:
                says = f"{table.name}: the database no longer refuses to {verb} rows."
                yield Found("trigger", table.name, verb, says)


def _belonging(conn: Connection) -> Iterator[Found]:
    """Photos without a job, jobs that are done without a check, photos read without a check."""
    alone = select(photos.c.id).outerjoin(jobs, jobs.c.photo_id == photos.c.id)
    for id_ in conn.execute(alone.where(jobs.c.id.is_(None))).scalars():
        yield Found("job", "photos", id_, f"photos {id_}: its job is not there.")
    done = select(jobs.c.id).outerjoin(checks, checks.c.id == jobs.c.check_id)
    for id_ in conn.execute(done.where(jobs.c.state == "done", checks.c.id.is_(None))).scalars():
        yield Found("job", "jobs", id_, f"jobs {id_}: it is done, and its check is not there.")
    for table, column in ((readings, "photo_id"), (checks, "photo_id")):
        lost = (
            select(table.c.id)
            .outerjoin(photos, photos.c.id == table.c[column])
            .where(photos.c.id.is_(None))
        )
        for id_ in conn.execute(lost).scalars():
            yield Found("photo", table.name, id_, f"{table.name} {id_}: its photo is not there.")


def _against(conn: Connection, kept: Head) -> Iterator[Found]:
    """What a head kept elsewhere shows of the rows that were there then."""
    each: dict[str, str] = {}
    tables = {table.name: table for table in chain.tables_in(conn)}
    cut = False
    for name, rows in sorted(kept.rows.items()):
        table = tables.get(name)
        there = (
            None
            if table is None
            else conn.execute(
                select(table.c.hash).order_by(table.c.seq).offset(rows - 1).limit(1)
            ).scalar()
        )
        if there is None:
            cut = True
            yield Found(
                "cut",
                name,
                str(rows),
                f"{name}: the kept head has {rows} rows, and there are fewer now.",
            )
            continue
        each[name] = there
        if name in kept.each and kept.each[name] != there:
            yield Found(
                "recomputed",
                name,
                str(rows),
                f"{name}: row {rows} is not the one under the kept head: the chain was computed "
                "anew, or rows were left out.",
            )
    if not cut and over(each) != kept.head:
        says = (
            "The rows under the kept head are not those that it was made of: a chain was computed "
            "anew, rows were left out, or the head is of another folder."
        )
        yield Found("recomputed", "", kept.head, says)


def marks_as_json(marks: Mapping[str, Mark], whole_at: dt.datetime | None = None) -> str:
    """Where a look ended, to be kept for the next one, and when all of it was last looked at."""
    told = {name: [mark.rows, mark.seq, mark.hash] for name, mark in marks.items()}
    at = whole_at.isoformat() if whole_at is not None else None
    return json.dumps({"whole_at": at, "tables": told}, indent=1) + "\n"


def marks_of(text_: str) -> dict[str, Mark]:
    """Where an earlier look ended; none where the text is not one of ours."""
    try:
        told = json.loads(text_)
        return {
            str(name): Mark(int(rows), int(seq), str(hash_))
            # before 2026-11-30 the tables stood alone
            for name, (rows, seq, hash_) in told.get("tables", told).items()
        }
    except (ValueError, TypeError, AttributeError):
        return {}


def whole_at_of(text_: str) -> dt.datetime | None:
    """When all was last looked at; None where the text does not say so."""
    try:
        at = dt.datetime.fromisoformat(json.loads(text_)["whole_at"])
    except (ValueError, TypeError, LookupError):
        return None
    return at if at.tzinfo is not None else None
