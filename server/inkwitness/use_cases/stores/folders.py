"""A folder of photos as it is brought in: its files in order, each with the folder it is in."""

import hashlib
from dataclasses import dataclass
from pathlib import Path

from inkwitness.errors import BadInput

#: Files that a folder has without anybody having taken a photo.
_NO_PHOTOS = {"thumbs.db", "desktop.ini"}


@dataclass(frozen=True, slots=True)
class Brought:
    """One file; `name` and `folder` are seen from the folder that is brought in."""

    path: Path
    name: str
    folder: str

    @staticmethod
    def sha256(data: bytes) -> str:
        """The SHA-256 of its bytes, by which a photo that is kept already is known."""
        return hashlib.sha256(data).hexdigest()


def files_of(folder: Path) -> list[Brought]:
    """Every file under a folder in the order of its name; hidden files and links are left out.

    Raises BadInput where there is no such folder.
    """
    if not folder.is_dir():
        raise BadInput("no_photo_folder", folder=str(folder))
    found = []
    for path in sorted(folder.rglob("*")):
        inside = path.relative_to(folder)
        hidden = any(part.startswith(".") for part in inside.parts)
        if hidden or path.is_symlink() or not path.is_file() or path.name.lower() in _NO_PHOTOS:
            continue
        where = inside.parent.as_posix()
        found.append(Brought(path, inside.as_posix(), folder.name if where == "." else where))
    return found
