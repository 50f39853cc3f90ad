"""The parts of a report, the same for JSON and PDF."""

import base64
import datetime as dt
import unicodedata
from dataclasses import dataclass


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
class Picture:
    """A photo without metadata, or a part of one (JPEG or PNG bytes), and what it shows."""

    data: bytes
    says: str


@dataclass(frozen=True, slots=True)
class Section:
    """A heading, sentences (one fact each), perhaps a table, and crops that it is about."""

    title: str
    sentences: tuple[str, ...] = ()
    table: Table | None = None
    crops: tuple[Picture, ...] = ()


@dataclass(frozen=True, slots=True)
class Document:
    """One report. `records_head` is the hash over all chains of records when it was made."""

    kind: str
    title: str
    made_at: dt.datetime
    statuses: tuple[Status, ...]
    sections: tuple[Section, ...]
    records_head: str
    language: str = "en"
    pictures: tuple[Picture, ...] = ()

    def as_json(self) -> dict[str, object]:
        """Everything but the whole photos, as JSON has it; a crop is PNG in base64."""
        return {
            "kind": self.kind,
            "language": self.language,
            "title": self.title,
            "made_at": self.made_at.isoformat(timespec="seconds"),
            "statuses": [
                {"word": one.word, "shape": one.shape, "text": one.text} for one in self.statuses
            ],
            "sections": [
                {
                    "title": one.title,
                    "sentences": list(one.sentences),
                    "table": {
                        "headings": list(one.table.headings),
                        "rows": [list(row) for row in one.table.rows],
                    }
                    if one.table is not None
                    else None,
                    "crops": [
                        {"says": crop.says, "png": base64.b64encode(crop.data).decode()}
                        for crop in one.crops
                    ],
                }
                for one in self.sections
            ],
            "records_head": self.records_head,
        }


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
