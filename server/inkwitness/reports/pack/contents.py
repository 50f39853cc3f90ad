"""What goes into an evidence pack: reports, records, lists, rules, pictures, and how to look."""

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection

from inkwitness import phrases
from inkwitness.errors import NotFound
from inkwitness.holders.files import exporting
from inkwitness.photo.files import PhotoFiles, file_state
from inkwitness.phrases import Phrases
from inkwitness.records import chain, lists, removals
from inkwitness.records.chain import Entry
from inkwitness.records.integrity.heads import head_of
from inkwitness.records.tables import documents, official_look_ups, readings
from inkwitness.records.tables import photos as photos_table
from inkwitness.reports.document import shown
from inkwitness.reports.pack import records, verify_pack
from inkwitness.reports.pack.bag import Part
from inkwitness.rulebook.load import files_of_edition
from inkwitness.use_cases import dispatches
from inkwitness.use_cases.overview import Overview

_SUFFIXES = {
    "image/jpeg": "jpg",
    "image/png": "png",
    "image/webp": "webp",
    "image/heic": "heic",
    "application/pdf": "pdf",
}


@dataclass(frozen=True, slots=True)
class Contents:
    """The files of a pack but for those of reports; `left_out` says which are not in it, and why.

    `tags` are the files beside the payload: how to look at the pack, and the program that does.
    """

    payload: tuple[Part, ...]
    tags: tuple[Part, ...]
    left_out: tuple[str, ...]
    head: str


def gather(
    conn: Connection, files: PhotoFiles, found: Overview, say: Phrases, *, originals: bool
) -> Contents:
    """Everything about a consignment.

    Photos are the copies without metadata; with `originals` those as they came stand beside them,
    and what was attached to look-ups, papers and dispatches.
    """
    gatherer = _Gatherer(conn, files, say, originals=originals)
    unit_ids = [unit.unit_id for unit in found.units]
    parts: list[Part] = [
        (f"data/records/{name}.jsonl", lines)
        for name, lines in records.rows_of(conn, found.entry.id, unit_ids)
    ]
    head = head_of(conn)
    parts.append(("data/records/head.json", head.as_json().encode()))
    newest = lists.current(conn)
    if newest is not None:
        parts.append((f"data/lists/edition-{newest.edition}.csv", exporting.to_csv(newest)))
    parts += _rules()
    for photo in _photos(conn, unit_ids):
        parts += gatherer.photo(photo)
    for given in dispatches.all_of(conn, consignment_id=found.entry.id):
        parts += gatherer.attached(given, "given")
    if originals:
        # as they came, so a picture among them may say where it was taken
        for table in (official_look_ups, documents):
            for entry in chain.entries(conn, table, consignment_id=found.entry.id):
                parts += gatherer.attached(entry, "originals")
    about = {
        "consignment": found.entry.id,
        "originals": originals,
        "left_out": gatherer.left_out,
    }
    parts.append(("data/about.json", as_json(about)))
    own = Path(verify_pack.__file__).read_bytes()
    tags: list[Part] = [("README.txt", readme(say).encode()), ("verify.py", own)]
    return Contents(tuple(parts), tuple(tags), tuple(gatherer.left_out), head.head)


def readme(say: Phrases) -> str:
    """How to look whether the pack is as it was made, and what that does not show."""
    told = (
        say("pack.readme.what"),
        say("pack.readme.how"),
        "    python3 verify.py",
        say("pack.readme.codes"),
        say("pack.readme.seal"),
        "    python3 verify.py PACK.zip --seal DIGITS",
        say("pack.readme.trust"),
        f"{say('report.evidence.bytes')} {say('report.evidence.scene')}",
    )
    return "\n\n".join(told) + "\n"


class _Gatherer:
    def __init__(
        self, conn: Connection, files: PhotoFiles, say: Phrases, *, originals: bool
    ) -> None:
        self._conn = conn
        self._files = files
        self._say = say
        self._originals = originals
        self.left_out: list[str] = []

    def photo(self, photo: Entry) -> Iterator[Part]:
        content = photo.content
        suffix = _SUFFIXES.get(content["served_type"], "bin")
        name = f"data/photos/{photo.id}.{suffix}"
        yield from self._file(name, "served", content["served_sha256"])
        for reading in chain.entries(self._conn, readings, photo_id=photo.id):
            for line, sha256 in reading.content.get("strips", {}).items():
                path = self._files.strip_path(reading.id, int(line))
                yield from self._path(f"data/lines/{reading.id}/{line}.png", path, sha256)
        if self._originals:
            ending = Path(content["name"]).suffix.lower()
            ending = ending if ending.isascii() and ending[1:].isalnum() else ".bin"
            name = f"data/originals/{photo.id}{ending}"
            removal = removals.of_photo(self._conn, photo.id)
            if removal is None:
                yield from self._file(name, "sent", content["sha256"])
            else:  # where the file is there, it is one that somebody attached to something else
                self._left_out(
                    name,
                    self._say(
                        "report.file.removed",
                        name=shown(removal.context.actor.name),
                        at=f"{removal.at:%Y-%m-%d}",
                        reason=shown(removal.content["reason"]),
                    ),
                )

    def attached(self, entry: Entry, folder: str) -> Iterator[Part]:
        for place, one in enumerate(entry.content.get("attachments", ())):
            suffix = Path(one["name"]).suffix.lower()
            suffix = suffix if suffix.isascii() and suffix[1:].isalnum() else ".bin"
            name = f"data/{folder}/{entry.id}-{place}{suffix}"
            yield from self._file(name, "sent", one["sha256"])

    def _file(self, name: str, kind: str, sha256: str) -> Iterator[Part]:
        path = self._files.path_of("sent" if kind == "sent" else "served", sha256)
        yield from self._path(name, path, sha256)

    def _path(self, name: str, path: Path, sha256: str) -> Iterator[Part]:
        state = file_state(path, sha256)
        if state == "intact":
            yield name, path
        else:
            # said in the pack itself: a hole in the evidence is not passed over
            self._left_out(name, self._say(f"report.file.{state}"))

    def _left_out(self, name: str, state: str) -> None:
        self.left_out.append(self._say("pack.left_out", name=name, state=state))


def _photos(conn: Connection, unit_ids: Sequence[str]) -> Iterator[Entry]:
    for unit_id in unit_ids:
        yield from chain.entries(conn, photos_table, unit_id=unit_id)


def _rules() -> list[Part]:
    folder = phrases.rules_folder()
    paths = files_of_edition(folder)
    if not paths:
        raise NotFound("no_rules_in", folder=str(folder))
    return [(f"data/rules/{path.relative_to(folder).as_posix()}", path) for path in paths]


def as_json(content: object) -> bytes:
    """How a file of the pack that is data is written."""
    return json.dumps(content, ensure_ascii=False, indent=1).encode() + b"\n"


def plain_name(text: str) -> str:
    """A label as a name of a file: letters and digits of ASCII, at most 40, else `unit`."""
    kept = "".join(one if one.isascii() and one.isalnum() else "-" for one in shown(text))
    return "-".join(part for part in kept.split("-") if part)[:40] or "unit"
