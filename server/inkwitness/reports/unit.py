"""The report of one unit or group."""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from sqlalchemy import Connection

from inkwitness.check.contract import CheckOut, FindingOut, HolderMatchOut, UnitCheckOut
from inkwitness.check.outward import check_out, unit_check_out
from inkwitness.findings.outcome import worst
from inkwitness.findings.values import Aspect, AspectState
from inkwitness.photo.files import PhotoFiles
from inkwitness.phrases import Phrases
from inkwitness.records import chain, checks, photos, removals, units
from inkwitness.records.chain import Entry
from inkwitness.records.integrity.heads import Head, head_of
from inkwitness.records.tables import checks as checks_table
from inkwitness.records.tables import units as units_table
from inkwitness.records.units import UnitSummary
from inkwitness.reports import answers, build, parts, steps, words
from inkwitness.reports.document import Document, PhotoFile, Picture, Section, Table, shown
from inkwitness.reports.goods import papers
from inkwitness.reports.goods.noted import judged
from inkwitness.reports.marks import marks_read
from inkwitness.rulebook import Rulebook
from inkwitness.use_cases import confirmations, deciding
from inkwitness.use_cases import look_ups as look_ups_kept
from inkwitness.use_cases.intake import standing
from inkwitness.use_cases.intake.standing import BesideUnit
from inkwitness.use_cases.judged import judging


def unit_report(
    conn: Connection,
    files: PhotoFiles,
    rulebook: Rulebook,
    unit_id: str,
    made_at: dt.datetime,
    say: Phrases,
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
    outs = [check_out(checks.load(conn, check), rulebook) for _, check in newest]
    entry = checks.in_force(conn, unit_id)
    together = (
        unit_check_out(checks.load_unit(conn, entry), rulebook) if entry is not None else None
    )
    beside = standing.beside_unit(conn, unit_id, unit.consignment_id, made_at.date())
    told = _told(outs, together)
    told = replace(told, aspects={**told.aspects, **beside.aspects})
    said = {photo.id: in_force(conn, photo) for photo in its_photos}
    words_in_force = [word for words_on in said.values() for word in words_on]
    head = head_of(conn)
    keys = set(unit.state.list_keys)
    looked_up = [
        entry
        for entry in look_ups_kept.all_of_them(conn)
        if entry.content["unit_id"] == unit_id or entry.content["looked_up"] in keys
    ]
    decided = deciding.decided(conn, unit_id=unit_id)
    answered, after = answers.of_unit(conn, unit, rulebook, say)
    label = say("report.title.label", label=shown(unit.label)) if unit.label else ""
    group = say("report.title.group", count=unit.count) if unit.count > 1 else ""
    return Document(
        kind="unit",
        title=say("report.title.unit", label=label, group=group),
        made_at=made_at,
        statuses=(
            *parts.statuses(
                unit.outcome,
                unit.basis,
                decided,
                say,
                held=deciding.is_held(conn, unit_id=unit_id),
            ),
            *answers.status_after(after, say),
        ),
        sections=(
            _aspects(told, beside, say),
            *_apart(together, say),
            *marks_read(
                [(out, said[photo.id]) for (photo, _), out in zip(newest, outs, strict=True)], say
            ),
            *parts.findings(_open(conn, unit, told, rulebook), rulebook, say),
            *answered,
            *(papers.raised(beside.papers, rulebook, say) if beside.papers.table else ()),
            build.seen(conn, unit_id, say),
            *steps.section(conn, unit, rulebook, say),
            *_side_by_side(conn, files, entry, together, say),
            Section(words.heading("list", say), tuple(dict.fromkeys(_list(told, say)))),
            *_compared(told, say),
            parts.look_ups(looked_up, say),
            _not_looked_at(told, its_photos, say),
            parts.use_cautions(
                (
                    scheme
                    for out in outs
                    for item in out.items
                    for name in item.schemes
                    if (scheme := rulebook.scheme(name)) is not None
                ),
                say,
            ),
            parts.decisions(decided, say),
            _caveat(unit.count, outs, words_in_force, say),
            parts.integrity(
                _evidence(conn, newest, its_photos, outs, entry, head, unit_id, files, say), say
            ),
        ),
        records_head=head.head,
        language=say.language,
        pictures=tuple(
            _picture(files, photo, say)
            for photo in its_photos
            if removals.of_photo(conn, photo.id) is None
        ),
    )


def in_force(conn: Connection, photo: Entry) -> tuple[Entry, ...]:
    """The words in force on a photo, those on its reduced copy among them."""
    first = checks.as_read(conn, photo.id)
    on_it = confirmations.of_photo(conn, photo.id)
    said = on_it if first is None else judging.words_on(conn, photo, checks.load(conn, first))
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


def _open(conn: Connection, unit: UnitSummary, told: _Told, rulebook: Rulebook) -> list[FindingOut]:
    """The findings that nobody set aside; those that were stand with the answer to them."""
    found = judged(conn, unit, rulebook).findings
    standing_open = {one.id for one, answer in found if answer is None}
    aside = {one.id for one, answer in found if answer is not None} - standing_open
    return [one for one in told.findings if one.id not in aside]


def _aspects(told: _Told, beside: BesideUnit, say: Phrases) -> Section:
    """Six results side by side; they are never added up.

    What came with the goods stands beside the print, and the outcome is that of the print.
    """
    rows = tuple(
        (words.aspect(name, say), words.state(told.aspects.get(name, "not_looked_at"), say))
        for name in words.ASPECTS
    )
    table = Table(words.columns(say, "about", "result"), rows)
    said = (say("report.beside_print"),) if beside.aspects else ()
    return Section(words.heading("aspects", say), said, table)


def _apart(together: UnitCheckOut | None, say: Phrases) -> list[Section]:
    """What each photo comes to on its own, where several were checked together."""
    if together is None:
        return []
    rows = tuple(
        (
            f"{number}",
            words.surface(photo.surface, say),
            words.state(photo.outcome, say),
            say(f"basis.{photo.basis}"),
        )
        for number, photo in enumerate(together.photos, start=1)
    )
    table = Table(words.columns(say, "photo", "shows", "alone", "basis"), rows)
    return [Section(words.heading("apart", say), (say("report.together"),), table)]


def _side_by_side(
    conn: Connection,
    files: PhotoFiles,
    entry: Entry | None,
    together: UnitCheckOut | None,
    say: Phrases,
) -> list[Section]:
    """Print that differs between two photos, each as a crop."""
    if entry is None or together is None:
        return []
    readings = [
        chain.get(conn, checks_table, id_).content["reading_id"] for id_ in entry.content["checks"]
    ]
    crops, without = [], []
    for finding in together.findings:
        if finding.severity != "conflict" or len({place.photo for place in finding.places}) < 2:
            continue
        for place in finding.places:
            says = say(
                "report.differs.at",
                mark=say.named("marks", place.mark.mark),
                surface=words.surface(place.surface, say),
                photo=place.photo + 1,
                printed=shown(place.mark.printed),
            )
            line = place.mark.line
            if line is not None and files.has_strip(readings[place.photo], line):
                crops.append(Picture(files.line_image(readings[place.photo], line), says))
            else:
                without.append(say("report.differs.typed", says=says))
    if not crops and not without:
        return []
    return [Section(words.heading("differs", say), tuple(without), crops=tuple(crops))]


def _list(told: _Told, say: Phrases) -> list[str]:
    return [sentence for match in told.matches for sentence in words.list_says(match, say)]


def _compared(told: _Told, say: Phrases) -> list[Section]:
    rows = tuple(
        dict.fromkeys(
            (
                words.compared_field(one.field, say),
                shown(one.printed),
                shown(one.listed),
                say(f"field.{one.state}"),
                say.named("note", one.note) if one.note else "",
            )
            for match in told.matches
            for one in match.fields
        )
    )
    if not rows:
        return []
    headings = words.columns(say, "field", "printed", "listed", "state", "note")
    return [Section(words.heading("compared", say), (), Table(headings, rows))]


def _not_looked_at(told: _Told, its_photos: Sequence[Entry], say: Phrases) -> Section:
    left = [name for name in words.ASPECTS if told.aspects.get(name) == "not_looked_at"]
    seen = {photo.content["surface"] for photo in its_photos}
    unseen = [words.surface(one, say) for one in words.SURFACES if one not in seen]
    part = [
        words.surface(photo.content["surface"], say)
        for photo in its_photos
        if photo.content["whole"] != "yes"
    ]
    said = [say("report.not.looked_at", what=say(f"aspect.{name}")) for name in left]
    if unseen:
        said.append(say("report.not.photographed", what=", ".join(unseen)))
    if part:
        said.append(say("report.not.whole", what=", ".join(dict.fromkeys(part))))
    return Section(words.heading("not_looked_at", say), (*said, *parts.never_tested(say)))


def _caveat(
    count: int, outs: Sequence[CheckOut], in_force: Sequence[Entry], say: Phrases
) -> Section:
    people = dict.fromkeys(shown(word.context.actor.name) for word in in_force)
    said = [
        say("report.caveat.unit" if count == 1 else "report.caveat.group", count=count),
        parts.confirmed_by(people, say),
    ]
    if outs:
        edition, day = outs[0].rules_edition, words.date(outs[0].on)
        said.append(say("report.caveat.rules", edition=edition, day=day))
    return parts.caveat(said, say)


def _evidence(
    conn: Connection,
    newest: Sequence[tuple[Entry, Entry]],
    its_photos: Sequence[Entry],
    outs: Sequence[CheckOut],
    together: Entry | None,
    head: Head,
    unit_id: str,
    files: PhotoFiles,
    say: Phrases,
) -> list[tuple[str, str]]:
    def row(key: str, value: str, n: int = 0) -> tuple[str, str]:
        return say(f"report.evidence.{key}", n=n), value

    def made(entry: Entry) -> str:
        return say("report.evidence.made", id=entry.id, at=words.moment(entry.at))

    rows = [row("unit", unit_id)]
    for n, photo in enumerate(its_photos, start=1):
        content = photo.content
        sent = say(
            "report.evidence.sent",
            surface=words.surface(content["surface"], say),
            name=shown(photo.context.actor.name),
            at=words.moment(photo.at),
        )
        rows += [
            row("photo", sent, n),
            row("came", content["sha256"], n),
            row("kept", _state(conn, files, photo, say), n),
            row("served", content["served_sha256"], n),
            row("copy", say.named("report.copy", content["served_how"]), n),
        ]
    for (_, check), out in zip(newest, outs, strict=True):
        rows += [
            row("check", made(check)),
            row("readers", ", ".join(out.readers)),
            row("rules", out.rules_edition),
        ]
        if out.holder_match.list_edition is not None:
            rows.append(row("list", str(out.holder_match.list_edition)))
    if together is not None:
        rows += [row("together", made(together)), row("record", together.hash)]
    rows += [row("head", head.head), row("rows", head.counts)]
    return [one for one in dict.fromkeys(rows) if one[1]]


def _state(conn: Connection, files: PhotoFiles, photo: Entry, say: Phrases) -> str:
    removal = removals.of_photo(conn, photo.id)
    if removal is None:
        return say(f"report.file.{files.state(photo.content['sha256'])}")
    return say(
        "report.file.removed",
        name=shown(removal.context.actor.name),
        at=words.moment(removal.at),
        reason=shown(removal.content["reason"]),
    )


def _picture(files: PhotoFiles, photo: Entry, say: Phrases) -> PhotoFile:
    sha256 = photo.content["served_sha256"]
    surface = words.surface(photo.content["surface"], say)
    return PhotoFile(files.path_of("served", sha256), sha256, surface)
