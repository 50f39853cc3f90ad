"""Editions of the list: what differs between two, and the next one made of proposed changes.

Nothing is deleted. An entry that an imported file does not have stays as it is, with the day on
which it was last checked, and is named in the difference so that its keeper can look.
"""

import hashlib
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields, replace
from typing import Literal

from inkwitness.errors import BadList
from inkwitness.holders.files.own_json import content_of
from inkwitness.holders.values import HolderEntry, HolderList

ChangeKind = Literal["added", "changed", "absent"]


@dataclass(frozen=True, slots=True)
class FieldChange:
    """One field of an entry before and after, as text."""

    field: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Change:
    """One entry that is new, differs, or is missing from what was imported (`absent`: it stays)."""

    kind: ChangeKind
    key: str
    before: HolderEntry | None
    after: HolderEntry | None
    fields: tuple[FieldChange, ...] = ()


def difference(before: Sequence[HolderEntry], after: Sequence[HolderEntry]) -> tuple[Change, ...]:
    """What differs between the entries of two lists: absent and changed in the order of the first,
    then added in the order of the second."""
    old = {entry.key: entry for entry in before}
    new = {entry.key: entry for entry in after}
    changes: list[Change] = []
    for key, entry in old.items():
        other = new.get(key)
        if other is None:
            changes.append(Change("absent", key, entry, None))
        elif other != entry:
            changes.append(Change("changed", key, entry, other, _fields(entry, other)))
    changes += [Change("added", key, None, new[key]) for key in new if key not in old]
    return tuple(changes)


def with_changes(
    before: Sequence[HolderEntry], upserts: Iterable[HolderEntry]
) -> tuple[HolderEntry, ...]:
    """The entries with some put in: in the place of the entry of the same key, else at the end."""
    entries = {entry.key: entry for entry in before}
    entries.update((entry.key, entry) for entry in upserts)
    return tuple(entries.values())


def next_edition(base: HolderList | None, proposed: HolderList) -> HolderList:
    """The edition that accepting a proposed list makes. Raises BadList where it may not be.

    A live list takes no rows that carry FICTIONAL; a list of fictional rows is not carried over
    into a live one, and a live list is not followed by a fictional one.
    """
    marked = [entry for entry in proposed.entries if entry.fictional]
    if proposed.fictional:
        if base is not None and not base.fictional:
            raise BadList("fictional_after_live")
        kept = base
    else:
        if marked:
            raise BadList("fictional_entries", n=len(marked), first=marked[0].holder)
        kept = None if base is None or base.fictional else base
    entries = with_changes(kept.entries if kept else (), proposed.entries)
    number = 1 if base is None or base.edition is None else base.edition + 1
    return replace(proposed, entries=entries, edition=number)


def digest(holder_list: HolderList) -> str:
    """SHA-256 over name, day and entries in order: two lists with one digest are the same."""
    checked = holder_list.checked_on.isoformat() if holder_list.checked_on else None
    seen = hashlib.sha256()
    head = [holder_list.name, checked, holder_list.fictional, holder_list.edition]
    for part in (head, *(content_of(entry) for entry in holder_list.entries)):
        text = json.dumps(part, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
        seen.update(text.encode() + b"\n")
    return seen.hexdigest()


def _fields(one: HolderEntry, other: HolderEntry) -> tuple[FieldChange, ...]:
    found = []
    for field in fields(HolderEntry):
        before, after = getattr(one, field.name), getattr(other, field.name)
        if before != after:
            found.append(FieldChange(field.name, _text(before), _text(after)))
    return tuple(found)


def _text(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, tuple):
        return "; ".join(_text(one) for one in value)
    name, models = getattr(value, "name", None), getattr(value, "models", None)
    if name is not None and models is not None:
        return f"{name}: {', '.join(models)}" if models else str(name)
    return str(value)
