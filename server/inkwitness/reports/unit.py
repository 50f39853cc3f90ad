"""The report of one unit or group."""

import datetime as dt
from collections.abc import Sequence

from sqlalchemy import Connection

from inkwitness.check.contract import CheckOut, FindingOut
from inkwitness.records import chain, checks, confirmations, consignments, photos, units
from inkwitness.records import look_ups as look_ups_kept
from inkwitness.records.chain import Entry
from inkwitness.records.photo_files import PhotoFiles
from inkwitness.records.served import smaller
from inkwitness.records.tables import units as units_table
from inkwitness.reports import parts, words
from inkwitness.reports.document import Document, Picture, Section, Table, shown
from inkwitness.rulebook import Rulebook


def unit_report(
    conn: Connection, files: PhotoFiles, rulebook: Rulebook, unit_id: str, made_at: dt.datetime
) -> Document:
    """All that is known of a unit; raises NotFound."""
    chain.get(conn, units_table, unit_id)
    (unit,) = units.summaries(conn, [unit_id])
    its_photos = photos.of_unit(conn, unit_id)
    newest = [
        (photo, check)
        for photo in its_photos
        if (check := checks.newest(conn, photo.id)) is not None
    ]
    outs = [checks.out_of(check) for _, check in newest]
    said = [word for photo in its_photos for word in confirmations.of_photo(conn, photo.id)]
    in_force = confirmations.standing_by_photo(said)
    head, _ = chain.heads(conn)
    keys = {out.holder_match.looked_up for out in outs} - {""}
    looked_up = [
        entry
        for entry in look_ups_kept.all_of_them(conn)
        if entry.content["unit_id"] == unit_id or entry.content["looked_up"] in keys
    ]
    decided = consignments.decided(conn, unit_id=unit_id)
    label = f" “{shown(unit.label)}”" if unit.label else ""
    group = f", a group of {unit.count} identical items" if unit.count > 1 else ""
    return Document(
        kind="unit",
        title=f"What the print says: unit{label}{group}",
        made_at=made_at,
        statuses=parts.statuses(
            unit.outcome,
            unit.basis,
            decided,
            held=consignments.is_held(conn, unit_id=unit_id),
        ),
        sections=(
            _aspects(outs),
            _read(newest, outs, in_force, rulebook),
            *parts.findings(finding for out in outs for finding in _findings(out)),
            Section("Your list", tuple(dict.fromkeys(_list(outs)))),
            *_compared(outs),
            parts.look_ups(looked_up),
            _not_looked_at(outs, its_photos),
            parts.use_cautions(
                caution
                for out in outs
                for item in out.items
                for name in item.schemes
                if (scheme := rulebook.scheme(name)) is not None
                for caution in scheme.cautions
            ),
            parts.decisions(decided),
            _caveat(unit.count, outs, in_force),
            parts.integrity(_evidence(newest, its_photos, outs, head, unit_id, files)),
        ),
        records_head=head,
        pictures=tuple(_picture(files, photo) for photo in its_photos),
    )


def _aspects(outs: Sequence[CheckOut]) -> Section:
    """Six results side by side; they are never added up."""
    order = ("conflict", "missing", "cannot_tell", "no_conflict_found", "not_looked_at")
    rows = []
    for aspect, name in words.ASPECTS.items():
        states = {state for out in outs for key, state in out.aspects.items() if key == aspect}
        state = next((one for one in order if one in states), "not_looked_at")
        rows.append((name, f"{words.STATUSES[state].shape} {words.OUTCOMES[state]}"))
    return Section("Six results, never added up", (), Table(("About", "Result"), tuple(rows)))


def _read(
    newest: Sequence[tuple[Entry, Entry]],
    outs: Sequence[CheckOut],
    in_force: Sequence[Entry],
    rulebook: Rulebook,
) -> Section:
    if not outs:
        return Section("What was read", ("Nothing was read yet.",))
    names = rulebook.messages().marks
    by_mark = {
        (word.content["photo_id"], word.content["item"], word.content["mark"]): word
        for word in in_force
    }
    rows = []
    for (photo, _), out in zip(newest, outs, strict=True):
        for number, item in enumerate(out.items):
            for mark in item.marks:
                word = by_mark.get((photo.id, number, mark.mark))
                by = "to be confirmed"
                if word is not None:
                    by = f"{shown(word.hand.actor.name)}, {words.moment(word.at)}"
                rows.append(
                    (
                        names.get(mark.mark, mark.mark.replace("_", " ")),
                        shown(mark.printed),
                        shown(mark.value),
                        words.STANDINGS[mark.standing],
                        f"{words.SURFACES[item.surface]}",
                        by,
                    )
                )
    headings = ("Mark", "As printed", "Normal form", "Standing", "On", "Confirmed by")
    return Section("What was read", (), Table(headings, tuple(rows)))


def _findings(out: CheckOut) -> list[FindingOut]:
    return [finding for item in out.items for finding in item.findings]


def _list(outs: Sequence[CheckOut]) -> list[str]:
    return [
        sentence
        for out in outs
        for item in out.items
        for sentence in words.list_says(item.holder_match)
    ]


def _compared(outs: Sequence[CheckOut]) -> list[Section]:
    rows = tuple(
        dict.fromkeys(
            (
                one.field.replace("_", " "),
                shown(one.printed),
                shown(one.listed),
                one.state.replace("_", " "),
                one.note.replace("_", " "),
            )
            for out in outs
            for item in out.items
            for one in item.holder_match.fields
        )
    )
    if not rows:
        return []
    headings = ("Field", "Printed", "On your list", "State", "Note")
    return [Section("Print beside the entry", (), Table(headings, rows))]


def _not_looked_at(outs: Sequence[CheckOut], its_photos: Sequence[Entry]) -> Section:
    left = sorted(
        {
            words.ASPECTS[aspect]
            for out in outs
            for aspect, state in out.aspects.items()
            if state == "not_looked_at"
        }
    )
    seen = {photo.content["surface"] for photo in its_photos}
    unseen = [name for surface, name in words.SURFACES.items() if surface not in seen]
    part = [
        words.SURFACES[photo.content["surface"]]
        for photo in its_photos
        if photo.content["whole"] != "yes"
    ]
    said = [f"Not looked at: {name}." for name in left]
    if unseen:
        said.append(f"Not photographed: {', '.join(unseen)}.")
    if part:
        said.append(f"Not known to be photographed whole: {', '.join(dict.fromkeys(part))}.")
    return Section("What was not looked at", (*said, *words.NEVER_TESTED))


def _caveat(count: int, outs: Sequence[CheckOut], in_force: Sequence[Entry]) -> Section:
    what = "one unit" if count == 1 else f"a photo that stands for {count} identical items"
    said = [f"We looked at {what}, and read the print from photographs."]
    people = dict.fromkeys(shown(word.hand.actor.name) for word in in_force)
    if people:
        said.append(f"Marks named above as confirmed were confirmed by {', '.join(people)}.")
    else:
        said.append("No person confirmed any mark yet.")
    if outs:
        said.append(f"We used rules edition {outs[0].rules_edition}, for {words.date(outs[0].on)}.")
    return Section("What this shows and what it does not", (*said, *words.LAST_WORD))


def _evidence(
    newest: Sequence[tuple[Entry, Entry]],
    its_photos: Sequence[Entry],
    outs: Sequence[CheckOut],
    head: str,
    unit_id: str,
    files: PhotoFiles,
) -> list[tuple[str, str]]:
    rows = [("unit", unit_id)]
    for number, photo in enumerate(its_photos, start=1):
        content = photo.content
        sent = f"sent by {shown(photo.hand.actor.name)}, {words.moment(photo.at)}"
        rows += [
            (f"photo {number}", f"{words.SURFACES[content['surface']]}, {sent}"),
            (f"photo {number}, SHA-256 as it came", content["sha256"]),
            (f"photo {number}, bytes as they came", files.state(content["sha256"])),
            (f"photo {number}, SHA-256 as served", content["served_sha256"]),
            (f"photo {number}, copy", content["served_how"].replace("_", " ")),
        ]
    for (_, check), out in zip(newest, outs, strict=True):
        rows += [
            ("check", f"{check.id}, made {words.moment(check.at)}"),
            ("readers", ", ".join(out.readers)),
            ("rules edition", out.rules_edition),
        ]
        if out.holder_match.list_edition is not None:
            rows.append(("list edition", str(out.holder_match.list_edition)))
    rows.append(("head of all records", head))
    return list(dict.fromkeys(rows))


def _picture(files: PhotoFiles, photo: Entry) -> Picture:
    data, _ = smaller(files.served(photo.content["served_sha256"]), 1200)
    return Picture(data, words.SURFACES[photo.content["surface"]])
