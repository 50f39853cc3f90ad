"""Our own JSON of a list: everything an edition holds, one object an entry."""

import datetime as dt
import json
from typing import Any

from pydantic import BaseModel, ConfigDict, ValidationError

from inkwitness.errors import BadList
from inkwitness.holders.files.cells import clean
from inkwitness.holders.values import HolderEntry, HolderList, PrivateLabel, Status

FORMAT = "inkwitness holder list 1"


class PrivateLabelOut(BaseModel):
    """A name under which an entry's goods are sold, and which models."""

    model_config = ConfigDict(extra="forbid", json_schema_serialization_defaults_required=True)

    name: str
    models: list[str] = []


class EntryOut(BaseModel):
    """One entry on the wire."""

    model_config = ConfigDict(extra="forbid", json_schema_serialization_defaults_required=True)

    scheme: str
    holder: str
    approval_number: str = ""
    certificate_number: str = ""
    other_names: list[str] = []
    private_labels: list[PrivateLabelOut] = []
    filter_classes: list[str] = []
    models: list[str] = []
    examination_body: str = ""
    production_body: str = ""
    status: Status = "unknown"
    valid_until: dt.date | None = None
    source: str = ""
    checked_on: dt.date | None = None
    checked_by: str = ""


class _ListFile(BaseModel):
    model_config = ConfigDict(extra="forbid")

    format: str
    name: str
    edition: int | None = None
    checked_on: dt.date | None = None
    fictional: bool = False
    entries: list[EntryOut]


def is_own(data: bytes) -> bool:
    """Whether the bytes are a JSON object: no table starts so."""
    return data.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"{")


def read(data: bytes) -> HolderList:
    """The list of our own JSON. Raises BadList that names the place."""
    try:
        found = _ListFile.model_validate_json(data.removeprefix(b"\xef\xbb\xbf"))
    except ValidationError as error:
        first = error.errors()[0]
        place = ".".join(str(part) for part in first["loc"]) or "the file"
        raise BadList("not_our_json", place=place, why=first["msg"]) from error
    if found.format != FORMAT:
        raise BadList("not_our_format", found=found.format, format=FORMAT)
    entries = tuple(entry_of(entry.model_dump(mode="json")) for entry in found.entries)
    seen: dict[str, int] = {}
    for row, entry in enumerate(entries, start=1):
        if not entry.holder or not entry.scheme:
            raise BadList("json_entry_incomplete", entry=row)
        if entry.key in seen:
            raise BadList("json_entry_twice", entry=row, other=seen[entry.key])
        seen[entry.key] = row
    return HolderList(found.name, entries, found.edition, found.checked_on, found.fictional)


def write(holder_list: HolderList) -> bytes:
    """The list as JSON, UTF-8: an entry a line, fields that are empty left out."""
    head = {
        "format": FORMAT,
        "name": holder_list.name,
        "edition": holder_list.edition,
        "checked_on": _day(holder_list.checked_on),
        "fictional": holder_list.fictional,
    }
    lines = [
        json.dumps({k: v for k, v in content_of(entry).items() if v}, ensure_ascii=False)
        for entry in holder_list.entries
    ]
    opening = json.dumps(head, ensure_ascii=False)[:-1]
    return (f'{opening}, "entries": [\n' + ",\n".join(lines) + "\n]}\n").encode()


def content_of(entry: HolderEntry) -> dict[str, Any]:
    """An entry as plain JSON values."""
    return {
        "scheme": entry.scheme,
        "holder": entry.holder,
        "approval_number": entry.approval_number,
        "certificate_number": entry.certificate_number,
        "other_names": list(entry.other_names),
        "private_labels": [
            {"name": label.name, "models": list(label.models)} for label in entry.private_labels
        ],
        "filter_classes": list(entry.filter_classes),
        "models": list(entry.models),
        "examination_body": entry.examination_body,
        "production_body": entry.production_body,
        "status": entry.status,
        "valid_until": _day(entry.valid_until),
        "source": entry.source,
        "checked_on": _day(entry.checked_on),
        "checked_by": entry.checked_by,
    }


def entry_of(content: dict[str, Any]) -> HolderEntry:
    """The entry of plain JSON values that `content_of` gave."""
    return HolderEntry(
        scheme=clean(content["scheme"]),
        holder=clean(content["holder"]),
        approval_number=clean(content["approval_number"]),
        certificate_number=clean(content["certificate_number"]),
        other_names=_texts(content["other_names"]),
        private_labels=tuple(
            PrivateLabel(clean(label["name"]), _texts(label["models"]))
            for label in content["private_labels"]
        ),
        filter_classes=_texts(content["filter_classes"]),
        models=_texts(content["models"]),
        examination_body=clean(content["examination_body"]),
        production_body=clean(content["production_body"]),
        status=content["status"],
        valid_until=_date(content["valid_until"]),
        source=clean(content["source"]),
        checked_on=_date(content["checked_on"]),
        checked_by=clean(content["checked_by"]),
    )


def _texts(values: list[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(text for value in values if (text := clean(value))))


def _day(day: dt.date | None) -> str | None:
    return day.isoformat() if day is not None else None


def _date(text: str | None) -> dt.date | None:
    return dt.date.fromisoformat(text) if text else None
