"""Photo bytes on disk under their SHA-256: as they came, and as they may be served.

`sent/` holds what came, untouched, for the owner of the process only (0600 in folders 0700);
`served/` the copies without metadata; `strips/` the straightened lines of each reading; `parts/`
what is being written just now; `unnamed/` what was kept and no row names. A file is there whole or
not at all, after a power cut too: it is written beside its place, flushed to the disk, moved, and
the folders that name it are flushed before anybody is told that it is kept.
"""

import hashlib
import logging
import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import uuid_utils

from inkwitness.errors import NotFound

#: The folder of photos in a data folder.
PHOTOS = "photos"
#: Where files go that no row names, under that folder, by the names that they had there.
UNNAMED = "unnamed"
FileState = Literal["intact", "changed", "missing"]
_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class PhotoFiles:
    """The folders of photo files under one data folder."""

    folder: Path

    def keep_sent(self, data: bytes) -> str:
        """Keep the bytes as they came; answers their SHA-256."""
        return self._keep("sent", data)

    def keep_served(self, data: bytes) -> str:
        """Keep a copy that may be shown; answers its SHA-256."""
        return self._keep("served", data)

    def sent(self, sha256: str) -> bytes:
        """The bytes as they came. Raises NotFound where the file is gone or was changed."""
        return self._bytes("sent", sha256)

    def served(self, sha256: str) -> bytes:
        """The copy that may be shown. Raises NotFound where the file is gone or was changed."""
        return self._bytes("served", sha256)

    def state(self, sha256: str) -> FileState:
        """Whether the bytes as they came are as they came."""
        return file_state(self.path_of("sent", sha256), sha256)

    def served_state(self, sha256: str) -> FileState:
        """Whether the copy that may be shown is as it was made."""
        return file_state(self.path_of("served", sha256), sha256)

    def strip_state(self, reading_id: str, line: int, sha256: str) -> FileState:
        """Whether the straightened picture of a line is as it was made."""
        return file_state(self.strip_path(reading_id, line), sha256)

    def keep_strips(self, reading_id: str, images: Mapping[int, bytes]) -> dict[int, str]:
        """Keep the straightened pictures of a reading's lines; answers the SHA-256 of each."""
        folder = self.folder / "strips" / reading_id
        made = {}
        for line, png in images.items():
            self._write(folder / f"{line}.png", png)
            made[line] = hashlib.sha256(png).hexdigest()
        return made

    def has_strip(self, reading_id: str, line: int) -> bool:
        """Whether there is a straightened picture of the line."""
        return self.strip_path(reading_id, line).is_file()

    def line_image(self, reading_id: str, line: int) -> bytes:
        """The straightened picture of one line; raises NotFound."""
        path = self.strip_path(reading_id, line)
        if not path.is_file():
            raise NotFound("no_line_picture", line=line)
        return path.read_bytes()

    def strip_path(self, reading_id: str, line: int) -> Path:
        """Where the straightened picture of a line is."""
        return self.folder / "strips" / reading_id / f"{line}.png"

    def path_of(self, kind: Literal["sent", "served"], sha256: str) -> Path:
        """Where the bytes of this hash are."""
        return self.folder / kind / sha256[:2] / sha256

    def remove_parts(self) -> int:
        """Remove what was being written when the program was cut off; answers how many files.

        Only for whoever has the data folder for itself.
        """
        left = [*self.folder.glob("parts/*"), *self.folder.glob("*/*/*.part")]
        for path in left:
            path.unlink(missing_ok=True)
        return len(left)

    @property
    def unnamed(self) -> Path:
        """The folder of files that no row names, by the names that they had under `folder`."""
        return self.folder / UNNAMED

    def place_of(self, path: Path) -> Path:
        """Where a file in `unnamed` was."""
        return self.folder / path.relative_to(self.unnamed)

    def put_aside(self, path: Path) -> None:
        """Move a file out of the way of those that are named."""
        self._move(path, self.unnamed / path.relative_to(self.folder))

    def put_back(self, path: Path) -> None:
        """Move a file from `unnamed` to where it was."""
        self._move(path, self.place_of(path))

    def _move(self, path: Path, to: Path) -> None:
        make_folders(to.parent, self.folder)
        path.replace(to)
        flush(to.parent)
        flush(path.parent)

    def kept(self, kind: Literal["sent", "served"]) -> Iterator[str]:
        """The hash that each kept file is named by."""
        for path in self.folder.glob(f"{kind}/*/*"):
            if len(path.name) == 64:
                yield path.name

    def _keep(self, kind: Literal["sent", "served"], data: bytes) -> str:
        """A file of this name is taken for kept only when its bytes are looked at and are these."""
        sha256 = hashlib.sha256(data).hexdigest()
        path = self.path_of(kind, sha256)
        state = file_state(path, sha256)
        if state == "intact":
            # it may have been written by someone who was cut off before the flush
            flush(path)
            _flush_folders(path.parent, self.folder)
            return sha256
        if state == "changed":
            aside = path.with_name(f"{sha256}.changed-{uuid_utils.uuid7()}")
            path.replace(aside)
            _log.error("%s was not what it is named by; moved to %s, kept anew", path, aside.name)
        self._write(path, data)
        return sha256

    def _bytes(self, kind: Literal["sent", "served"], sha256: str) -> bytes:
        path = self.path_of(kind, sha256)
        if not path.is_file():
            raise NotFound("photo_file_missing", photo=sha256[:12])
        data = path.read_bytes()
        if hashlib.sha256(data).hexdigest() != sha256:
            raise NotFound("photo_file_changed", photo=sha256[:12])
        return data

    def _write(self, path: Path, data: bytes) -> None:
        parts = self.folder / "parts"
        make_folders(parts, self.folder)
        make_folders(path.parent, self.folder)
        part = parts / f"{uuid_utils.uuid7()}.part"
        try:
            write_flushed(part, data)
            part.replace(path)
        except BaseException:
            part.unlink(missing_ok=True)
            raise
        _flush_folders(path.parent, self.folder)


def file_state(path: Path, sha256: str) -> FileState:
    """Whether the bytes of a file are those of a hash."""
    try:
        with path.open("rb") as file:
            found = hashlib.file_digest(file, "sha256").hexdigest()
    except FileNotFoundError:
        return "missing"
    return "intact" if found == sha256 else "changed"


def write_flushed(path: Path, data: bytes) -> None:
    """Write a new file for this account alone, flushed to the disk; its name may not be yet."""
    with path.open("xb") as out:
        os.fchmod(out.fileno(), 0o600)
        out.write(data)
        out.flush()
        os.fsync(out.fileno())


def make_folders(folder: Path, top: Path) -> None:
    """Make the folders from `top` down to this one, for this account alone."""
    if folder.is_dir():
        return
    if folder != top:
        make_folders(folder.parent, top)
    folder.mkdir(mode=0o700, exist_ok=True, parents=folder == top)
    flush(folder.parent)


def _flush_folders(folder: Path, top: Path) -> None:
    """Flush the names in a folder and in those above it, up to the one that `top` stands in."""
    for one in (folder, *folder.parents):
        flush(one)
        if one == top.parent:
            return


def flush(path: Path) -> None:
    """Have a file's bytes, or the names in a folder, on the disk before this returns."""
    opened = os.open(path, os.O_RDONLY)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)
