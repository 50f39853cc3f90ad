"""A person's word on one mark: appended, superseded or withdrawn, never changed."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal

from sqlalchemy import Connection

from inkwitness.check import confirm
from inkwitness.check.confirm import ADDED
from inkwitness.check.values import NO_MARKS, Check, Confirmation
from inkwitness.errors import BadInput
from inkwitness.marks.values import Mark
from inkwitness.records import chain, checks
from inkwitness.records.chain import Entry, WriteContext
from inkwitness.records.tables import confirmations, photos

From = Literal["as_read", "alternative", "typed", "typed_before_shown"]


@dataclass(frozen=True, slots=True)
class Said:
    """What a person says of one mark. `printed` None: it cannot be read.

    `mark_id` names the mark as the check shows it; without one, `mark`, `scheme` and `occurrence`
    do. `named` is what the person says that the ink is. `read_as` is what was shown to the person
    (or held back, for `typed_before_shown`). `supersedes` is an earlier confirmation of the same
    mark that this one takes the place of.
    """

    photo_id: str
    item: int
    mark: str
    printed: str | None
    come_from: From
    read_as: str = ""
    scheme: str = ""
    occurrence: int = 0
    supersedes: str | None = None
    mark_id: str = ""
    named: str = ""


@dataclass(frozen=True, slots=True)
class Standing:
    """The confirmations in force, and the marks on which two people's words differ.

    A mark on which they differ counts as not confirmed until one supersedes the other: the last
    to write does not win.
    """

    in_force: tuple[Entry, ...]
    differing: tuple[tuple[Entry, ...], ...]

    @property
    def words(self) -> tuple[Confirmation, ...]:
        return tuple(word_of(entry.content) for entry in self.in_force)

    @property
    def notes(self) -> list[str]:
        """A message key for each mark on which people differ."""
        return [f"confirmations_differ:{group[0].content['mark']}" for group in self.differing]


def word_of(content: Mapping[str, Any]) -> Confirmation:
    """A stored word as judging takes it."""
    return Confirmation(
        item=content["item"],
        mark=content["mark"],
        printed=content["printed"],
        scheme=content["scheme"],
        occurrence=content["occurrence"],
        id=content.get("mark_id", ""),
        named=content.get("named", ""),
    )


def keep(conn: Connection, id_: str, said: Said, context: WriteContext) -> tuple[Entry, bool]:
    """Append a confirmation; answers the entry and whether it is new.

    Raises NotFound for an unknown photo, BadInput for a mark that its reading does not have.
    """
    chain.get(conn, photos, said.photo_id)
    _check_id(conn, said)
    content: dict[str, object] = {
        "photo_id": said.photo_id,
        "item": said.item,
        "mark": said.mark or _name(conn, said),
        "scheme": said.scheme,
        "occurrence": said.occurrence,
        "printed": said.printed,
        "from": said.come_from,
        "read_as": said.read_as,
        "supersedes": said.supersedes,
    }
    # What was sent before marks had ids stays the same content when it is sent again.
    content |= {key: value for key in ("mark_id", "named") if (value := getattr(said, key))}
    _check_supersedes(conn, said, content)
    return chain.append(conn, confirmations, id_, content, context)


def _first(conn: Connection, photo_id: str) -> Check | None:
    """The check of a photo's reading, before any person's word."""
    entry = checks.as_read(conn, photo_id)
    return checks.load(conn, entry) if entry is not None else None


def _shown(conn: Connection, said: Said) -> list[Mark]:
    """The marks that a person may have seen of this item: as read, and as they are now."""
    made = [checks.as_read(conn, said.photo_id), checks.newest(conn, said.photo_id)]
    shown = [checks.load(conn, entry) for entry in made if entry is not None]
    return [mark for check in shown for mark in check.marks_of(said.item)]


def _name(conn: Connection, said: Said) -> str:
    name = next((mark.mark for mark in _shown(conn, said) if mark.id == said.mark_id), said.named)
    if not name or not said.mark_id:
        raise BadInput("no_mark_named")
    return name


def _check_id(conn: Connection, said: Said) -> None:
    if not said.mark_id or said.mark_id.startswith(ADDED):
        return
    if said.mark_id not in {mark.id for mark in _shown(conn, said)}:
        raise BadInput("no_mark_in_item", item=said.item, mark=said.mark_id, prefix=ADDED)


def _check_supersedes(conn: Connection, said: Said, content: dict[str, Any]) -> None:
    if said.supersedes is None:
        return
    before = chain.get(conn, confirmations, said.supersedes).content
    wrong = BadInput("supersedes_other")
    if "withdraws" in before or before["photo_id"] != said.photo_id:
        raise wrong
    first = _first(conn, said.photo_id)
    old, new = (_resolved(one, first) for one in (before, content))
    # A word from before marks had ids may be on a mark that only a later check has.
    by_name = "mark_id" not in before and _named(before)[:2] == _named(content)[:2]
    if old["ink"] != new["ink"] and not by_name:
        raise wrong


def withdraw(
    conn: Connection, id_: str, withdrawn: str, context: WriteContext
) -> tuple[Entry, bool]:
    """Take a confirmation back by appending that it was."""
    before = chain.get(conn, confirmations, withdrawn)
    if "withdraws" in before.content:
        raise BadInput("withdrawn_already")
    content = {"photo_id": before.content["photo_id"], "withdraws": withdrawn}
    return chain.append(conn, confirmations, id_, content, context)


def of_photo(conn: Connection, photo_id: str) -> list[Entry]:
    """All that was said and taken back about a photo, in order.

    Each word has the id of the mark that it is about (`mark_id`), also where it was stored before
    marks had ids; and `ink`, which words on the same print share. What is stored stays as it is.
    """
    stored = chain.entries(conn, confirmations, photo_id=photo_id)
    first = _first(conn, photo_id) if stored else None
    return [
        entry
        if "withdraws" in entry.content
        else replace(entry, content=_resolved(entry.content, first))
        for entry in stored
    ]


def carried(said: Iterable[Entry], reduced: Check, full: Check) -> list[Entry]:
    """Words on a reduced copy as words on the full photo: on the same marks of its reading.

    A word on a mark that the full photo does not show as such adds it; one that only said what the
    ink is not has nothing to say there.
    """
    found = []
    for entry in said:
        content = entry.content
        if "withdraws" not in content:
            id_ = confirm.carried(reduced, full, content["item"], content["mark_id"])
            if not id_ and content.get("named") in NO_MARKS:
                continue
            id_ = id_ or f"{ADDED}{entry.id}"
            ink = confirm.ink_of(full, content["item"], id_)
            entry = replace(entry, content={**content, "mark_id": id_, "ink": ink})
        found.append(entry)
    return found


def standing(entries: Iterable[Entry]) -> Standing:
    """What is in force of all that was said about one photo (and the reduced one before it).

    A person's later word takes the place of the same person's earlier one on the same mark.
    """
    said = list(entries)
    gone = {entry.content.get("withdraws") for entry in said}
    gone |= {entry.content.get("supersedes") for entry in said if entry.id not in gone}
    marks: dict[tuple[object, ...], dict[str, Entry]] = {}
    for entry in said:
        if "withdraws" in entry.content or entry.id in gone:
            continue
        marks.setdefault(_mark(entry), {})[entry.context.actor.id] = entry
    in_force, differing = [], []
    for by_person in marks.values():
        words = list(by_person.values())
        if len({_says(word.content) for word in words}) == 1:
            in_force.append(words[-1])
        else:
            differing.append(tuple(words))
    return Standing(tuple(in_force), tuple(differing))


def standing_by_photo(entries: Iterable[Entry]) -> list[Entry]:
    """What is in force of all that was said about several photos."""
    by_photo: dict[str, list[Entry]] = {}
    for entry in entries:
        by_photo.setdefault(entry.content["photo_id"], []).append(entry)
    return [entry for said in by_photo.values() for entry in standing(said).in_force]


@dataclass(frozen=True, slots=True)
class Agreement:
    """How often what a person typed before seeing the reading was what had been read."""

    asked: int
    same: int

    @property
    def differed(self) -> int:
        return self.asked - self.same


def agreement(conn: Connection) -> Agreement:
    """Over all confirmations that were typed before the reading was shown."""
    typed = [
        entry.content
        for entry in chain.entries(conn, confirmations)
        if entry.content.get("from") == "typed_before_shown"
    ]
    same = sum(
        word["printed"] is not None and _plain(word["printed"]) == _plain(word["read_as"])
        for word in typed
    )
    return Agreement(len(typed), same)


def _resolved(content: Mapping[str, Any], first: Check | None) -> dict[str, Any]:
    """A stored word with the id of its mark and its ink; as it is where nothing was read yet."""
    if first is None:
        return dict(content)
    id_ = confirm.id_of(first, word_of(content))
    return {**content, "mark_id": id_, "ink": confirm.ink_of(first, content["item"], id_)}


def _mark(entry: Entry) -> tuple[object, ...]:
    content = entry.content
    return (content["item"], content["ink"]) if "ink" in content else _named(content)


def _named(content: Mapping[str, Any]) -> tuple[object, ...]:
    return tuple(content[key] for key in ("item", "mark", "scheme", "occurrence"))


def _says(content: Mapping[str, Any]) -> tuple[object, ...]:
    """What two words must have in common to agree: the letters, and what they are."""
    return content["printed"], content.get("named") or content["mark"]


def _plain(text: str) -> str:
    return "".join(text.split()).casefold()
