"""What the user's list says, and whether a rule can be said, as sentences of the phrase book.

Edition and age of the list are left to the fields beside. Both shapes of a match are taken: the
value inside and the one of the public contract.
"""

from collections.abc import Mapping
from typing import Protocol

from inkwitness.phrases import Phrases, fields
from inkwitness.rulebook import Rulebook


class Match(Protocol):
    """What a sentence on the list rests on."""

    @property
    def state(self) -> str: ...
    @property
    def looked_up(self) -> str: ...
    @property
    def question(self) -> bool: ...
    @property
    def list_too_old(self) -> bool: ...


class Looked(Protocol):
    """A name or model of an entry that was looked for in the print."""

    @property
    def field(self) -> str: ...
    @property
    def state(self) -> str: ...
    @property
    def listed(self) -> str: ...
    @property
    def holder(self) -> str: ...
    @property
    def approval_number(self) -> str: ...
    @property
    def printed(self) -> str: ...


def can_say(rulebook: Rulebook, rule: str, values: Mapping[str, str], language: str) -> bool:
    """Whether there is a sentence of the rule, and `values` have all that it asks for.

    A check that was kept long ago may be of a rule that is gone or that asked for less.
    """
    known = rulebook.messages(language).messages
    sentence = known.get(rule, rulebook.messages().messages.get(rule))
    return sentence is not None and fields(sentence) - {"line"} <= set(values)


def list_sentence(match: Match, say: Phrases) -> str:
    """What was looked up and the state of the list on it; what to do where that is a question."""
    said = say(f"listed.{match.state}")
    if match.looked_up:
        said = say("list.of", looked_up=match.looked_up, says=said)
    if match.state == "listed_differs" and match.question:
        said += " " + say("list.ask")
    if match.list_too_old and match.state != "list_too_old":
        said += " " + say("list.old")
    return said


def searched_sentence(one: Looked, say: Phrases) -> str:
    """A name or model of an entry that was looked for in the print, as a question where it is."""
    under = one.approval_number or one.holder
    key = f"search.{one.state}.{one.field}"
    return say(key, listed=one.listed, printed=one.printed, under=under)
