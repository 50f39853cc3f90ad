"""A person's word on one mark: appended, superseded or withdrawn, never changed."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from sqlalchemy import Connection

from inkwitness.check.values import Confirmation
from inkwitness.errors import BadInput
from inkwitness.records import chain
from inkwitness.records.chain import Entry, Hand
from inkwitness.records.tables import confirmations, photos

From = Literal["as_read", "alternative", "typed", "typed_before_shown"]


@dataclass(frozen=True, slots=True)
class Said:
    """What a person says of one mark. `printed` None: it cannot be read.

    `read_as` is what was shown to the person (or held back, for `typed_before_shown`).
    `supersedes` is an earlier confirmation of the same mark that this one takes the place of.
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
        return tuple(
            Confirmation(
                item=entry.content["item"],
                mark=entry.content["mark"],
                printed=entry.content["printed"],
                scheme=entry.content["scheme"],
                occurrence=entry.content["occurrence"],
            )
            for entry in self.in_force
        )

    @property
    def notes(self) -> list[str]:
        """A message key for each mark on which people differ."""
        return [f"confirmations_differ:{group[0].content['mark']}" for group in self.differing]


def keep(conn: Connection, id_: str, said: Said, hand: Hand) -> tuple[Entry, bool]:
    """Append a confirmation; answers the entry and whether it is new."""
    chain.get(conn, photos, said.photo_id)
    if said.supersedes is not None:
        before = chain.get(conn, confirmations, said.supersedes)
        same = (said.item, said.mark, said.scheme, said.occurrence)
        if "withdraws" in before.content or _mark(before) != same:
            raise BadInput("`supersedes` must name a confirmation of the same mark of this photo.")
    content = {
        "photo_id": said.photo_id,
        "item": said.item,
        "mark": said.mark,
        "scheme": said.scheme,
        "occurrence": said.occurrence,
        "printed": said.printed,
        "from": said.come_from,
        "read_as": said.read_as,
        "supersedes": said.supersedes,
    }
    return chain.append(conn, confirmations, id_, content, hand)


def withdraw(conn: Connection, id_: str, withdrawn: str, hand: Hand) -> tuple[Entry, bool]:
    """Take a confirmation back by appending that it was."""
    before = chain.get(conn, confirmations, withdrawn)
    if "withdraws" in before.content:
        raise BadInput("What was taken back cannot be taken back again. Confirm the mark anew.")
    content = {"photo_id": before.content["photo_id"], "withdraws": withdrawn}
    return chain.append(conn, confirmations, id_, content, hand)


def of_photo(conn: Connection, photo_id: str) -> list[Entry]:
    """All that was said and taken back about a photo, in order."""
    return chain.entries(conn, confirmations, photo_id=photo_id)


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
        marks.setdefault(_mark(entry), {})[entry.hand.actor.id] = entry
    in_force, differing = [], []
    for by_person in marks.values():
        words = list(by_person.values())
        if len({word.content["printed"] for word in words}) == 1:
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


def _mark(entry: Entry) -> tuple[object, ...]:
    content = entry.content
    return tuple(content[key] for key in ("item", "mark", "scheme", "occurrence"))


def _plain(text: str) -> str:
    return "".join(text.split()).casefold()
