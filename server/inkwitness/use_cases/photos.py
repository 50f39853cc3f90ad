"""A photo comes in: its bytes, the copy that may be shown, its unit and its job, all or nothing."""

import datetime as dt
import hashlib
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypedDict, get_args

from sqlalchemy import Connection

from inkwitness.errors import BadInput
from inkwitness.findings.values import Surface, Whole
from inkwitness.jobs import queue
from inkwitness.photo.served import Served, served_copy
from inkwitness.photo.values import PhotoFact
from inkwitness.phrases import Phrases
from inkwitness.records import chain, removals, units
from inkwitness.records.chain import Entry, WriteContext
from inkwitness.records.store import Store
from inkwitness.records.tables import photos
from inkwitness.records.units import UnitSummary

#: What of a photo's row is said of the copy that is shown.
_OF_COPY = ("served_sha256", "served_type", "served_how", "had_location", "width", "height")


class _OfUnit(TypedDict):
    label: str
    count: int
    consignment_id: str | None


@dataclass(frozen=True, slots=True)
class Sent:
    """What a person sends with a photo. `on` is None where the server's date is meant.

    `retaken` has the worst fault of each first photo that the phone found poor and that was taken
    again before this one.
    """

    photo_id: str
    unit_id: str
    name: str
    surface: str = "facepiece"
    whole: str = "unknown"
    declared: tuple[str, ...] = ()
    told: tuple[tuple[str, str], ...] = ()
    on: dt.date | None = None
    reduced: bool = False
    replaces: str | None = None
    count: int = 1
    label: str = ""
    consignment_id: str | None = None
    retaken: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Retakes:
    """`kept` photos of some goods, `again` first photos taken again, and these by their reason.

    Only the phone saw those taken again; it sends with the photo that was kept what they were.
    """

    kept: int
    again: int
    reasons: Mapping[str, int]

    @property
    def percent(self) -> int:
        """Photos taken again among all that were taken, in percent, rounded."""
        return round(100 * self.again / (self.kept + self.again)) if self.again else 0

    def says(self, say: Phrases) -> str:
        """The sentence; empty where none was taken again."""
        if not self.again:
            return ""
        named = ", ".join(f"{say(f'poor.{name}')}: {n}" for name, n in self.reasons.items())
        every = self.kept + self.again
        return say("report.retakes", again=self.again, all=every, percent=self.percent, why=named)


def retakes(conn: Connection, members: Sequence[UnitSummary]) -> Retakes:
    """What was taken again of these units; a photo of before this was counted tells of none."""
    ids = [photo.photo_id for unit in members for photo in unit.state.photos]
    found = Counter[str]()
    for start in range(0, len(ids), 500):
        for entry in chain.get_all(conn, photos, ids[start : start + 500]).values():
            found.update(entry.content.get("retaken", ()))
    return Retakes(len(ids), found.total(), dict(found.most_common()))


def keep(
    store: Store, sent: Sent, data: bytes, context: WriteContext, copy: Served | None = None
) -> tuple[Entry, bool]:
    """Keep a photo, its job and, where it is new, its unit; answers the entry, and if it is new.

    `copy` is the copy that may be shown, where it was made already.

    Raises NotAPhoto, TooLarge, BadInput, NotFound (a consignment, or the photo that it replaces),
    Removed (a photo of these bytes was taken back) and Differs.
    """
    if sent.surface not in get_args(Surface):
        raise BadInput("bad_surface", surfaces=", ".join(get_args(Surface)))
    if sent.whole not in get_args(Whole):
        raise BadInput("bad_whole", allowed=", ".join(get_args(Whole)))
    if set(sent.retaken) - set(get_args(PhotoFact)):
        raise BadInput("bad_retaken", allowed=", ".join(get_args(PhotoFact)))
    copy = copy or served_copy(data)
    sha256, served = (hashlib.sha256(one).hexdigest() for one in (data, copy.data))
    content = _content(sent, copy, sha256, served, len(data))
    with store.database.reading() as conn:
        removal = removals.of_bytes(conn, sha256, served)
        before = chain.find(conn, photos, sent.photo_id)
        content = _as_before(content, before)
        # what is refused is refused before a file is written that no row will ever name
        chain.same(conn, photos, sent.photo_id, content)
        if before is None:
            _refuse(conn, sent)
    if removal is None:
        store.files.keep_sent(data)
        if content["served_sha256"] == served:
            store.files.keep_served(copy.data)
    elif before is None:  # a phone that repeats itself is told what it was told before
        raise removals.removed("bytes_removed_before", removal)
    with store.database.writing() as conn:
        existing = chain.find(conn, photos, sent.photo_id)
        # somebody may have taken back a photo of these bytes since they were written
        removal = removals.gone(conn, store.files, sha256, served)
        if existing is None:
            if removal is not None:
                raise removals.removed("bytes_removed_before", removal)
            if sent.replaces is not None:
                _check_replaces(conn, sent)
            units.make_or_find(conn, sent.unit_id, context, **_unit(sent))
        content = _as_before(content, existing)
        kept = chain.append(conn, photos, sent.photo_id, content, context)
        # in the same transaction: no photo is acknowledged that nobody will read
        queue.make(conn, sent.photo_id, context)
        return kept


def _refuse(conn: Connection, sent: Sent) -> None:
    """Raise what the transaction would raise."""
    if sent.replaces is not None:
        _check_replaces(conn, sent)
    units.refuse(conn, sent.unit_id, **_unit(sent))


def _unit(sent: Sent) -> _OfUnit:
    return {"label": sent.label, "count": sent.count, "consignment_id": sent.consignment_id}


def _as_before(content: dict[str, object], before: Entry | None) -> dict[str, object]:
    """The content, with the copy as it was made when the photo came first.

    A later version may make another copy of the same bytes; that is no other photo.
    """
    if before is None or before.content["sha256"] != content["sha256"]:
        return content
    sent = {name: value for name, value in content.items() if name not in _OF_COPY}
    return sent | {name: before.content[name] for name in _OF_COPY if name in before.content}


def _check_replaces(conn: Connection, sent: Sent) -> None:
    assert sent.replaces is not None
    reduced = chain.get(conn, photos, sent.replaces)
    if reduced.content["unit_id"] != sent.unit_id:
        raise BadInput("replaces_no_reduced")
    if not reduced.content["reduced"]:
        raise BadInput("replaced_not_reduced")


def _content(
    sent: Sent, copy: Served, sha256: str, served_sha256: str, length: int
) -> dict[str, object]:
    content: dict[str, object] = {
        "unit_id": sent.unit_id,
        "name": sent.name,
        "sha256": sha256,
        "bytes": length,
        "served_sha256": served_sha256,
        "served_type": copy.media_type,
        "served_how": copy.how,
        "had_location": copy.had_location,
        "width": copy.width,
        "height": copy.height,
        "surface": sent.surface,
        "whole": sent.whole,
        "declared": sorted(set(sent.declared)),
        "told": [list(pair) for pair in sent.told],
        "on": sent.on.isoformat() if sent.on else None,
        "reduced": sent.reduced,
        "replaces": sent.replaces,
    }
    # what was sent before this was counted stays the same content when it is sent again
    return content | ({"retaken": list(sent.retaken)} if sent.retaken else {})
