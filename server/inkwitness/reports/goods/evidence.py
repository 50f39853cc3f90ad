"""The evidence of a consignment unit by unit: the ink beside each mark, findings, photos."""

from collections.abc import Iterator

from sqlalchemy import Connection

from inkwitness.check.outward import check_out
from inkwitness.consignment.values import rank
from inkwitness.photo.files import PhotoFiles
from inkwitness.phrases import Phrases
from inkwitness.records import chain, checks
from inkwitness.records.chain import Entry
from inkwitness.records.tables import photos as photos_table
from inkwitness.records.units import UnitSummary
from inkwitness.reports import words
from inkwitness.reports.answers import of_unit, says_after, sentence
from inkwitness.reports.document import Ink, PhotoFile, Section, shown
from inkwitness.reports.goods.noted import judged, name_of
from inkwitness.reports.marks import word_on
from inkwitness.reports.unit import in_force
from inkwitness.rulebook import Rulebook
from inkwitness.use_cases.overview import Overview

#: So many units and photos stand in the PDF; all of them stand in the JSON of the evidence pack.
MOST_UNITS = 120
MOST_PHOTOS = 240


def of_units(
    conn: Connection, files: PhotoFiles, found: Overview, rulebook: Rulebook, say: Phrases
) -> tuple[Section, ...]:
    """A section a unit, the worst first, at most MOST_UNITS, and how many more there are."""
    ranked = _ranked(found)
    sections = [
        Section(
            f"{say('front.unit', name=name_of(unit))} – {words.state(unit.outcome, say)}",
            tuple(dict.fromkeys(_findings(conn, unit, rulebook, say))),
            inks=tuple(_inks(conn, files, unit, rulebook, say)),
        )
        for unit in ranked[:MOST_UNITS]
    ]
    left = len(ranked) - len(sections)
    if left:
        told = (say("front.units_more", n=left),)
        sections.append(Section(words.heading("not_looked_at", say), told))
    return tuple(sections)


def photos_of(
    conn: Connection, files: PhotoFiles, found: Overview, say: Phrases
) -> tuple[PhotoFile, ...]:
    """The photos of the units, each with its unit's name, in the order of the units' sections."""
    made = []
    for unit in _ranked(found):
        for photo in unit.state.photos:
            content = chain.get(conn, photos_table, photo.photo_id).content
            sha256 = content["served_sha256"]
            says = say(
                "front.photo",
                unit=name_of(unit),
                surface=words.surface(content["surface"], say),
                sha256=sha256,
            )
            made.append(PhotoFile(files.path_of("served", sha256), sha256, says))
    return tuple(made[:MOST_PHOTOS])


def _ranked(found: Overview) -> list[UnitSummary]:
    return sorted(found.units, key=lambda unit: (rank(unit.outcome), name_of(unit)))


def _findings(
    conn: Connection, unit: UnitSummary, rulebook: Rulebook, say: Phrases
) -> Iterator[str]:
    seen = judged(conn, unit, rulebook)
    for finding, answer in seen.findings:
        kind = "question" if finding.question else finding.severity
        if kind != "note":
            says = words.finding(finding, rulebook, say)
            aside = f" {sentence(answer, say)}" if answer is not None else ""
            title = say("aside.title") if aside else words.heading(kind, say)
            yield f"{title}: {says}{aside}"
    for part in seen.parts:
        yield from words.list_says(part.holder_match, say)[:2]
    _, after = of_unit(conn, unit, rulebook, say)
    if after is not None:
        yield says_after(after, say)


def _inks(
    conn: Connection, files: PhotoFiles, unit: UnitSummary, rulebook: Rulebook, say: Phrases
) -> Iterator[Ink]:
    for state in unit.state.photos:
        check = checks.newest(conn, state.photo_id)
        if check is None:
            continue
        photo = chain.get(conn, photos_table, state.photo_id)
        said = in_force(conn, photo)
        out = check_out(checks.load(conn, check), rulebook)
        for number, item in enumerate(out.items):
            for mark in item.marks:
                if mark.standing == "absent" or (mark.named_by == "place" and not mark.confirmed):
                    continue
                reading = check.content["reading_id"]
                has = mark.line is not None and files.has_strip(reading, mark.line)
                yield Ink(
                    path=files.strip_path(reading, mark.line or 0) if has else None,
                    mark=say.named("marks", mark.mark),
                    printed=shown(mark.printed),
                    value=shown(mark.value),
                    standing=say(f"standing.{mark.standing}"),
                    why=" ".join(words.reason(one, say) for one in mark.reasons),
                    on=words.surface(item.surface, say),
                    by=_by(word_on(mark, number, said), say),
                )


def _by(word: Entry | None, say: Phrases) -> str:
    if word is None:
        return say("basis.reading")
    return f"{shown(word.context.actor.name)}, {say.apart(words.moment(word.at))}"
