"""Readings judged: when they come in, with people's words, and with the unit's other photos."""

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import replace

from sqlalchemy import Connection

from inkwitness.check.protocols import Judge
from inkwitness.check.values import Check, Reading, UnitPhoto
from inkwitness.holders.values import HolderList
from inkwitness.jobs import queue
from inkwitness.jobs.queue import Job
from inkwitness.records import chain, checks, photos
from inkwitness.records.chain import Entry, WriteContext
from inkwitness.records.database import Database
from inkwitness.records.tables import photos as photos_table
from inkwitness.use_cases import confirmations
from inkwitness.use_cases.judged.beforehand import judged_by_list


def take_reading(
    database: Database,
    job: Job,
    reading_id: str,
    reading: Reading,
    images: Mapping[int, str],
    judge: Judge,
    list_now: Callable[[], HolderList | None],
    context: WriteContext,
    *,
    today: dt.date,
) -> None:
    """Keep what was read in a photo, its first check, and that its job is done.

    Words that came before the reading did (for a reduced copy, say) are used at once. `images` are
    the SHA-256 of the straightened lines' pictures, which were kept before. `list_now` answers the
    edition in force.
    """
    with database.reading() as conn:
        photo = chain.get(conn, photos_table, job.photo_id)
    unit_id = photo.content["unit_id"]

    def keep(conn: Connection, ahead: Judge, holder_list: HolderList | None) -> None:
        about = photos.about(conn, photo, today)
        # with the edition in force now: one put in force while it was read re-checked without it
        first = Check(reading, ahead.judge(reading, (), about, holder_list))
        checks.keep_reading(conn, photo.id, reading, context, reading_id=reading_id, images=images)
        check = checks.keep_check(conn, photo.id, reading_id, first, context)
        said = confirmations.standing(words_on(conn, photo, first))
        if said.in_force or said.differing:
            again = rejudge(conn, photo.id, ahead, holder_list, context, today=today, why="carried")
            check = again or check
        judge_together(conn, unit_id, ahead, holder_list, context, why="read")
        queue.done(conn, job, check.id, context.at)

    judged_by_list(database, lambda: judge, list_now, keep)


def rejudge(
    conn: Connection,
    photo_id: str,
    judge: Judge,
    holder_list: HolderList | None,
    context: WriteContext,
    *,
    today: dt.date,
    why: str,
) -> Entry | None:
    """Append a new check of a photo's reading with all confirmations in force.

    A reduced photo that was replaced is left alone: its replacement is judged, with the words said
    about either. `today` is the date to judge for where the photo has none of its own. Answers None
    while nothing was read yet: the words are then used once it is.
    """
    target = photos.replacement(conn, photo_id)
    if target is not None and checks.as_read(conn, target) is not None:
        photo_id = target
    entry = checks.as_read(conn, photo_id)
    if entry is None:
        return None
    first = checks.load(conn, entry)
    photo = chain.get(conn, photos_table, photo_id)
    standing = confirmations.standing(words_on(conn, photo, first))
    about = photos.about(conn, photo, today)
    judgement = judge.judge(first.reading, standing.words, about, holder_list)
    return checks.keep_check(
        conn,
        photo_id,
        entry.content["reading_id"],
        Check(first.reading, replace(judgement, notes=tuple(standing.notes))),
        context,
        confirmations=tuple(word.id for word in standing.in_force),
        why=why,
    )


def words_on(conn: Connection, photo: Entry, first: Check) -> list[Entry]:
    """What was said about a photo, and about the reduced copy of it that came before.

    `first` is the check of its reading. Words on the reduced copy hold only where both showed the
    same number of items: otherwise it is not certain that an item's number means the same unit.
    """
    said = confirmations.of_photo(conn, photo.id)
    before = photo.content["replaces"]
    if before is None:
        return said
    read = checks.as_read(conn, before)
    if read is None:
        return said
    reduced = checks.load(conn, read)
    if len(reduced.reading.items) != len(first.reading.items):
        return said
    return confirmations.carried(confirmations.of_photo(conn, before), reduced, first) + said


def judge_together(
    conn: Connection,
    unit_id: str,
    judge: Judge,
    holder_list: HolderList | None,
    context: WriteContext,
    *,
    why: str,
    edition_id: str | None = None,
) -> Entry | None:
    """Append a check of the unit, from the newest checks of its photos.

    It is made for the latest day that one of them was made for. `why` is as for a photo's check,
    `edition_id` the edition of the list that it was re-checked against. Answers None, and appends
    nothing, where fewer than two photos were read.
    """
    its_photos = photos.of_unit(conn, unit_id)
    if len(its_photos) < 2:
        return None
    newest = [(photo, checks.newest(conn, photo.id)) for photo in its_photos]
    read = [(photo, entry) for photo, entry in newest if entry is not None]
    if len(read) < 2:
        return None
    made = [checks.load(conn, entry) for _, entry in read]
    on = max(check.judgement.on for check in made)
    parts = [
        UnitPhoto(check, photos.about(conn, photo, on))
        for (photo, _), check in zip(read, made, strict=True)
    ]
    return checks.keep_unit_check(
        conn,
        unit_id,
        {photo.id: entry for photo, entry in read},
        judge.judge_unit(parts, on, holder_list),
        context,
        why=why,
        edition_id=edition_id,
    )
