"""Several photos of one unit, checked together: facepiece, strap, pouch, boxes, leaflet.

Each photo keeps its own check. Here the largest items of all of them are judged as one: a mark may
stand on another surface, and a facepiece and a box that disagree are a conflict. Further items of a
photo are judged alone and never merged: nothing is concluded between two items of one photo.
"""

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace

from inkwitness.check.contract import (
    OtherItemOut,
    PlaceOut,
    UnitCheckOut,
    UnitFindingOut,
    UnitPhotoOut,
)
from inkwitness.check.outward import finding_out, mark_out, match_out
from inkwitness.check.pipeline import (
    Checker,
    Judged,
    asks_about_list,
    item_in,
    judged_alone,
    on_the_list,
    to_judge,
)
from inkwitness.check.values import UnitPhoto
from inkwitness.findings.merge import unit_of
from inkwitness.findings.outcome import aspects_and_outcome, outcome_of, worst
from inkwitness.findings.values import Finding, Item, Placed
from inkwitness.holders.values import ReadLine
from inkwitness.marks.values import Mark
from inkwitness.rulebook import Rulebook

#: A person's word that a surface carries no print, so that none read is not a doubt.
NO_PRINT = "no_print_seen"


def check_unit(photos: Sequence[UnitPhoto], checker: Checker, on: dt.date) -> UnitCheckOut:
    """Check the photos of one unit together, for the day `on`. Raises BadInput without a photo.

    The checks of the photos are used as they are, with the words of people in them; nothing is
    read anew. A photo in which no print was found says nothing of what is absent.
    """
    photos = [replace(one, circumstances=replace(one.circumstances, on=on)) for one in photos]
    items = [_largest(one, checker.rulebook) for one in photos]
    unit = unit_of(items, checker.rulebook)
    marks = [placed.mark for placed in unit.marks]
    lines = [line for number, one in enumerate(photos) for line in _lines(one, number, checker)]
    listed = on_the_list(marks, unit.schemes, checker, on, lines, _elsewhere(unit.marks))
    together, _ = aspects_and_outcome(
        unit.findings,
        marks,
        listed.state,
        list_question=asks_about_list(listed),
        all_legible=all(item.all_legible for item in items),
        declared={word for item in items for word in item.circumstances.declared},
    )
    others = [
        (
            number,
            further,
            judged_alone(item_in(one.check, further, checker.rulebook), checker, about),
        )
        for number, one in enumerate(photos)
        for about in [one.circumstances]
        for further in range(1, len(one.check.items))
    ]
    aspects = {
        name: worst([state, *(judged.aspects[name] for _, _, judged in others)])
        for name, state in together.items()
    }
    confirmed = all(one.check.basis == "confirmed" for one in photos)
    return UnitCheckOut(
        on=on,
        outcome=outcome_of(aspects.values()),
        basis="confirmed" if confirmed else "reading",
        aspects=aspects,
        photos=[_photo_out(one) for one in photos],
        schemes=list(unit.schemes),
        scheme=unit.schemes[0] if unit.schemes else "",
        marks={placed.mark.mark: _place_out(placed) for placed in unit.best},
        placed=[_place_out(placed) for placed in unit.marks],
        findings=[_finding_out(finding, checker.rulebook) for finding in unit.findings],
        holder_match=match_out(listed),
        others=[_other_out(*other) for other in others],
        rules_edition=checker.rulebook.edition,
    )


def _largest(photo: UnitPhoto, rulebook: Rulebook) -> Item:
    if photo.check.items:
        return to_judge(item_in(photo.check, 0, rulebook), photo.circumstances)
    return Item((), photo.circumstances, (), NO_PRINT in photo.circumstances.declared)


def _lines(photo: UnitPhoto, number: int, checker: Checker) -> tuple[ReadLine, ...]:
    if not photo.check.items:
        return ()
    return item_in(photo.check, 0, checker.rulebook).to_search(number)


def _elsewhere(marks: Sequence[Placed]) -> list[Mark]:
    """Marks beside the facepiece and its straps, where one of these is among the photos."""
    worn = {"facepiece", "strap"}
    if not any(placed.surface in worn for placed in marks):
        return []
    return [placed.mark for placed in marks if placed.surface not in worn]


def _place_out(placed: Placed) -> PlaceOut:
    return PlaceOut(photo=placed.photo, surface=placed.surface, mark=mark_out(placed.mark))


def _finding_out(finding: Finding, rulebook: Rulebook) -> UnitFindingOut:
    places = [_place_out(placed) for placed in finding.places]
    return UnitFindingOut(**dict(finding_out(finding, rulebook)), places=places)


def _photo_out(photo: UnitPhoto) -> UnitPhotoOut:
    return UnitPhotoOut(
        photo=photo.check.photo,
        sha256=photo.check.sha256,
        surface=photo.circumstances.surface,
        whole=photo.circumstances.whole,
        outcome=photo.check.outcome,
        basis=photo.check.basis,
    )


def _other_out(photo: int, item: int, judged: Judged) -> OtherItemOut:
    return OtherItemOut(
        photo=photo,
        item=item,
        outcome=outcome_of(judged.aspects.values()),
        findings=judged.item.findings,
        holder_match=judged.item.holder_match,
    )
