"""Bytes that were removed for good, by a person or because their time was over.

No row is ever removed: hash, name and reason stay, and the audit tells a file that was removed from
one that is gone. What is removed are the bytes of a photo: as it came, the copy that is shown, and
the straightened lines beside its marks. Photos of the same bytes go together: they are one file.
Where somebody attached the same bytes to a paper or a look-up, that file stays: it is theirs.
The row comes first, so that nothing is gone of which nobody knows why; a start finishes what was
cut off in between.
"""

import json
from collections.abc import Iterable, Iterator
from pathlib import Path

from sqlalchemy import Connection, and_, func, select, true

from inkwitness.errors import Removed
from inkwitness.photo.files import PhotoFiles, flush
from inkwitness.records import chain
from inkwitness.records.chain import Entry
from inkwitness.records.tables import photos, readings, removals

#: Most of what is kept: rows that the program writes by itself, to which nobody attaches a file.
_NOTHING_ATTACHED = ("photos", "readings", "checks", "unit_checks", "list_rechecks", "removals")


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
    """The photos that share a file with this one: the same bytes, or the same copy of them.

    And those that share one with these: none of them may lose a file alone.
    """
    found, asked = {photo.id: photo}, [photo]
    while asked:
        told = asked.pop().content
        copies = chain.naming(conn, photos, told["served_sha256"])
        for one in (
            *chain.entries(conn, photos, sha256=told["sha256"]),
            *(one for one in copies if one.content["served_sha256"] == told["served_sha256"]),
        ):
            if one.id not in found:
                found[one.id] = one
                asked.append(one)
    return sorted(found.values(), key=lambda one: one.seq)


def files_of(conn: Connection, files: PhotoFiles, photo: Entry) -> list[str]:
    """Every file of a photo, under the photos' folder: as it came, its copy, its lines.

    What somebody attached to something else as well is not among them.
    """
    found = [
        files.path_of("sent", photo.content["sha256"]),
        files.path_of("served", photo.content["served_sha256"]),
    ]
    for reading in chain.entries(conn, readings, photo_id=photo.id):
        found += [
            files.strip_path(reading.id, int(line)) for line in reading.content.get("strips", {})
        ]
    names = [path.relative_to(files.folder).as_posix() for path in found]
    return [name for name in names if not is_attached(conn, name)]


def attached(conn: Connection, sha256: str = "") -> Iterator[str]:
    """The hash of each file that a row has attached; with `sha256` of that file alone."""
    for table in chain.tables_in(conn):
        if table.name in _NOTHING_ATTACHED:
            continue
        some = table.c.content.contains('"attachments":[{', autoescape=True)
        this = func.instr(table.c.content, sha256) > 0 if sha256 else true()
        for content in conn.execute(select(table.c.content).where(and_(some, this))).scalars():
            for one in json.loads(content).get("attachments", ()):
                if not sha256 or one["sha256"] == sha256:
                    yield one["sha256"]


def is_attached(conn: Connection, name: str) -> bool:
    """Whether somebody attached this file, so that it stays whatever photo has the same bytes."""
    return name.startswith("sent/") and any(attached(conn, name.rsplit("/", 1)[-1]))


def of_file(conn: Connection, name: str) -> Entry | None:
    """The removal that names this file, or None."""
    if removals not in chain.tables_in(conn):
        return None
    found = chain.naming(conn, removals, name)
    return next((entry for entry in found if name in entry.content["files"]), None)


def of_bytes(conn: Connection, *hashes: str) -> Entry | None:
    """The removal of a photo with these bytes, or with this copy of them, or None."""
    for sha256 in hashes:
        for entry in chain.naming(conn, removals, sha256):
            if sha256 in (entry.content["sha256"], entry.content["served_sha256"]):
                return entry
    return None


def going(conn: Connection, removal: Entry) -> list[str]:
    """The files of a removal that go: all that it names but what somebody attached."""
    return [str(name) for name in removal.content["files"] if not is_attached(conn, str(name))]


def gone(conn: Connection, files: PhotoFiles, *hashes: str) -> Entry | None:
    """The removal of a photo of these bytes, or None; then none of its files is there any more.

    Asked again in the transaction that would name them: they may have been removed meanwhile, and
    whoever was not told in time has written them anew.
    """
    removal = of_bytes(conn, *hashes)
    if removal is not None:
        unlink(files, going(conn, removal))
    return removal


def refuse_attached(conn: Connection, files: PhotoFiles, hashes: Iterable[str]) -> None:
    """Raise Removed for bytes of a photo that was removed; what is attached may be so once more."""
    for sha256 in hashes:
        removal = of_bytes(conn, sha256)
        if removal is not None and not any(attached(conn, sha256)):
            unlink(files, going(conn, removal))
            raise removed("bytes_removed_before", removal)


def left(conn: Connection, files: PhotoFiles) -> list[tuple[Entry, Path]]:
    """Files that were removed by what the rows say, and are there though nobody attached them."""
    return [
        (entry, files.folder / name)
        for entry in every(conn)
        for name in entry.content["files"]
        if (files.folder / name).is_file() and not is_attached(conn, name)
    ]


def unlink(files: PhotoFiles, names: Iterable[str]) -> None:
    """Remove files that a row names, and have their names off the disk before this returns."""
    folders = set()
    for name in names:
        for path in (files.folder / name, files.unnamed / name):
            path.unlink(missing_ok=True)
            folders.add(path.parent)
    for folder in folders:
        if folder.is_dir():
            flush(folder)
