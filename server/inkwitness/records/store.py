"""Everything that is kept, in one data folder: the database and the photo files."""

import fcntl
import logging
import os
import time
from dataclasses import dataclass
from pathlib import Path

import uuid_utils
from sqlalchemy import func, select

from inkwitness.errors import BadInput, StorageTrouble
from inkwitness.photo.files import PHOTOS, PhotoFiles
from inkwitness.records import removals
from inkwitness.records.database import Database, connect_database, open_database
from inkwitness.records.tables import photos, readings
from inkwitness.records.trouble import stored_nothing, trouble

DATABASE = "inkwitness.sqlite"
#: Accounts and devices, where people sign in (`inkwitness.access`).
ACCESS = "access.sqlite"
LOCK = "server.lock"
#: Seconds after which a file that was kept has its row, or never will have.
_ABOUT_TO = 3600.0
_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Store:
    """The database and the photo files that belong to it."""

    database: Database
    files: PhotoFiles
    lock: int | None = None

    def close(self) -> None:
        """Let go of the database file and of the folder."""
        self.database.close()
        if self.lock is not None:
            os.close(self.lock)


def open_store(folder: Path, *, alone: bool = False) -> Store:
    """Open or create the data folder and bring its tables up to date.

    With `alone` nobody else may have it `alone` at the same time: for a server, and for whatever
    tidies up. Raises StorageTrouble where the folder cannot be written to or is taken.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        folder.chmod(0o700)
        lock = _lock(folder) if alone else None
    except OSError as error:
        raise StorageTrouble(
            "data_folder_read_only", "read_only", folder=str(folder), why=error.strerror
        ) from error
    try:
        files = PhotoFiles(folder / PHOTOS)
        database = open_database(folder / DATABASE)
        if alone:
            files.remove_parts()
            _put_aside(database, files)
            _finish_removals(database, files)
    except BaseException as error:
        if lock is not None:
            os.close(lock)
        kind = trouble(error)
        if kind is None:
            raise
        raise StorageTrouble(
            "data_folder_in_trouble",
            kind,
            folder=str(folder),
            why=stored_nothing(kind).sentence,
            told=str(error),
        ) from error
    return Store(database, files, lock)


def _finish_removals(database: Database, files: PhotoFiles) -> None:
    """Remove what a row says is removed, where the program was cut off in between."""
    with database.reading() as conn:
        cut_off = removals.left(conn, files)
    removals.unlink(files, [path.relative_to(files.folder).as_posix() for _, path in cut_off])


def _put_aside(database: Database, files: PhotoFiles) -> None:
    """Put aside what was kept and is named by no row, and put back what is named after all.

    The program was cut off before the row: nobody was told that it is kept, and it is sent or made
    again. Or the database is older than the files, and the right one is put back later. So nothing
    is thrown away.
    """
    with database.reading() as conn:
        copies = func.json_extract(photos.c.content, "$.served_sha256")
        named = {
            "sent": {*conn.execute(select(photos.c.sha256)).scalars(), *removals.attached(conn)},
            "served": set(conn.execute(select(copies)).scalars()),
            "strips": set(conn.execute(select(readings.c.id)).scalars()),
        }
    aside, back = 0, 0
    for kind, names in named.items():
        for path in list(files.unnamed.glob(f"{kind}/*/*")):
            if _name(kind, path) in names and not files.place_of(path).exists():
                files.put_back(path)
                back += 1
        for path in list(files.folder.glob(f"{kind}/*/*")):
            name = _name(kind, path)
            if name and name not in names and _is_old(path):
                files.put_aside(path)
                aside += 1
    if aside or back:
        told = "%d files that no row names were put into %s, %d that are named again were put back"
        _log.warning(told, aside, files.unnamed, back)


def _name(kind: str, path: Path) -> str:
    """What a row would name a file by: its hash, or its reading; empty: no row would."""
    if kind == "strips":
        return path.parent.name
    return path.name if len(path.name) == 64 else ""


def _is_old(path: Path) -> bool:
    """Whether no command that works beside this one can be about to name a file."""
    return time.time() - path.stat().st_mtime > _ABOUT_TO


def look_at_store(folder: Path) -> Store:
    """A data folder as it is, without changing its tables. Raises BadInput where there is none."""
    refuse_no_folder(folder)
    return Store(connect_database(folder / DATABASE), PhotoFiles(folder / PHOTOS))


def refuse_no_folder(folder: Path) -> None:
    """Raise BadInput where there is no database in a folder, before one is made there."""
    if not (folder / DATABASE).is_file():
        raise BadInput("no_database", folder=str(folder))


def refuse_if_taken(folder: Path) -> None:
    """Raise StorageTrouble where another server has the folder, before anything is written."""
    if (folder / LOCK).exists():
        os.close(_lock(folder))


def _lock(folder: Path) -> int:
    """The lock of a folder, held until the file is closed or the process ends, however it ends."""
    opened = os.open(folder / LOCK, os.O_RDWR | os.O_CREAT, 0o600)
    try:
        fcntl.flock(opened, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError as error:
        held_by = os.read(opened, 20).decode(errors="replace").strip()
        os.close(opened)
        raise StorageTrouble(
            "data_folder_taken", "busy", folder=str(folder), process=held_by or "?"
        ) from error
    os.ftruncate(opened, 0)
    os.write(opened, f"{os.getpid()}\n".encode())
    return opened


def new_id() -> str:
    """A UUIDv7 (RFC 9562): ids made later sort later."""
    return str(uuid_utils.uuid7())
