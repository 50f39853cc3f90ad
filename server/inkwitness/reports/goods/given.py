"""What was given to whom about goods, and what was answered, letter for letter."""

from collections.abc import Sequence

from sqlalchemy import Connection

from inkwitness.phrases import Phrases
from inkwitness.records.chain import Entry
from inkwitness.reports import words
from inkwitness.reports.document import Section, shown
from inkwitness.use_cases import dispatches
from inkwitness.use_cases.overview import Overview


def given_and_answered(conn: Connection, found: Overview, say: Phrases) -> Section:
    """Each thing that was given, and each answer in its own words, by whom and when."""
    kept = dispatches.all_of(conn, consignment_id=found.entry.id)
    told = tuple(_one(entry, kept, say) for entry in kept)
    return Section(say("given.title"), told or (say("given.none"),))


def _one(entry: Entry, kept: Sequence[Entry], say: Phrases) -> str:
    content = entry.content
    to = ", ".join(
        say("given.to", party=say(f"given.party.{one.party}"), who=shown(one.name))
        for one in dispatches.recipients_of(entry)
    )
    by = {"day": content["on"], "to": to, "name": _name(entry), "at": words.moment(entry.at)}
    if content["kind"] == "answer":
        told = [say("given.answer", **by, text=_letters(content["text"]))]
        if content["about"]:
            told.append(say("given.about", about=say(f"answer.{content['about']}")))
        return " ".join([*told, *_contacts(entry, say)])
    told = [say("given.gave", **by, kind=say(f"given.kind.{content['kind']}"))]
    told += _contacts(entry, say)
    before = next((one for one in kept if one.id == content["corrects"]), None)
    if before is not None:
        told.append(say("given.corrects", day=before.content["on"]))
    if content["kind"] == "message" and not _answered(entry, kept):
        told.append(say("given.unanswered"))
    return " ".join(told)


def _contacts(entry: Entry, say: Phrases) -> list[str]:
    """Where the addresses were found, as far as anybody said."""
    found = dict.fromkeys(one.contact for one in dispatches.recipients_of(entry) if one.contact)
    return [say(f"given.contact.{one}") for one in found]


def _answered(entry: Entry, kept: Sequence[Entry]) -> bool:
    """Whether an answer to this names it, or came later from the same of them without naming any.

    An answer need not say which message it is to.
    """
    parties = {one.party for one in dispatches.recipients_of(entry)}
    return any(
        other.content["answers"] == entry.id
        or (
            not other.content["answers"]
            and other.seq > entry.seq
            and parties & {one.party for one in dispatches.recipients_of(other)}
        )
        for other in kept
        if other.content["kind"] == "answer"
    )


def _letters(text: str) -> str:
    """An answer as it was written down; its lines stay lines."""
    return "\n".join(shown(line) for line in text.splitlines())


def _name(entry: Entry) -> str:
    return shown(entry.context.actor.name)
