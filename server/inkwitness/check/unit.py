"""Several photos of one unit, judged together: facepiece, strap, pouch, boxes, leaflet.

Each photo keeps its own check. Here the largest items of all of them are judged as one: a mark may
stand on another surface, and a facepiece and a box that disagree are a conflict. Further items of a
photo are judged alone and never merged: nothing is concluded between two items of one photo.
"""

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace

from inkwitness.check.judge import Criteria, asks_about_list, judge_item, on_the_list, to_judge
from inkwitness.check.values import (
    FurtherItem,
    ItemJudged,
    ItemRead,
    PhotoJudged,
    UnitJudgement,
    UnitPhoto,
)
from inkwitness.findings.merge import unit_of
from inkwitness.findings.outcome import aspects_and_outcome, outcome_of, worst
from inkwitness.findings.values import Item, Placed
from inkwitness.holders.values import ReadLine
from inkwitness.marks.values import Mark

#: A person's word that a surface carries no print, so that none read is not a doubt.
NO_PRINT = "no_print_seen"


def judge_unit(photos: Sequence[UnitPhoto], criteria: Criteria, on: dt.date) -> UnitJudgement:
    """Judge the photos of one unit together, for the day `on`. Raises BadInput without a photo.

    The checks of the photos are used as they are, with the words of people in them; nothing is
    read anew. A photo in which no print was found says nothing of what is absent.
    """
    photos = [replace(one, circumstances=replace(one.circumstances, on=on)) for one in photos]
    items = [_largest(one) for one in photos]
    unit = unit_of(items, criteria.rulebook)
    marks = [placed.mark for placed in unit.marks]
    lines = [line for number, one in enumerate(photos) for line in _lines(one, number)]
    listed = on_the_list(marks, unit.schemes, criteria, on, lines, _elsewhere(unit.marks))
    together, _ = aspects_and_outcome(
        unit.findings,
        marks,
        listed.state,
        list_question=asks_about_list(listed),
        all_legible=all(item.all_legible for item in items),
        declared={word for item in items for word in item.circumstances.declared},
    )
    others = [
        (number, further, _alone(one, further, criteria))
        for number, one in enumerate(photos)
        for further in range(1, len(one.check.reading.items))
    ]
    aspects = {
        name: worst([state, *(judged.aspects[name] for _, _, judged in others)])
        for name, state in together.items()
    }
    confirmed = all(one.check.judgement.basis == "confirmed" for one in photos)
    return UnitJudgement(
        on=on,
        outcome=outcome_of(aspects.values()),
        basis="confirmed" if confirmed else "reading",
        aspects=aspects,
        photos=tuple(_photo(one) for one in photos),
        schemes=unit.schemes,
        placed=unit.marks,
        findings=unit.findings,
        holder_match=listed,
        others=tuple(_further(*other) for other in others),
        rules_edition=criteria.rulebook.edition,
    )


def _item(photo: UnitPhoto, number: int) -> ItemRead:
    """What the check of a photo read of one of its items, without what it found absent."""
    seen = (mark for mark in photo.check.marks_of(number) if mark.standing != "absent")
    return replace(photo.check.reading.items[number], marks=tuple(seen))


def _largest(photo: UnitPhoto) -> Item:
    if photo.check.reading.items:
        legible = photo.check.reading.legible
        return to_judge(_item(photo, 0), photo.circumstances, legible=legible)
    return Item((), photo.circumstances, (), NO_PRINT in photo.circumstances.declared)


def _lines(photo: UnitPhoto, number: int) -> tuple[ReadLine, ...]:
    return _item(photo, 0).to_search(number) if photo.check.reading.items else ()


def _elsewhere(marks: Sequence[Placed]) -> list[Mark]:
    """Marks beside the facepiece and its straps, where one of these is among the photos."""
    worn = {"facepiece", "strap"}
    if not any(placed.surface in worn for placed in marks):
        return []
    return [placed.mark for placed in marks if placed.surface not in worn]


def _alone(photo: UnitPhoto, number: int, criteria: Criteria) -> ItemJudged:
    return judge_item(
        _item(photo, number),
        criteria,
        photo.circumstances,
        number=number,
        legible=photo.check.reading.legible,
    )


def _photo(photo: UnitPhoto) -> PhotoJudged:
    return PhotoJudged(
        photo=photo.check.reading.photo,
        sha256=photo.check.reading.sha256,
        surface=photo.circumstances.surface,
        whole=photo.circumstances.whole,
        outcome=photo.check.judgement.outcome,
        basis=photo.check.judgement.basis,
    )


def _further(photo: int, item: int, judged: ItemJudged) -> FurtherItem:
    return FurtherItem(
        photo=photo,
        item=item,
        outcome=outcome_of(judged.aspects.values()),
        findings=judged.findings,
        holder_match=judged.holder_match,
    )
