"""Checks as they were stored before readings and judgements were kept apart: the wire shapes whole.

Such rows are never rewritten; they are read here into the values of today. Marks that were stored
before marks had ids get one, and their parts are found anew in the ink by today's grammars.
"""

from typing import Any

from pydantic import TypeAdapter

from inkwitness import rulebook
from inkwitness.check.confirm import ADDED
from inkwitness.check.contract import (
    CheckOut,
    FindingOut,
    HolderMatchOut,
    ItemOut,
    MarkOut,
    PlaceOut,
    UnitCheckOut,
    UnitFindingOut,
)
from inkwitness.check.values import (
    Check,
    FurtherItem,
    ItemJudged,
    ItemRead,
    Judgement,
    LineRead,
    PhotoJudged,
    Reading,
    UnitJudgement,
)
from inkwitness.findings.values import Aspect, AspectState, Finding, Placed
from inkwitness.holders.values import HolderMatch
from inkwitness.marks.match import find
from inkwitness.marks.values import Mark
from inkwitness.photo.values import QualityFact

#: How the id begins that a mark gets which was stored before marks had ids.
OLD_ID = "old:"
_MATCH = TypeAdapter(HolderMatch)
_MARK = TypeAdapter(Mark)


def check_of(content: Any) -> Check:
    """The check of a photo that a row of the old form holds."""
    out = _with_ids(CheckOut.model_validate(content))
    items = [tuple(_mark(mark) for mark in item.marks) for item in out.items]
    reading = Reading(
        photo=out.photo,
        sha256=out.sha256,
        width=out.width,
        height=out.height,
        turn=out.turn,
        quality=tuple(QualityFact(**dict(fact)) for fact in out.photo_quality),
        items=tuple(
            ItemRead(
                tuple(item.polygon),
                _lines(out, number),
                tuple(mark for mark in marks if mark.standing != "absent"),
            )
            for number, (item, marks) in enumerate(zip(out.items, items, strict=True))
        ),
        readers=tuple(out.readers),
        notes=tuple(out.notes),
        milliseconds=out.milliseconds,
        rules_edition=out.rules_edition,
    )
    judgement = Judgement(
        on=out.on,
        outcome=out.outcome,
        basis=out.basis,
        aspects=out.aspects,
        items=tuple(
            _item(item, marks, out.aspects) for item, marks in zip(out.items, items, strict=True)
        ),
        rules_edition=out.rules_edition,
    )
    return Check(reading, judgement)


def unit_of(content: Any) -> UnitJudgement:
    """The judgement of a unit that a row of the old form holds."""
    out = UnitCheckOut.model_validate(content)
    return UnitJudgement(
        on=out.on,
        outcome=out.outcome,
        basis=out.basis,
        aspects=out.aspects,
        photos=tuple(PhotoJudged(**dict(photo)) for photo in out.photos),
        schemes=tuple(out.schemes),
        placed=tuple(_placed(place) for place in out.placed),
        findings=tuple(_finding(finding) for finding in out.findings),
        holder_match=_match(out.holder_match),
        others=tuple(
            FurtherItem(
                other.photo,
                other.item,
                other.outcome,
                tuple(_finding(finding) for finding in other.findings),
                _match(other.holder_match),
            )
            for other in out.others
        ),
        rules_edition=out.rules_edition,
    )


def _with_ids(out: CheckOut) -> CheckOut:
    """An id is made of what does not change from one check of a reading to the next: item, name,
    scheme, and which of these the mark is.
    """
    if all(mark.id for item in out.items for mark in item.marks):
        return out
    items = []
    for number, item in enumerate(out.items):
        seen: dict[tuple[str, str], int] = {}
        marks = []
        for mark in item.marks:
            nth = seen.get((mark.mark, mark.scheme), 0)
            seen[mark.mark, mark.scheme] = nth + 1
            begins = ADDED if mark.standing == "absent" else OLD_ID
            id_ = mark.id or f"{begins}{number}:{mark.mark}:{mark.scheme}:{nth}"
            marks.append(mark.model_copy(update={"id": id_}))
        items.append(item.model_copy(update={"marks": marks}))
    return out.model_copy(update={"items": items})


def _mark(out: MarkOut) -> Mark:
    parts = tuple(out.parts.items())
    if out.id.startswith(OLD_ID) and not parts:
        for grammar in rulebook.shipped().grammars:
            if grammar.mark == out.mark and grammar.scheme == out.scheme and not parts:
                hits = (m for m in find(out.printed, grammar) if m.value == out.value)
                parts = next((hit.parts for hit in hits), ())
    return _MARK.validate_python({**out.model_dump(), "parts": parts})


def _lines(out: CheckOut, item: int) -> tuple[LineRead, ...]:
    return tuple(
        LineRead(line.index, line.text, line.confidence, tuple(line.polygon), line.x_height_px)
        for line in out.lines
        if line.item == item
    )


def _item(item: ItemOut, marks: tuple[Mark, ...], aspects: dict[Aspect, AspectState]) -> ItemJudged:
    return ItemJudged(
        surface=item.surface,
        whole=item.whole,
        schemes=tuple(item.schemes),
        marks=marks,
        findings=tuple(_finding(finding) for finding in item.findings),
        holder_match=_match(item.holder_match),
        # the old form kept these for the photo alone
        aspects=aspects,
    )


def _finding(out: FindingOut) -> Finding:
    places = out.places if isinstance(out, UnitFindingOut) else ()
    return Finding(
        rule=out.rule,
        scheme=out.scheme,
        severity=out.severity,
        aspect=out.aspect,
        question=out.question,
        values=tuple(out.values.items()),
        marks=tuple(out.marks),
        places=tuple(_placed(place) for place in places),
        says=out.says,
        source=out.source,
    )


def _match(out: HolderMatchOut) -> HolderMatch:
    return _MATCH.validate_python(out.model_dump())


def _placed(out: PlaceOut) -> Placed:
    return Placed(_mark(out.mark), out.surface, out.photo)
