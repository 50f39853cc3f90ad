"""A copy of the data folder while it is in use, and the way back from it.

First the database, by SQLite's own backup of one consistent moment, then the files that it names:
files are kept before the rows that name them and are never changed, so all of them are there; where
one was removed meanwhile, which a row then says, the copy is begun anew. People and their devices
(`access.sqlite`) and the site's policy go along; the keys of the network do not: whoever holds
them can be this server to the phones that trust it, and a new authority is made in a moment.

Either way a folder is made under another name, for this account alone, looked at, and only then
named as it was asked for: what was cut off is no folder that a server would open.
"""

import os
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import BinaryIO

from inkwitness.errors import BadInput, StorageTrouble
from inkwitness.photo.files import PHOTOS, file_state, flush, make_folders
from inkwitness.records import chain, removals
from inkwitness.records.integrity.audit import Audit, audit
from inkwitness.records.store import ACCESS, DATABASE, Store, look_at_store, refuse_no_folder
from inkwitness.records.tables import photos, readings
from inkwitness.rulebook import policy

HEAD = "head.json"
#: How often a copy is begun anew because a file was removed while it was made.
_TRIES = 5


class _RemovedMeanwhile(Exception):
    """A file that the copied rows name was removed since, as a newer row says."""


def back_up(data: Path, target: Path) -> Audit:
    """Copy a data folder into a new folder and look at the copy. Raises StorageTrouble, BadInput.

    The copy also holds its head (`head.json`), to be kept apart from it.
    """
    refuse_no_folder(data)
    with _new_folder(target) as made:
        done = _copied(data, made)
        _write(made / HEAD, done.head.as_json().encode())
    return done


def restore(
    source: Path, data: Path, prepare: Callable[[Path], None] = lambda _folder: None
) -> Audit:
    """Put a backup into a new data folder. Raises StorageTrouble where the backup is not whole.

    `prepare` is called on the folder before it has its name: what must not be left undone. The
    backup is only read: it may be on a disk that cannot be written to.
    """
    refuse_no_folder(source)
    with _new_folder(data) as made:
        _copy_all(source, made)
        done = _whole(made, source)
        prepare(made)
    return done


@contextmanager
def _new_folder(folder: Path) -> Iterator[Path]:
    """A folder to fill, which gets the name that was asked for once it is whole, or is no more."""
    folder = folder.resolve()
    part = folder.with_name(f"{folder.name}.part")
    if folder.is_mount():  # a stick: it cannot be renamed, so its files are, the database last
        part = folder / "copy.part"
    for one in (part, folder):
        if one.exists() and any(one.iterdir()):
            raise BadInput("folder_not_empty", folder=str(one))
    part.mkdir(parents=True, exist_ok=True, mode=0o700)
    part.chmod(0o700)
    try:
        yield part
        _flush_all(part)
    except BaseException:
        shutil.rmtree(part)
        raise
    if part.parent == folder:
        for one in sorted(part.iterdir(), key=lambda one: one.name == DATABASE):
            one.replace(folder / one.name)
        part.rmdir()
    else:
        if folder.exists():
            folder.rmdir()
        part.rename(folder)
    for one in (folder, folder.parent):
        flush(one)


def _copied(data: Path, made: Path) -> Audit:
    for _ in range(_TRIES):
        _copy_database(data / DATABASE, made / DATABASE)
        if (data / ACCESS).is_file():
            _copy_database(data / ACCESS, made / ACCESS)
        if (data / policy.FILE).is_file():
            _copy(data / policy.FILE, made / policy.FILE)
        with closing(look_at_store(made)) as store:
            # of the try before: rows that were copied since say that it is removed
            with store.database.reading() as conn:
                left = [path for _, path in removals.left(conn, store.files)]
            for path in left:
                path.unlink()
            try:
                _copy_files(data, made, store)
            except _RemovedMeanwhile:
                continue
        return _whole(made, data)
    raise StorageTrouble("backup_unquiet", "busy", folder=str(data))


def _whole(made: Path, told: Path) -> Audit:
    """Look at a copy, and leave it as one file that can be read where nothing can be written."""
    with closing(look_at_store(made)) as store:
        done = audit(store.database, store.files)
    if done.found:
        first = "; ".join(one.says for one in done.found[:5])
        raise StorageTrouble("backup_not_whole", folder=str(told), n=len(done.found), first=first)
    with closing(sqlite3.connect(made / DATABASE)) as raw:
        raw.execute("PRAGMA journal_mode=DELETE").close()
    return done


def _copy_database(source: Path, copied: Path) -> None:
    copied.unlink(missing_ok=True)
    os.close(os.open(copied, os.O_CREAT | os.O_WRONLY, 0o600))
    with closing(sqlite3.connect(source)) as old, closing(sqlite3.connect(copied)) as new:
        old.backup(new)
        new.execute("PRAGMA journal_mode=DELETE").close()  # one file, without a log beside it


def _copy_files(data: Path, made: Path, store: Store) -> None:
    """Raises StorageTrouble where a file is gone, _RemovedMeanwhile where somebody removed it."""
    top = made / PHOTOS
    for name, sha256 in _named(store):
        copied, original = top / name, data / PHOTOS / name
        if file_state(copied, sha256) == "intact":
            continue
        make_folders(copied.parent, top)
        try:
            _copy(original, copied)
        except FileNotFoundError as error:
            if _is_removed(store, name):
                # attached, and once removed with a photo of the same bytes: the audit says so
                continue
            with closing(look_at_store(data)) as now:
                removed_since = _is_removed(now, name)
            if removed_since:
                raise _RemovedMeanwhile from error
            raise StorageTrouble("backup_file_missing", file=str(original)) from error


def _is_removed(store: Store, name: Path) -> bool:
    with store.database.reading() as conn:
        return removals.of_file(conn, name.as_posix()) is not None


def _copy_all(source: Path, made: Path) -> None:
    for path in sorted(source.rglob("*")):
        copied = made / path.relative_to(source)
        if path.is_dir():
            copied.mkdir(mode=0o700)
        else:
            _copy(path, copied)


def _copy(original: Path, copied: Path) -> None:
    """Copy a file's bytes, for this account alone."""
    with original.open("rb") as read, _opened(copied) as written:
        shutil.copyfileobj(read, written, 2**20)


def _write(path: Path, data: bytes) -> None:
    with _opened(path) as written:
        written.write(data)


@contextmanager
def _opened(path: Path) -> Iterator[BinaryIO]:
    opened = os.open(path, os.O_CREAT | os.O_TRUNC | os.O_WRONLY, 0o600)
    with os.fdopen(opened, "wb") as written:
        os.fchmod(opened, 0o600)
        yield written


def _named(store: Store) -> Iterator[tuple[Path, str]]:
    """Every file that the rows name, under the photos' folder, and its hash."""
    files = store.files
    with store.database.reading() as conn:
        gone = {entry.content["photo_id"] for entry in removals.every(conn)}
        for photo in chain.entries(conn, photos):
            if photo.id in gone:
                continue
            for kind, key in (("sent", "sha256"), ("served", "served_sha256")):
                sha256 = photo.content[key]
                path = files.path_of("sent" if kind == "sent" else "served", sha256)
                yield path.relative_to(files.folder), sha256
        for reading in chain.entries(conn, readings):
            if reading.content["photo_id"] in gone:
                continue
            for line, sha256 in reading.content.get("strips", {}).items():
                path = files.strip_path(reading.id, int(line))
                yield path.relative_to(files.folder), sha256
        for sha256 in removals.attached(conn):
            yield files.path_of("sent", sha256).relative_to(files.folder), sha256


def _flush_all(folder: Path) -> None:
    for path in (*folder.rglob("*"), folder):
        flush(path)
