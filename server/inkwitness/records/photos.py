"""Photos: what came, under whose hand, and what was said beside the picture."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import get_args

from sqlalchemy import Connection, select

from inkwitness.errors import BadInput
from inkwitness.findings.values import Circumstances, Surface, Whole
from inkwitness.records import chain, jobs, units
from inkwitness.records.chain import Entry, Hand
from inkwitness.records.served import Served, served_copy
from inkwitness.records.store import Store
from inkwitness.records.tables import photos


@dataclass(frozen=True, slots=True)
class Sent:
    """What a person sends with a photo. `on` is None where the server's date is meant."""

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


def keep(
    store: Store, sent: Sent, data: bytes, hand: Hand, copy: Served | None = None
) -> tuple[Entry, bool]:
    """Keep a photo, its job and, where it is new, its unit; answers the entry, and if it is new.

    `copy` is the copy that may be shown, where it was made already.

    Raises NotAPhoto, TooLarge, BadInput, NotFound (a consignment, or the photo that it replaces)
    and Differs.
    """
    if sent.surface not in get_args(Surface):
        raise BadInput(f"`surface` is one of {', '.join(get_args(Surface))}.")
    if sent.whole not in get_args(Whole):
        raise BadInput(f"`whole` is one of {', '.join(get_args(Whole))}.")
    copy = copy or served_copy(data)
    sha256 = store.files.keep_sent(data)
    served = store.files.keep_served(copy.data)
    content = _content(sent, copy, sha256, served, len(data))
    with store.database.writing() as conn:
        existing = chain.find(conn, photos, sent.photo_id)
        if existing is None:
            if sent.replaces is not None:
                _check_replaces(conn, sent)
            units.make_or_find(
                conn,
                sent.unit_id,
                hand,
                label=sent.label,
                count=sent.count,
                consignment_id=sent.consignment_id,
            )
        kept = chain.append(conn, photos, sent.photo_id, content, hand)
        # in the same transaction: no photo is acknowledged that nobody will read
        jobs.make(conn, sent.photo_id, hand)
        return kept


#: Words that pages sent before, as the rules have them today. What the page called "agency logo"
#: was stored as `logo_seen`, which the rules took for the maker's.
_EARLIER_WORDS = {"logo_seen": "agency_logo_seen", "niosh_logo_seen": "agency_logo_seen"}


def circumstances(photo: Mapping[str, object], today: dt.date) -> Circumstances:
    """What a check is told beside the picture; the photo's own date goes before today's."""
    on = photo["on"]
    told = photo["told"]
    declared = photo["declared"]
    assert isinstance(told, list)
    assert isinstance(declared, list)
    return Circumstances(
        on=dt.date.fromisoformat(on) if isinstance(on, str) else today,
        surface=photo["surface"],  # type: ignore[arg-type]  # held to Surface when it was kept
        whole=photo["whole"],  # type: ignore[arg-type]
        declared=frozenset(_EARLIER_WORDS.get(str(word), str(word)) for word in declared),
        told=tuple((key, value) for key, value in told),
    )


def of_unit(conn: Connection, unit_id: str) -> list[Entry]:
    """The photos of a unit, in the order they came, those that another replaced left out."""
    found = chain.entries(conn, photos, unit_id=unit_id)
    replaced = {photo.content["replaces"] for photo in found}
    return [photo for photo in found if photo.id not in replaced]


def replacement(conn: Connection, photo_id: str) -> str | None:
    """The photo that replaced this one (a full-size one after a reduced one), or None."""
    wanted = select(photos.c.id).where(photos.c.replaces == photo_id).order_by(photos.c.seq.desc())
    return conn.execute(wanted.limit(1)).scalar()


def _check_replaces(conn: Connection, sent: Sent) -> None:
    assert sent.replaces is not None
    reduced = chain.get(conn, photos, sent.replaces)
    if reduced.content["unit_id"] != sent.unit_id:
        raise BadInput("A photo can only replace a reduced photo of the same unit.")
    if not reduced.content["reduced"]:
        raise BadInput("Only a photo that was sent as a reduced copy can be replaced.")


def _content(
    sent: Sent, copy: Served, sha256: str, served_sha256: str, length: int
) -> dict[str, object]:
    return {
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
