"""A stored reading judged again: with people's words, or against another edition of the list."""

import datetime as dt

from sqlalchemy import Connection

from inkwitness.holders.values import HolderList
from inkwitness.records import chain, checks, confirmations, photos
from inkwitness.records.chain import Entry, Hand
from inkwitness.records.checker import Rechecker
from inkwitness.records.tables import photos as photos_table


def rejudge(
    conn: Connection,
    photo_id: str,
    rechecker: Rechecker,
    holder_list: HolderList | None,
    hand: Hand,
    *,
    today: dt.date,
    why: str,
) -> Entry | None:
    """Append a new check of a photo's reading with all confirmations in force.

    A reduced photo that was replaced is left alone: its replacement is judged, with the words said
    about either. `today` is the date to judge for where the photo has
    none of its own. Answers None while nothing was read yet: the words are then used once it is.
    """
    target = photos.replacement(conn, photo_id)
    if target is not None and checks.as_read(conn, target) is not None:
        photo_id = target
    first = checks.as_read(conn, photo_id)
    if first is None:
        return None
    photo = chain.get(conn, photos_table, photo_id)
    standing = confirmations.standing(words_on(conn, photo, first))
    out = rechecker.recheck(
        checks.out_of(first),
        standing.words,
        photos.circumstances(photo.content, today),
        holder_list,
    )
    if standing.notes:
        out = out.model_copy(update={"notes": [*out.notes, *standing.notes]})
    return checks.keep_check(
        conn,
        photo_id,
        first.content["reading_id"],
        out,
        hand,
        confirmations=tuple(entry.id for entry in standing.in_force),
        why=why,
    )


def words_on(conn: Connection, photo: Entry, first: Entry) -> list[Entry]:
    """What was said about a photo, and about the reduced copy of it that came before.

    Words on the reduced copy hold only where both showed the same number of items: otherwise it
    is not certain that an item's number means the same unit.
    """
    said = confirmations.of_photo(conn, photo.id)
    before = photo.content["replaces"]
    if before is None:
        return said
    read = checks.as_read(conn, before)
    if read is None:
        return said
    reduced, full = checks.out_of(read), checks.out_of(first)
    if len(reduced.items) != len(full.items):
        return said
    return confirmations.carried(confirmations.of_photo(conn, before), reduced, full) + said
