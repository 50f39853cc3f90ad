"""Bytes that were removed for good, by a person or because their time was over.

No row is ever removed: hash, name and reason stay, and the audit tells a file that was removed from
one that is gone. What is removed are the bytes of a photo: as it came, the copy that is shown, and
the straightened lines beside its marks. Photos of the same bytes go together: they are one file.
The row comes first, so that nothing is gone of which nobody knows why; a start finishes what was
cut off in between.
"""

from collections.abc import Iterable
from pathlib import Path

from sqlalchemy import Connection

from inkwitness.errors import Removed
from inkwitness.photo.files import PhotoFiles, flush
from inkwitness.records import chain
from inkwitness.records.chain import Entry
from inkwitness.records.tables import photos, readings, removals


def every(conn: Connection) -> list[Entry]:
    """Every removal, the oldest first; none in a database of before there were any."""
    return chain.entries(conn, removals) if removals in chain.tables_in(conn) else []


def of_photo(conn: Connection, photo_id: str) -> Entry | None:
    """The removal of a photo's bytes, or None."""
    found = chain.entries(conn, removals, photo_id=photo_id)
    return found[0] if found else None


def says(removal: Entry) -> str:
    """By whom, when and why."""
    name, reason = removal.context.actor.name, removal.content["reason"]
    return f"removed by {name} on {removal.at:%Y-%m-%d}: {reason}"


def refuse(conn: Connection, photo_id: str) -> None:
    """Raise Removed where a photo's bytes were removed."""
    removal = of_photo(conn, photo_id)
    if removal is not None:
        raise removed("photo_removed", removal)


def removed(key: str, removal: Entry) -> Removed:
    """The error that says by whom, when and why, in the sentence of a key."""
    return Removed(
        key,
        name=removal.context.actor.name,
        day=f"{removal.at:%Y-%m-%d}",
        reason=removal.content["reason"],
    )


def same_bytes(conn: Connection, photo: Entry) -> list[Entry]:
    """The photos that share a file with this one: the same bytes, or the same copy of them."""
    told = photo.content
    return [
        one
        for one in chain.entries(conn, photos)
        if one.content["sha256"] == told["sha256"]
        or one.content["served_sha256"] == told["served_sha256"]
    ]


def files_of(conn: Connection, files: PhotoFiles, photo: Entry) -> list[str]:
    """Every file of a photo, under the photos' folder: as it came, its copy, its lines."""
    found = [
        files.path_of("sent", photo.content["sha256"]),
        files.path_of("served", photo.content["served_sha256"]),
    ]
    for reading in chain.entries(conn, readings, photo_id=photo.id):
        found += [
            files.strip_path(reading.id, int(line)) for line in reading.content.get("strips", {})
        ]
    return [path.relative_to(files.folder).as_posix() for path in found]


def of_file(conn: Connection, name: str) -> Entry | None:
    """The removal that names this file, or None."""
    for entry in every(conn):
        if name in entry.content["files"]:
            return entry
    return None


def left(conn: Connection, files: PhotoFiles) -> list[tuple[Entry, Path]]:
    """Files that were removed by what the rows say, and are there."""
    return [
        (entry, files.folder / name)
        for entry in every(conn)
        for name in entry.content["files"]
        if (files.folder / name).is_file()
    ]


def unlink(files: PhotoFiles, names: Iterable[str]) -> None:
    """Remove files that a row names, and have their names off the disk before this returns."""
    folders = set()
    for name in names:
        path = files.folder / name
        path.unlink(missing_ok=True)
        folders.add(path.parent)
    for folder in folders:
        if folder.is_dir():
            flush(folder)
