"""What was read on a unit, mark by mark; and print that only its place names, as questions."""

from collections.abc import Mapping, Sequence

from inkwitness.check.contract import CheckOut, ItemOut, MarkOut
from inkwitness.records.chain import Entry
from inkwitness.reports import words
from inkwitness.reports.document import Section, Table, shown

_HEADINGS = (
    "Mark",
    "As printed",
    "Normal form",
    "Standing",
    "Why doubtful",
    "Named by",
    "On",
    "Confirmed by",
)

#: The newest check of a photo, and the words of people that are in force on it.
PhotoRead = tuple[CheckOut, Sequence[Entry]]


def marks_read(photos: Sequence[PhotoRead], names: Mapping[str, str]) -> list[Section]:
    """The marks as a table, then the questions. `names` are the marks' names in sentences."""
    if not photos:
        return [Section("What was read", ("Nothing was read yet.",))]
    rows = tuple(
        _row(mark, item, _word_on(mark, number, said), names)
        for out, said in photos
        for number, item in enumerate(out.items)
        for mark in item.marks
        if not _is_free(mark)
    )
    asked = tuple(
        question for out, _ in photos for item in out.items for question in _questions(item, names)
    )
    found = [Section("What was read", (), Table(_HEADINGS, rows))]
    if asked:
        found.append(Section("Print without a label", (words.FREE_PRINT, *asked)))
    return found


def _is_free(mark: MarkOut) -> bool:
    return mark.named_by == "place" and not mark.confirmed


def _row(
    mark: MarkOut, item: ItemOut, word: Entry | None, names: Mapping[str, str]
) -> tuple[str, ...]:
    by = "to be confirmed"
    if word is not None:
        by = f"{shown(word.hand.actor.name)}, {words.moment(word.at)}"
    seen = mark.standing != "absent"
    return (
        words.NO_MARKS.get(mark.mark) or _name(mark.mark, names),
        shown(mark.printed),
        shown(mark.value),
        words.STANDINGS[mark.standing],
        "; ".join(words.reason(one) for one in mark.reasons),
        words.NAMED_BY[mark.named_by] if seen else "",
        words.SURFACES[item.surface],
        by,
    )


def _questions(item: ItemOut, names: Mapping[str, str]) -> list[str]:
    """One question a piece of ink, however many marks it is offered as."""
    offers: dict[object, list[MarkOut]] = {}
    for number, mark in enumerate(item.marks):
        if _is_free(mark):
            ink = (mark.line, mark.span) if mark.span is not None else number
            offers.setdefault(ink, []).append(mark)
    found = []
    for marks in offers.values():
        what = " or the ".join(dict.fromkeys(_name(mark.mark, names) for mark in marks))
        says = f"“{shown(marks[0].printed)}” on the {words.SURFACES[item.surface]}: "
        others = [one for one in marks[0].reasons if one != "named_by_place"]
        why = f" Its letters are asked about too: {_why(others)}." if others else ""
        found.append(f"{says}is this the {what}?{why}")
    return found


def _why(reasons: Sequence[str]) -> str:
    return "; ".join(words.reason(one) for one in reasons)


def _name(mark: str, names: Mapping[str, str]) -> str:
    return names.get(mark, mark.replace("_", " "))


def _word_on(mark: MarkOut, item: int, said: Sequence[Entry]) -> Entry | None:
    """The word in force on a mark; `said` has the ids of the marks that words are about."""
    here = [word for word in said if word.content["item"] == item]
    return next((word for word in here if word.content.get("mark_id") == mark.id), None)
