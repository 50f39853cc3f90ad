"""A bag (BagIt, RFC 8493, 2018) written as one zip file, sealed at its end.

The zip's comment is the SHA-256 of all bytes before it: a bit that changes in the zip's own fields,
which no manifest sees, is seen too.
"""

import datetime as dt
import hashlib
import zipfile
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

#: A file of the bag: its bytes, or where they are.
Part = tuple[str, bytes | Path]
_DECLARATION = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
_PICTURES = (".jpg", ".jpeg", ".png", ".webp", ".heic", ".heif", ".pdf")


@dataclass(frozen=True, slots=True)
class Bagged:
    """A bag that was written: its manifest, the seal of the zip, how many files and bytes."""

    manifest: str
    seal: str
    sha256: str
    files: int
    octets: int
    size: int


def write(
    out: Path,
    top: str,
    payload: Iterable[Part],
    tags: Iterable[Part],
    about: Mapping[str, str],
    made_at: dt.datetime,
) -> Bagged:
    """Write the bag to `out` with everything in the folder `top`; payload names begin with `data/`.

    Raises ValueError for a name that stands there twice or leads out of the bag.
    """
    with zipfile.ZipFile(out, "w") as opened:
        writer = _Writer(opened, top, made_at.astimezone(dt.UTC))
        inside, octets = writer.put_all(payload)
        manifest = _lines(inside)
        info = {
            "Bagging-Date": made_at.astimezone(dt.UTC).date().isoformat(),
            "Payload-Oxum": f"{octets}.{len(inside)}",
            **about,
        }
        told = "".join(f"{key}: {' '.join(value.split())}\n" for key, value in info.items())
        own: list[Part] = [
            ("bagit.txt", _DECLARATION.encode()),
            ("bag-info.txt", told.encode()),
            ("manifest-sha256.txt", manifest.encode()),
            *tags,
        ]
        beside, _ = writer.put_all(own)
        writer.put("tagmanifest-sha256.txt", _lines(beside).encode())
        opened.comment = b"0" * 64
    seal, sha256 = _sealed(out)
    return Bagged(manifest, seal, sha256, len(inside), octets, out.stat().st_size)


class _Writer:
    def __init__(self, opened: zipfile.ZipFile, top: str, at: dt.datetime) -> None:
        self._zip = opened
        self._top = top
        self._at = (at.year, at.month, at.day, at.hour, at.minute, at.second)
        self._names: set[str] = set()

    def put_all(self, parts: Iterable[Part]) -> tuple[dict[str, str], int]:
        """Name and SHA-256 of each file, and how many bytes they have together."""
        told, octets = {}, 0
        for name, content in parts:
            told[name], size = self.put(name, content)
            octets += size
        return told, octets

    def put(self, name: str, content: bytes | Path) -> tuple[str, int]:
        if name in self._names or name.startswith("/") or ".." in name.split("/"):
            raise ValueError(f"{name} cannot stand in the bag")
        self._names.add(name)
        data = content.read_bytes() if isinstance(content, Path) else content
        info = zipfile.ZipInfo(f"{self._top}/{name}", self._at)
        info.create_system = 3
        info.external_attr = 0o644 << 16
        info.compress_type = (
            zipfile.ZIP_STORED if name.lower().endswith(_PICTURES) else zipfile.ZIP_DEFLATED
        )
        self._zip.writestr(info, data)
        return hashlib.sha256(data).hexdigest(), len(data)


def _lines(told: Mapping[str, str]) -> str:
    # a percent sign or a line end in a name is written as RFC 8493, 2.1.3, has it; ours have none
    return "".join(f"{sha256}  {name}\n" for name, sha256 in sorted(told.items()))


def _sealed(path: Path) -> tuple[str, str]:
    """Put the SHA-256 of all bytes before the comment into it; answers it and the whole file's."""
    before = hashlib.sha256()
    size = path.stat().st_size
    with path.open("r+b") as opened:
        left = size - 64
        while left:
            part = opened.read(min(left, 1 << 20))
            before.update(part)
            left -= len(part)
        seal = before.hexdigest()
        opened.seek(size - 64)
        opened.write(seal.encode())
    whole = before.copy()
    whole.update(seal.encode())
    return seal, whole.hexdigest()
