"""Rows of one approval put together (some tables have a row a model), unless they disagree."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from inkwitness.holders.names import likeness
from inkwitness.holders.values import HolderEntry, PrivateLabel

_MUST_AGREE = (
    ("filter_classes", "filter_class"),
    ("examination_body", "examination_body"),
    ("production_body", "production_body"),
    ("status", "status"),
    ("valid_until", "valid_until"),
)


@dataclass(frozen=True, slots=True)
class Disagreement:
    """Two rows of one key that disagree in a field; rows from 1."""

    row: int
    other_row: int
    field: str
    value: str
    other: str


def merged(
    rows: Iterable[tuple[int, HolderEntry]],
) -> tuple[list[HolderEntry], list[Disagreement], int]:
    """The entries by key in the order of the table, what disagrees, and how many rows joined."""
    kept: dict[str, HolderEntry] = {}
    first: dict[str, int] = {}
    wrong: list[Disagreement] = []
    joined = 0
    for number, entry in rows:
        key = entry.key
        have = kept.get(key)
        if have is None:
            kept[key], first[key] = entry, number
            continue
        found = _disagree(number, first[key], entry, have)
        wrong += found
        if not found:
            kept[key] = _join(have, entry)
            joined += 1
    return list(kept.values()), wrong, joined


def _disagree(row: int, other: int, entry: HolderEntry, have: HolderEntry) -> list[Disagreement]:
    found = []
    if likeness(entry.holder, have.holder) != "same":
        found.append(Disagreement(row, other, "holder", entry.holder, have.holder))
    for attribute, field in _MUST_AGREE:
        one, two = getattr(entry, attribute), getattr(have, attribute)
        if one and two and one != two:
            found.append(Disagreement(row, other, field, _text(one), _text(two)))
    return found


def _text(value: Any) -> str:
    return "; ".join(value) if isinstance(value, tuple) else str(value)


def _join(have: HolderEntry, more: HolderEntry) -> HolderEntry:
    days = [day for day in (have.checked_on, more.checked_on) if day is not None]
    return replace(
        have,
        approval_number=have.approval_number or more.approval_number,
        certificate_number=have.certificate_number or more.certificate_number,
        other_names=_union(have.other_names, more.other_names),
        private_labels=_labels((*have.private_labels, *more.private_labels)),
        filter_classes=have.filter_classes or more.filter_classes,
        models=_union(have.models, more.models),
        examination_body=have.examination_body or more.examination_body,
        production_body=have.production_body or more.production_body,
        valid_until=have.valid_until or more.valid_until,
        source="; ".join(_union((have.source,), (more.source,))),
        checked_on=min(days, default=None),
        checked_by="; ".join(_union((have.checked_by,), (more.checked_by,))),
    )


def _union(one: tuple[str, ...], two: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(value for value in (*one, *two) if value))


def _labels(labels: tuple[PrivateLabel, ...]) -> tuple[PrivateLabel, ...]:
    by_name: dict[str, PrivateLabel] = {}
    for label in labels:
        have = by_name.get(label.name)
        models = _union(have.models, label.models) if have else label.models
        by_name[label.name] = PrivateLabel(label.name, models)
    return tuple(by_name.values())
