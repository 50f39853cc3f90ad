"""The report of one unit or group."""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from inkwitness.check.contract import CheckOut, FindingOut, HolderMatchOut, UnitCheckOut
from inkwitness.findings.outcome import worst
from inkwitness.findings.values import Aspect, AspectState
from inkwitness.records import (
    chain,
    checks,
    confirmations,
    deciding,
    judging,
    photos,
    unit_checks,
    units,
)
from inkwitness.records import look_ups as look_ups_kept
from inkwitness.records.chain import Entry
from inkwitness.records.heads import Head, head_of
from inkwitness.records.photo_files import PhotoFiles
from inkwitness.records.served import smaller
from inkwitness.records.tables import checks as checks_table
from inkwitness.records.tables import units as units_table
from inkwitness.reports import parts, words
from inkwitness.reports.document import Document, Picture, Section, Table, shown
from inkwitness.reports.marks import marks_read
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
    together = unit_checks.in_force(conn, unit_id)
    told = _told(outs, unit_checks.out_of(together) if together is not None else None)
    said = {photo.id: _in_force(conn, photo) for photo in its_photos}
    in_force = [word for words_on in said.values() for word in words_on]
    head = head_of(conn)
    keys = set(unit.state.list_keys)
    looked_up = [
        entry
        for entry in look_ups_kept.all_of_them(conn)
        if entry.content["unit_id"] == unit_id or entry.content["looked_up"] in keys
    ]
    decided = deciding.decided(conn, unit_id=unit_id)
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
            held=deciding.is_held(conn, unit_id=unit_id),
        ),
        sections=(
            _aspects(told),
            *_apart(together),
            *marks_read(
                [(out, said[photo.id]) for (photo, _), out in zip(newest, outs, strict=True)],
                rulebook.messages().marks,
            ),
            *parts.findings(told.findings),
            *_side_by_side(conn, files, rulebook, together),
            Section("Your list", tuple(dict.fromkeys(_list(told)))),
            *_compared(told),
            parts.look_ups(looked_up),
            _not_looked_at(told, its_photos),
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
            parts.integrity(_evidence(newest, its_photos, outs, together, head, unit_id, files)),
        ),
        records_head=head.head,
        pictures=tuple(_picture(files, photo) for photo in its_photos),
    )


def _in_force(conn: Connection, photo: Entry) -> tuple[Entry, ...]:
    """The words in force on a photo, those on its reduced copy among them."""
    first = checks.as_read(conn, photo.id)
    on_it = confirmations.of_photo(conn, photo.id)
    said = on_it if first is None else judging.words_on(conn, photo, first)
    return confirmations.standing(said).in_force


@dataclass(frozen=True, slots=True)
class _Told:
    """What was concluded: of the photos together where there are several, else of the one."""

    aspects: Mapping[Aspect, AspectState]
    findings: tuple[FindingOut, ...]
    matches: tuple[HolderMatchOut, ...]


def _told(outs: Sequence[CheckOut], together: UnitCheckOut | None) -> _Told:
    if together is not None:
        others = together.others
        return _Told(
            together.aspects,
            (*together.findings, *(one for other in others for one in other.findings)),
            (together.holder_match, *(other.holder_match for other in others)),
        )
    names = dict.fromkeys(name for out in outs for name in out.aspects)
    items = [item for out in outs for item in out.items]
    return _Told(
        {name: worst(out.aspects[name] for out in outs if name in out.aspects) for name in names},
        tuple(finding for item in items for finding in item.findings),
        tuple(item.holder_match for item in items),
    )


def _aspects(told: _Told) -> Section:
    """Six results side by side; they are never added up."""
    rows = []
    for aspect, name in words.ASPECTS.items():
        state = told.aspects.get(aspect, "not_looked_at")
        rows.append((name, f"{words.STATUSES[state].shape} {words.OUTCOMES[state]}"))
    return Section("Six results, never added up", (), Table(("About", "Result"), tuple(rows)))


def _apart(together: Entry | None) -> list[Section]:
    """What each photo comes to on its own, where several were checked together."""
    if together is None:
        return []
    rows = tuple(
        (
            f"{number}",
            words.SURFACES[photo.surface],
            f"{words.STATUSES[photo.outcome].shape} {words.OUTCOMES[photo.outcome]}",
            "confirmed by a person" if photo.basis == "confirmed" else "to be confirmed",
        )
        for number, photo in enumerate(unit_checks.out_of(together).photos, start=1)
    )
    return [
        Section(
            "Each photo on its own",
            (words.TOGETHER,),
            Table(("Photo", "Shows", "On its own", "Basis"), rows),
        )
    ]


def _side_by_side(
    conn: Connection, files: PhotoFiles, rulebook: Rulebook, together: Entry | None
) -> list[Section]:
    """Print that differs between two photos, each as a crop."""
    if together is None:
        return []
    names = rulebook.messages().marks
    readings = [
        chain.get(conn, checks_table, id_).content["reading_id"]
        for id_ in together.content["checks"]
    ]
    crops, without = [], []
    for finding in unit_checks.out_of(together).findings:
        if finding.severity != "conflict" or len({place.photo for place in finding.places}) < 2:
            continue
        for place in finding.places:
            mark = names.get(place.mark.mark, place.mark.mark.replace("_", " "))
            says = (
                f"{mark} on the {words.SURFACES[place.surface]}, photo {place.photo + 1}: "
                f"“{shown(place.mark.printed)}”"
            )
            line = place.mark.line
            if line is not None and files.has_strip(readings[place.photo], line):
                crops.append(Picture(files.strip(readings[place.photo], line), says))
            else:
                without.append(f"{says}. Typed by a person, so there is no crop.")
    if not crops and not without:
        return []
    return [Section("Print that differs, side by side", tuple(without), crops=tuple(crops))]


def _list(told: _Told) -> list[str]:
    return [sentence for match in told.matches for sentence in words.list_says(match)]


def _compared(told: _Told) -> list[Section]:
    rows = tuple(
        dict.fromkeys(
            (
                one.field.replace("_", " "),
                shown(one.printed),
                shown(one.listed),
                one.state.replace("_", " "),
                one.note.replace("_", " "),
            )
            for match in told.matches
            for one in match.fields
        )
    )
    if not rows:
        return []
    headings = ("Field", "Printed", "On your list", "State", "Note")
    return [Section("Print beside the entry", (), Table(headings, rows))]


def _not_looked_at(told: _Told, its_photos: Sequence[Entry]) -> Section:
    left = sorted(
        words.ASPECTS[aspect] for aspect, state in told.aspects.items() if state == "not_looked_at"
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
    together: Entry | None,
    head: Head,
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
    if together is not None:
        rows += [
            ("check of the photos together", f"{together.id}, made {words.moment(together.at)}"),
            ("hash of its record", together.hash),
        ]
    rows += [("head of all records", head.head), ("rows under that head", head.counts)]
    return list(dict.fromkeys(rows))


def _picture(files: PhotoFiles, photo: Entry) -> Picture:
    data, _ = smaller(files.served(photo.content["served_sha256"]), 1200)
    return Picture(data, words.SURFACES[photo.content["surface"]])
