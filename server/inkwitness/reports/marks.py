"""What was read on a unit, mark by mark; and print that only its place names, as questions."""

from collections.abc import Sequence

from inkwitness.check.contract import CheckOut, ItemOut, MarkOut
from inkwitness.phrases import Phrases
from inkwitness.records.chain import Entry
from inkwitness.reports import words
from inkwitness.reports.document import Section, Table, shown

#: The newest check of a photo, and the words of people that are in force on it.
PhotoRead = tuple[CheckOut, Sequence[Entry]]
_COLUMNS = ("mark", "printed", "normal", "standing", "why", "named_by", "on", "confirmed_by")


def marks_read(photos: Sequence[PhotoRead], say: Phrases) -> list[Section]:
    """The marks as a table, then the questions."""
    title = words.heading("read", say)
    if not photos:
        return [Section(title, (say("outcome.do.none"),))]
    rows = tuple(
        _row(mark, item, word_on(mark, number, said), say)
        for out, said in photos
        for number, item in enumerate(out.items)
        for mark in item.marks
        if not _is_free(mark)
    )
    asked = tuple(
        question for out, _ in photos for item in out.items for question in _questions(item, say)
    )
    found = [Section(title, (), Table(words.columns(say, *_COLUMNS), rows))]
    if asked:
        what = (say("report.unlabelled"), *asked)
        found.append(Section(words.heading("unlabelled", say), what))
    return found


def _is_free(mark: MarkOut) -> bool:
    return mark.named_by == "place" and not mark.confirmed


def _row(mark: MarkOut, item: ItemOut, word: Entry | None, say: Phrases) -> tuple[str, ...]:
    by = say("basis.reading")
    if word is not None:
        by = f"{shown(word.context.actor.name)}, {words.moment(word.at)}"
    none = f"report.no_mark.{mark.mark}"
    return (
        say(none) if none in say else say.named("marks", mark.mark),
        shown(mark.printed),
        shown(mark.value),
        say(f"standing.{mark.standing}"),
        " ".join(words.reason(one, say) for one in mark.reasons),
        say(f"report.named_by.{mark.named_by}") if mark.standing != "absent" else "",
        words.surface(item.surface, say),
        by,
    )


def _questions(item: ItemOut, say: Phrases) -> list[str]:
    """One question a piece of ink, however many marks it is offered as."""
    offers: dict[object, list[MarkOut]] = {}
    for number, mark in enumerate(item.marks):
        if _is_free(mark):
            ink = (mark.line, mark.span) if mark.span is not None else number
            offers.setdefault(ink, []).append(mark)
    found = []
    for marks in offers.values():
        asked = say(
            "report.unlabelled.ask",
            printed=shown(marks[0].printed),
            surface=words.surface(item.surface, say),
            what=words.names([mark.mark for mark in marks], say),
        )
        why = " ".join(words.reason(n, say) for n in marks[0].reasons if n != "named_by_place")
        found.append(f"{asked} {say('report.unlabelled.letters', why=why)}" if why else asked)
    return found


def word_on(mark: MarkOut, item: int, said: Sequence[Entry]) -> Entry | None:
    """The word in force on a mark; `said` has the ids of the marks that words are about."""
    here = [word for word in said if word.content["item"] == item]
    return next((word for word in here if word.content.get("mark_id") == mark.id), None)
