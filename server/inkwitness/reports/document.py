"""The parts of a report, the same for JSON and PDF."""

import base64
import datetime as dt
import re
import unicodedata
from dataclasses import dataclass
from pathlib import Path

_SET_APART = re.compile("(\u2066[^\u2066-\u2069]*\u2069)")


@dataclass(frozen=True, slots=True)
class Status:
    """Word and shape first; there is no colour. `word` is a key, `text` what is shown."""

    word: str
    shape: str
    text: str


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under headings; every row has as many cells as there are headings."""

    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class PhotoFile:
    """A photo without metadata by its file, and what it shows: decoded only where it is drawn."""

    path: Path
    sha256: str
    says: str


@dataclass(frozen=True, slots=True)
class Picture:
    """A part of a photo (PNG bytes), and what it shows."""

    data: bytes
    says: str


@dataclass(frozen=True, slots=True)
class Ink:
    """One mark beside its ink: the straightened line it stands in (PNG, by its file), and words.

    `by` is who confirmed it, or that nobody did.
    """

    path: Path | None
    mark: str
    printed: str
    value: str
    standing: str
    why: str
    on: str
    by: str


@dataclass(frozen=True, slots=True)
class Section:
    """A heading, sentences (one fact each), perhaps a table, crops that it is about, and marks."""

    title: str
    sentences: tuple[str, ...] = ()
    table: Table | None = None
    crops: tuple[Picture, ...] = ()
    inks: tuple[Ink, ...] = ()


@dataclass(frozen=True, slots=True)
class Document:
    """One report. `records_head` is the hash over all chains of records when it was made.

    `front` is the first page of a consignment, `units` the evidence on each unit.
    """

    kind: str
    title: str
    made_at: dt.datetime
    statuses: tuple[Status, ...]
    sections: tuple[Section, ...]
    records_head: str
    language: str = "en"
    pictures: tuple[PhotoFile, ...] = ()
    front: tuple[Section, ...] = ()
    units: tuple[Section, ...] = ()

    def as_json(self) -> dict[str, object]:
        """Everything but the whole photos and the ink, as JSON has it; a crop is PNG in base64."""
        return {
            "kind": self.kind,
            "language": self.language,
            "title": self.title,
            "made_at": self.made_at.isoformat(timespec="seconds"),
            "statuses": [
                {"word": one.word, "shape": one.shape, "text": one.text} for one in self.statuses
            ],
            "front": [_section(one) for one in self.front],
            "sections": [_section(one) for one in self.sections],
            "units": [_section(one) for one in self.units],
            "photos": [{"says": one.says, "sha256": one.sha256} for one in self.pictures],
            "records_head": self.records_head,
        }


def _section(one: Section) -> dict[str, object]:
    table = None
    if one.table is not None:
        rows = [list(row) for row in one.table.rows]
        table = {"headings": list(one.table.headings), "rows": rows}
    told: dict[str, object] = {
        "title": one.title,
        "sentences": list(one.sentences),
        "table": table,
        "crops": [
            {"says": crop.says, "png": base64.b64encode(crop.data).decode()} for crop in one.crops
        ],
    }
    if one.inks:
        names = ("mark", "printed", "value", "standing", "why", "on", "by")
        told["marks"] = [{name: getattr(ink, name) for name in names} for ink in one.inks]
    return told


def shown(text: str) -> str:
    """Text from goods or people with invisible characters made visible.

    A print may hold line breaks, control characters or marks that turn the writing direction.

    >>> shown("N95\u202e")
    'N95‹U+202E›'
    """
    return "".join(
        f"‹U+{ord(letter):04X}›"
        if unicodedata.category(letter) in ("Cc", "Cf", "Co", "Cs", "Zl", "Zp")
        else letter
        for letter in text
    )


def as_said(sentence: str) -> str:
    """A sentence of ours that quotes goods, with invisible characters of theirs made visible.

    The signs by which `phrases.left_to_right` sets a value apart stay: they turn nothing.
    """
    return "".join(
        f"\u2066{shown(part[1:-1])}\u2069" if number % 2 else shown(part)
        for number, part in enumerate(_SET_APART.split(sentence))
    )
