"""What the sections of reports say alike, from the phrase book.

Words follow one rule: no phrase is a verdict about goods or about anybody. Where a document is
named, its own title stands in quotation marks. Days and moments are written as ISO 8601 has them,
which reads the same in every language.
"""

import datetime as dt
from collections.abc import Sequence

from inkwitness.check.contract import FindingOut, HolderMatchOut
from inkwitness.check.list_words import can_say, list_sentence, searched_sentence
from inkwitness.findings.values import Aspect, Surface
from inkwitness.phrases import Phrases, capital
from inkwitness.reports.document import Status, as_said, shown
from inkwitness.rulebook import Rulebook

#: Shape and state: no colour, and a word always beside the shape.
SHAPES = {
    "conflict": "▲",
    "missing": "△",
    "cannot_tell": "◯?",
    "no_conflict_found": "◆",
    "not_looked_at": "▭",
}
ASPECTS: tuple[Aspect, ...] = ("reading", "marks", "list", "documents", "construction", "supplier")
SURFACES: tuple[Surface, ...] = ("facepiece", "strap", "pouch", "inner_box", "carton", "leaflet")


def status(outcome: str | None, say: Phrases) -> Status:
    """The outcome as a word and a shape, and what to do about it."""
    word = outcome or "not_looked_at"
    key = outcome or "none"
    return Status(word, SHAPES[word], f"{say(f'outcome.{key}')} {say(f'outcome.do.{key}')}")


def state(outcome: str | None, say: Phrases) -> str:
    """An outcome or the state of an aspect in a line of others, with its shape."""
    word = outcome or "not_looked_at"
    return f"{SHAPES[word]} {say(f'state.{word}')}"


def surface(name: str, say: Phrases) -> str:
    """A surface in a sentence; an inner box is a box, as in the sentences of findings."""
    return say(f"surfaces.{name.removeprefix('inner_')}")


def date(day: dt.date | None) -> str:
    """A date as it is written in reports; empty where it is not known."""
    return day.isoformat() if day is not None else ""


def moment(at: dt.datetime) -> str:
    """A moment to the minute, in UTC."""
    return at.astimezone(dt.UTC).strftime("%Y-%m-%d %H:%M UTC")


def reason(name: str, say: Phrases) -> str:
    """Why a mark is doubtful; a reason without a phrase is named as it is."""
    key = f"reason.{name}"
    return say(key) if key in say else say("reason.other", what=name.replace("_", " "))


def finding(one: FindingOut, rulebook: Rulebook, say: Phrases) -> str:
    """What a finding says, with its source.

    What cannot be said from its values keeps the sentence that was stored with it; without one the
    rule is named by its id.
    """
    if say.language == "en" and one.says:
        says = one.says
    elif can_say(rulebook, one.rule, one.values, say.language):
        says = rulebook.says(one.rule, one.values, say.language)
    else:
        says = in_english(one.says, say) or say("report.raised", rule=one.rule)
    return f"{as_said(says)} {_source(one, say)}".strip()


def in_english(text: str, say: Phrases) -> str:
    """Text that there is in English only, marked as such in a report in another language."""
    return text if say.language == "en" or not text else say("report.in_english", says=text)


def _source(one: FindingOut, say: Phrases) -> str:
    return say("report.source", source=shown(one.source)) if one.source else ""


def list_says(match: HolderMatchOut, say: Phrases) -> tuple[str, ...]:
    """What the user's list says, which edition, and how old it is."""
    if not match.list_name and match.state == "no_list_for_scheme":
        return (say("list.none_there"),)
    said = [as_said(list_sentence(match, say))]
    if match.holder and match.status:
        status_ = say.named("entry", match.status)
        said.append(say("list.entry_status", holder=shown(match.holder), status=status_))
    elif match.holder:
        said.append(say("list.entry", holder=shown(match.holder)))
    said += [
        say(
            "list.near_entry",
            number=shown(near.approval_number),
            holder=shown(near.holder),
            printed=shown(match.looked_up),
        )
        for near in match.near
    ]
    said += [as_said(searched_sentence(one, say)) for one in match.searched]
    if match.list_name:
        said.append(which_list(match, say))
    if match.fictional:
        said.append(say("list.fictional"))
    return tuple(said)


def which_list(match: HolderMatchOut, say: Phrases) -> str:
    """The list by its name, its edition where it has one, and its age where that is known."""
    name, checked = shown(match.list_name), date(match.list_checked_on)
    days = match.list_age_days
    if days is None or not checked:
        return say("list.which_name", name=name)
    if match.list_edition is None:
        return say("list.which_file", name=name, checked=checked, days=days)
    return say("list.which", name=name, edition=str(match.list_edition), checked=checked, days=days)


def compared_field(name: str, say: Phrases) -> str:
    """A field of the print beside the entry: a mark, or what only an entry has."""
    return say(f"marks.{name}") if f"marks.{name}" in say else say.named("field", f"of.{name}")


def names(marks: Sequence[str], say: Phrases) -> str:
    """Marks as a sentence names them: one, or one or another."""
    said = dict.fromkeys(say.named("marks", mark) for mark in marks)
    return f" {say('either')} ".join(said)


def heading(section: str, say: Phrases) -> str:
    """The title of a section."""
    return say(f"report.section.{section}")


def columns(say: Phrases, *keys: str) -> tuple[str, ...]:
    """Headings of a table."""
    return tuple(say(f"report.column.{key}") for key in keys)


def aspect(name: str, say: Phrases) -> str:
    """An aspect at the beginning of a row."""
    return capital(say(f"aspect.{name}"))
