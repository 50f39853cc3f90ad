#!/usr/bin/env python3
"""Look whether an evidence pack is as it was made. Needs Python 3.8 or later and nothing else.

    python3 verify.py PACK.zip                 the pack as one file
    python3 verify.py FOLDER                   the pack unpacked; without a name: where this file is
    python3 verify.py PACK.zip --seal DIGITS   and beside the seal that was written down elsewhere

Exit code 0: nothing was found; 1: something was, and it is named; 2: this is no pack.

The pack is a bag (BagIt, RFC 8493, 2018): `manifest-sha256.txt` has the SHA-256 (FIPS 180-4) of
each file under `data/`, `tagmanifest-sha256.txt` that of the other files. A zip ends with the
SHA-256 of all its bytes before. Each row in `data/records/` carries a SHA-256 over itself and the
hash of the row before it. None of it shows who made the pack: compare the seal with the one on
paper, and take this file from somebody whom you trust, for it is in the pack too.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import re
import struct
import sys
import zipfile
import zlib
from pathlib import Path

_LINE = re.compile(r"([0-9a-f]{64})  ([^\r\n]+)\n")
_HEX = re.compile(rb"[0-9a-f]{64}")
_BAG = b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
_PAYLOAD = "manifest-sha256.txt"
_TAGS = "tagmanifest-sha256.txt"
_BROKEN = (
    zipfile.BadZipFile,
    zlib.error,
    struct.error,
    NotImplementedError,
    RuntimeError,
    EOFError,
    OSError,
    ValueError,
    KeyError,
)


class NoPack(Exception):
    """What was named is no pack."""


class _Zip:
    """The files of a pack that is one zip file."""

    def __init__(self, path: Path) -> None:
        self.found: list[str] = []
        self._zip = zipfile.ZipFile(str(path))
        whole = [info.filename for info in self._zip.infolist()]
        if len(set(whole)) != len(whole):
            self.found.append("a name stands in the zip file twice")
        first = {name.partition("/")[0] for name in whole}
        if len(first) != 1:
            self.found.append("the files do not stand in one folder")
        self._top = min(first, default="") + "/"
        self.names = sorted(name[len(self._top) :] for name in whole if name.startswith(self._top))

    def read(self, name: str) -> bytes:
        return self._zip.read(self._top + name)


class _Folder:
    """The files of a pack that was unpacked."""

    def __init__(self, path: Path) -> None:
        self.found: list[str] = []
        self._path = path
        self.names = sorted(
            one.relative_to(path).as_posix() for one in path.rglob("*") if one.is_file()
        )

    def read(self, name: str) -> bytes:
        return (self._path / name).read_bytes()


def verify(path: Path, seal: str = "") -> list[str]:
    """What is not as it was made, a sentence each; raises NoPack."""
    found: list[str] = []
    bag: _Zip | _Folder
    if path.is_dir():
        bag = _Folder(path)
        now = _digest(bag.read(_TAGS)) if _TAGS in bag.names else ""
    elif path.is_file():
        now, ended = seal_of(path)
        if now != ended:
            found.append("the zip file does not end with the SHA-256 of its bytes: it was changed")
        try:
            bag = _Zip(path)
        except _BROKEN as error:
            if not found:
                raise NoPack(f"{path} is no zip file ({error}).") from error
            return [*found, f"the zip file cannot be opened any more ({error})"]
    else:
        raise NoPack(f"{path} is neither a file nor a folder.")
    if path.is_dir() and _TAGS not in bag.names and _PAYLOAD not in bag.names:
        raise NoPack(f"{path} holds no {_PAYLOAD}: name the folder that does.")
    if seal and seal.strip().lower() not in (now, _tag_digest(bag)):
        found.append("the seal is not the one that you gave")
    return found + bag.found + _look(bag)


def seal_of(path: Path) -> tuple[str, str]:
    """The SHA-256 of a zip file's bytes before its last 64, and those last 64 as text."""
    size = path.stat().st_size
    digest = hashlib.sha256()
    with path.open("rb") as opened:
        left = max(0, size - 64)
        while left:
            part = opened.read(min(left, 1 << 20))
            if not part:
                break
            digest.update(part)
            left -= len(part)
        last = opened.read(64)
    return digest.hexdigest(), last.decode() if _HEX.fullmatch(last) else ""


def _look(bag: _Zip | _Folder) -> list[str]:
    found: list[str] = []
    declaration = _bytes(bag, "bagit.txt", found)
    if declaration is not None and declaration != _BAG:
        found.append("bagit.txt was changed")
    tags = _manifest(bag, _TAGS, found)
    payload = _manifest(bag, _PAYLOAD, found)
    _compare(bag, tags, found)
    _compare(bag, payload, found)
    for name in bag.names:
        if name.startswith("data/"):
            if name not in payload:
                found.append(f"{name} stands in no manifest: it was put in later")
        elif name not in tags and name != _TAGS:
            found.append(f"{name} stands in no manifest: it was put in later")
    for name in sorted(payload):
        if name.startswith("data/records/") and name.endswith(".jsonl") and name in bag.names:
            found += _rows(name, _bytes(bag, name, []) or b"")
    return found


def _bytes(bag: _Zip | _Folder, name: str, found: list[str]) -> bytes | None:
    if name not in bag.names:
        found.append(f"{name} is missing")
        return None
    try:
        return bag.read(name)
    except _BROKEN as error:
        found.append(f"{name} cannot be read any more ({error})")
        return None


def _manifest(bag: _Zip | _Folder, name: str, found: list[str]) -> dict[str, str]:
    data = _bytes(bag, name, found)
    if data is None:
        return {}
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        found.append(f"{name} was changed: it is no UTF-8 any more")
        return {}
    told: dict[str, str] = {}
    place = 0
    while place < len(text):
        line = _LINE.match(text, place)
        if line is None:
            found.append(f"{name} was changed: its line {text.count(chr(10), 0, place) + 1} is odd")
            place = text.find("\n", place) + 1 or len(text)
            continue
        if line.group(2) in told:
            found.append(f"{name} names {line.group(2)} twice")
        told[line.group(2)] = line.group(1)
        place = line.end()
    return told


def _compare(bag: _Zip | _Folder, told: dict[str, str], found: list[str]) -> None:
    for name, sha256 in sorted(told.items()):
        data = _bytes(bag, name, found)
        if data is not None and _digest(data) != sha256:
            found.append(f"{name} was changed: its SHA-256 is not the one in the manifest")


def _rows(name: str, data: bytes) -> list[str]:
    """Rows whose own hash is not that of what they say."""
    found = []
    for number, line in enumerate(data.splitlines(), start=1):
        try:
            row = json.loads(line.decode("utf-8"))
            keys = ("actor", "at", "clock_offset_ms", "content", "id")
            signed = {key: row[key] for key in keys}
            text = json.dumps(signed, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
            whole = _digest(f"{row['previous']}\n{text}".encode()) == row["hash"]
        except (ValueError, KeyError, TypeError):
            whole = False
        if not whole:
            found.append(f"{name}: row {number} does not give its own hash")
    return found


def _tag_digest(bag: _Zip | _Folder) -> str:
    try:
        return _digest(bag.read(_TAGS))
    except _BROKEN:
        return ""


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def main(arguments: list[str] | None = None) -> int:
    """Say what was found; the exit code."""
    asked = argparse.ArgumentParser(description="Look whether an evidence pack is as it was made.")
    asked.add_argument("pack", nargs="?", default="", help="zip file or folder; else where this is")
    asked.add_argument("--seal", default="", help="64 digits that were written down elsewhere")
    told = asked.parse_args(arguments)
    path = Path(told.pack) if told.pack else Path(__file__).resolve().parent
    try:
        found = verify(path, told.seal)
    except NoPack as error:
        sys.stderr.write(f"{error}\n")
        return 2
    for one in found:
        sys.stdout.write(f"FOUND  {one}\n")
    if path.is_file():
        sys.stdout.write(f"Seal of the zip file: {seal_of(path)[0]}\n")
    sys.stdout.write(
        f"{len(found)} found.\n"
        if found
        else "Nothing found: every file is as the manifest has it.\n"
    )
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
