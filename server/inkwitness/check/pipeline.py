"""The story in named steps: photo -> reading -> marks -> findings -> holders -> outcome.

Nothing here asks for the date, touches a database or knows the web. The holder list comes in only
after the marks are read: it never makes a reading more likely.
"""

import datetime as dt
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace

from inkwitness.check.confirm import with_confirmations
from inkwitness.check.contract import CheckOut, ItemOut, LineOut, QualityOut, Wire
from inkwitness.check.outward import NO_MARKS, best_marks, finding_out, mark_in, mark_out, match_out
from inkwitness.check.values import Checked, Confirmation, ItemRead
from inkwitness.findings import judge
from inkwitness.findings.outcome import aspects_and_outcome, outcome_of, worst
from inkwitness.findings.values import Aspect, AspectState, Circumstances, Item
from inkwitness.holders import match
from inkwitness.holders.values import HolderList, HolderMatch, ReadLine
from inkwitness.marks.absent import absent_marks
from inkwitness.marks.code_marks import marks_of_codes
from inkwitness.marks.read_marks import ids_within, marks_of_lines
from inkwitness.marks.script_marks import marks_of_scripts
from inkwitness.marks.values import Mark
from inkwitness.photo.decode import decode
from inkwitness.photo.values import Photo
from inkwitness.reading.codes import read_codes
from inkwitness.reading.engines import Readers
from inkwitness.reading.read import read
from inkwitness.reading.scripts import ScriptsRead, read_scripts
from inkwitness.reading.values import Area, Reading
from inkwitness.rulebook import Rulebook

UNREAD_PRINT = "print_that_could_not_be_read"


@dataclass(frozen=True, slots=True, eq=False)
class Checker:
    """What a check needs beside the photo: readers, rules, and the user's list (or None)."""

    readers: Readers
    rulebook: Rulebook
    holder_list: HolderList | None = None
    max_age_days: int = 30


def check_bytes(data: bytes, name: str, checker: Checker, circumstances: Circumstances) -> Checked:
    """Decode a photo file and check it. Raises NotAPhoto or TooLarge."""
    started = time.perf_counter()
    checked = check_photo(decode(data, name), checker, circumstances)
    spent = round(1000 * (time.perf_counter() - started))
    return Checked(checked.out.model_copy(update={"milliseconds": spent}), checked.strips)


def check_photo(photo: Photo, checker: Checker, circumstances: Circumstances) -> Checked:
    """Check one decoded photo: the whole path, one step a line."""
    reading = read(photo, checker.readers)
    scripts = read_scripts(photo, reading, checker.readers)
    codes = marks_of_codes(read_codes(photo.pixels))
    judged = []
    for number, area in enumerate(scripts.areas):
        marks = (*_marks(area, scripts, checker), *(codes if number == 0 else ()))
        marks = ids_within(marks, f"{photo.sha256[:12]}.{number}")
        lines = tuple(scripts.text(line) for line in area.lines)
        numbers = tuple(line.index for line in area.lines)
        item = ItemRead(marks, lines, area.polygon, not scripts.unread, numbers)
        judged.append(judged_alone(item, checker, circumstances))
    out = _out(photo, reading, scripts, judged, checker, circumstances)
    return Checked(out, {line.index: line.strip for a in scripts.areas for line in a.lines})


def recheck(
    previous: CheckOut,
    confirmations: tuple[Confirmation, ...],
    checker: Checker,
    circumstances: Circumstances,
) -> CheckOut:
    """Judge a stored reading again, with a person's words or another list; nothing is read anew.

    `previous` is the check of the reading itself, without confirmations.
    """
    judged = []
    for number in range(len(previous.items)):
        item = item_in(previous, number, checker.rulebook)
        words = [word for word in confirmations if word.item == number]
        said = with_confirmations(item.marks, words, checker.rulebook)
        judged.append(judged_alone(replace(item, marks=said), checker, circumstances))
    return previous.model_copy(update=_summary(judged, checker, circumstances))


class Judged(Wire):
    """An item and what its findings and list state come to."""

    item: ItemOut
    aspects: dict[Aspect, AspectState]
    confirmed: bool


def _marks(area: Area, scripts: ScriptsRead, checker: Checker) -> tuple[Mark, ...]:
    book = checker.rulebook
    latin = tuple(line for line in area.lines if line.index not in scripts.lines)
    marks = marks_of_lines(latin, book.grammars, book.vocabulary)
    return (*marks, *marks_of_scripts(area, scripts, marks, book.grammars, book.vocabulary))


def item_in(stored: CheckOut, number: int, rulebook: Rulebook) -> ItemRead:
    """What a stored check read of one of its items, without what it found absent."""
    item = stored.items[number]
    marks = (mark_in(mark, rulebook) for mark in item.marks)
    return ItemRead(
        marks=tuple(mark for mark in marks if mark.standing != "absent"),
        lines=tuple(line.text for line in stored.lines if line.item == number),
        polygon=tuple(item.polygon),
        legible=UNREAD_PRINT not in stored.notes,
        numbers=tuple(line.index for line in stored.lines if line.item == number),
    )


def to_judge(read: ItemRead, circumstances: Circumstances) -> Item:
    """The item as the rules see it.

    Ink that a person cannot read is there: it is neither missing nor wrong, only illegible. What a
    person says is no mark is not judged.
    """
    marks = tuple(mark for mark in read.marks if mark.mark not in NO_MARKS)
    seen = tuple(mark for mark in marks if mark.printed)
    legible = read.legible and len(seen) == len(marks)
    return Item(seen, circumstances, read.lines, legible)


def on_the_list(
    marks: Sequence[Mark],
    schemes: Sequence[str],
    checker: Checker,
    on: dt.date,
    lines: Sequence[ReadLine],
    elsewhere: Sequence[Mark] = (),
) -> HolderMatch:
    """What the user's list says to the marks, as of the day `on`, and what of it is in the lines.

    `elsewhere` are the marks of them that stand on another surface of the unit than the facepiece.
    """
    return match.match(
        marks,
        schemes,
        checker.holder_list,
        on=on,
        max_age_days=checker.max_age_days,
        list_keys={scheme.scheme: scheme.list_key for scheme in checker.rulebook.schemes},
        lines=lines,
        elsewhere=elsewhere,
        behind_class=checker.rulebook.vocabulary.printing.behind_class,
    )


def asks_about_list(listed: HolderMatch) -> bool:
    """Whether what the list says is only a question, or agreement with a list that is too old."""
    return listed.question or (listed.list_too_old and listed.state == "listed_agrees")


def judged_alone(read: ItemRead, checker: Checker, circumstances: Circumstances) -> Judged:
    """Findings on the marks of one item, then the list, then what both come to."""
    rulebook = checker.rulebook
    item = to_judge(read, circumstances)
    schemes = judge.schemes_of([item], rulebook)
    findings = judge.judge(item, rulebook)
    listed = on_the_list(item.marks, schemes, checker, circumstances.on, read.to_search())
    aspects, _ = aspects_and_outcome(
        findings,
        item.marks,
        listed.state,
        list_question=asks_about_list(listed),
        all_legible=item.all_legible,
        declared=circumstances.declared,
    )
    # Half a surface, or print that nobody could read, says nothing of what is absent.
    looked = item.all_legible and circumstances.whole == "yes"
    required = [_required(scheme, circumstances, rulebook) for scheme in schemes if looked]
    absent = absent_marks(item.marks, required)
    return Judged(
        item=ItemOut(
            polygon=list(read.polygon),
            surface=circumstances.surface,
            whole=circumstances.whole,
            schemes=list(schemes),
            marks=[mark_out(mark) for mark in (*read.marks, *absent)],
            findings=[finding_out(finding, rulebook) for finding in findings],
            holder_match=match_out(listed),
        ),
        aspects=aspects,
        confirmed=any(mark.confirmed for mark in read.marks),
    )


def _required(scheme: str, circumstances: Circumstances, rulebook: Rulebook) -> tuple[str, ...]:
    """Names of the marks that a scheme requires on the surface that was photographed."""
    found = rulebook.scheme(scheme)
    marks = found.marks if found else ()
    return tuple(m.mark for m in marks if circumstances.surface in m.required_on)


def _out(
    photo: Photo,
    reading: Reading,
    scripts: ScriptsRead,
    judged: Sequence[Judged],
    checker: Checker,
    circumstances: Circumstances,
) -> CheckOut:
    lines = [
        LineOut(
            index=line.index,
            text=scripts.text(line),
            confidence=round(scripts.confidence(line), 4),
            polygon=list(line.polygon),
            item=number,
            x_height_px=line.x_height_px,
        )
        for number, area in enumerate(scripts.areas)
        for line in area.lines
    ]
    quality = [
        QualityOut(
            fact=f.fact, value=f.value, unit=f.unit, limit=f.limit, state=f.state, advice=f.advice
        )
        for f in reading.quality
    ]
    return CheckOut.model_validate(
        {
            "photo": photo.name,
            "sha256": photo.sha256,
            "lines": lines,
            "photo_quality": quality,
            "milliseconds": 0,
            "readers": [
                f"{reader.name} {reader.version}" for reader in (*reading.readers, *scripts.readers)
            ],
            "notes": [*reading.notes, *([UNREAD_PRINT] if scripts.unread else [])],
            "width": photo.width,
            "height": photo.height,
            "turn": reading.turn,
            **_summary(judged, checker, circumstances),
        }
    )


def _summary(
    judged: Sequence[Judged], checker: Checker, circumstances: Circumstances
) -> dict[str, object]:
    """The fields that depend on the judging: of all items the worst, mirrored from the largest."""
    aspects, outcome = aspects_and_outcome((), (), declared=circumstances.declared)
    items = [one.item for one in judged]
    if judged:
        aspects = {name: worst(one.aspects[name] for one in judged) for name in aspects}
        outcome = outcome_of(aspects.values())
    first = items[0] if items else None
    listed = first.holder_match if first else match_out(HolderMatch("nothing_to_look_up"))
    return {
        "on": circumstances.on,
        "outcome": outcome,
        "basis": "confirmed" if any(one.confirmed for one in judged) else "reading",
        "aspects": aspects,
        "items": items,
        "scheme": first.schemes[0] if first and first.schemes else "",
        "marks": best_marks(items),
        "findings": first.findings if first else [],
        "holder_match": listed,
        "rules_edition": checker.rulebook.edition,
    }
