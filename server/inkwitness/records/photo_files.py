"""Photo bytes on disk under their SHA-256: as they came, and as they may be served.

`sent/` holds what came, untouched, for the owner of the process only (0600 in folders 0700);
`served/` the copies without metadata; `strips/` the straightened lines of each reading, which can
be made again from the photo.
"""

import hashlib
import os
from dataclasses import dataclass
from pathlib import Path

import uuid_utils

from inkwitness.errors import NotFound


@dataclass(frozen=True, slots=True)
class PhotoFiles:
    """The three folders under one data folder."""

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

    def state(self, sha256: str) -> str:
        """Whether the bytes as they came are `intact`, `changed` or `missing`."""
        path = self._path("sent", sha256)
        if not path.is_file():
            return "missing"
        return "intact" if hashlib.sha256(path.read_bytes()).hexdigest() == sha256 else "changed"

    def keep_strip(self, reading_id: str, line: int, png: bytes) -> None:
        """Keep the straightened picture of one line."""
        _write(self.folder / "strips" / reading_id / f"{line}.png", png)

    def has_strip(self, reading_id: str, line: int) -> bool:
        """Whether there is a straightened picture of the line."""
        return (self.folder / "strips" / reading_id / f"{line}.png").is_file()

    def strip(self, reading_id: str, line: int) -> bytes:
        """The straightened picture of one line; raises NotFound."""
        path = self.folder / "strips" / reading_id / f"{line}.png"
        if not path.is_file():
            raise NotFound(f"There is no picture of line {line} for this photo.")
        return path.read_bytes()

    def _keep(self, kind: str, data: bytes) -> str:
        sha256 = hashlib.sha256(data).hexdigest()
        path = self._path(kind, sha256)
        if not path.exists():
            _write(path, data)
        return sha256

    def _bytes(self, kind: str, sha256: str) -> bytes:
        path = self._path(kind, sha256)
        if not path.is_file():
            raise NotFound(
                f"The file of the photo {sha256[:12]} is missing from the data folder. "
                "Restore it from a backup."
            )
        data = path.read_bytes()
        if hashlib.sha256(data).hexdigest() != sha256:
            raise NotFound(
                f"The file of the photo {sha256[:12]} was changed after it was stored, so it is "
                "not shown. Restore it from a backup."
            )
        return data

    def _path(self, kind: str, sha256: str) -> Path:
        return self.folder / kind / sha256[:2] / sha256


def _write(path: Path, data: bytes) -> None:
    """Write so that after a power cut the file is there whole or not at all."""
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    part = path.with_name(f"{path.name}.{uuid_utils.uuid4()}.part")
    with part.open("wb") as out:
        os.fchmod(out.fileno(), 0o600)
        out.write(data)
        out.flush()
        os.fsync(out.fileno())
    part.replace(path)
