"""A copy of the data folder while it is in use, and the way back from it.

First the database, by SQLite's own backup of one consistent moment, then the files that it names:
files are kept before the rows that name them and are never changed, so all of them are there.
People and their devices (`access.sqlite`) go along; the keys of the network do not: whoever holds
them can be this server to the phones that trust it, and a new authority is made in a moment.
"""

import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from inkwitness.errors import BadInput, StorageTrouble
from inkwitness.photo.files import PHOTOS, file_state, make_folders
from inkwitness.records import chain, removals
from inkwitness.records.integrity.audit import Audit, audit
from inkwitness.records.store import ACCESS, DATABASE, Store, look_at_store, refuse_no_folder
from inkwitness.records.tables import photos, readings

HEAD = "head.json"


def back_up(data: Path, target: Path) -> Audit:
    """Copy a data folder into a new folder and look at the copy. Raises StorageTrouble, BadInput.

    The copy also holds its head (`head.json`), to be kept apart from it.
    """
    _new_folder(target)
    refuse_no_folder(data)
    _copy_database(data / DATABASE, target / DATABASE)
    if (data / ACCESS).is_file():
        _copy_database(data / ACCESS, target / ACCESS)
    store = look_at_store(target)
    try:
        _copy_files(data, target, store)
        done = _whole(store, target)
    finally:
        store.close()
    (target / HEAD).write_text(done.head.as_json(), encoding="utf-8")
    _flush_all(target)
    return done


def restore(source: Path, data: Path) -> Audit:
    """Put a backup into a new data folder. Raises StorageTrouble where the backup is not whole."""
    _new_folder(data)
    store = look_at_store(source)
    try:
        done = _whole(store, source)
    finally:
        store.close()
    data.rmdir()
    shutil.copytree(source, data)
    for path in data.rglob("*"):
        path.chmod(0o700 if path.is_dir() else 0o600)
    data.chmod(0o700)
    _flush_all(data)
    return done


def _whole(store: Store, folder: Path) -> Audit:
    done = audit(store.database, store.files)
    if done.found:
        first = "; ".join(one.says for one in done.found[:5])
        raise StorageTrouble("backup_not_whole", folder=str(folder), n=len(done.found), first=first)
    return done


def _new_folder(folder: Path) -> None:
    if folder.exists() and any(folder.iterdir()):
        raise BadInput("folder_not_empty", folder=str(folder))
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)


def _copy_database(source: Path, copied: Path) -> None:
    os.close(os.open(copied, os.O_CREAT | os.O_WRONLY, 0o600))
    with closing(sqlite3.connect(source)) as old, closing(sqlite3.connect(copied)) as new:
        old.backup(new)
        new.execute("PRAGMA journal_mode=DELETE").close()  # one file, without a log beside it


def _copy_files(data: Path, target: Path, store: Store) -> None:
    top = target / PHOTOS
    for name, sha256 in _named(store):
        copied, original = top / name, data / PHOTOS / name
        if file_state(copied, sha256) == "intact":
            continue
        make_folders(copied.parent, top)
        try:
            shutil.copyfile(original, copied)
        except FileNotFoundError as error:
            with store.database.reading() as conn:
                if removals.of_file(conn, name.as_posix()) is not None:
                    # attached, and once removed with a photo of the same bytes: the audit says so
                    continue
            raise StorageTrouble("backup_file_missing", file=str(original)) from error
        copied.chmod(0o600)


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
    for path in (*folder.rglob("*"), folder, folder.parent):
        opened = os.open(path, os.O_RDONLY)
        try:
            os.fsync(opened)
        finally:
            os.close(opened)
