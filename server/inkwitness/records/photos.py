"""Photos that were kept: what was said beside the picture, and which took another's place."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import replace

from sqlalchemy import Connection, select

from inkwitness.findings.looks import declared_with
from inkwitness.findings.values import Circumstances
from inkwitness.records import chain, constructions
from inkwitness.records.chain import Entry
from inkwitness.records.tables import photos

#: Words that pages sent before, as the rules have them today. What the page called "agency logo"
#: was stored as `logo_seen`, which the rules took for the maker's.
_EARLIER_WORDS = {"logo_seen": "agency_logo_seen", "niosh_logo_seen": "agency_logo_seen"}


def about(conn: Connection, photo: Entry, today: dt.date) -> Circumstances:
    """What a check is told beside the picture: with what a person saw of the unit since."""
    found = circumstances(photo.content, today)
    seen = constructions.answers(conn, photo.content["unit_id"])
    return replace(found, declared=declared_with(found.declared, seen, found.surface))


def circumstances(photo: Mapping[str, object], today: dt.date) -> Circumstances:
    """What was said with the photo; the photo's own date goes before today's."""
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
