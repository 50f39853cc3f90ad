"""What leaves the house, and what comes back: a report, labels, a message, a pack, an answer.

This program sends nothing. A person gives a thing to somebody and has it written down here: what,
to whom, when, by which way. What was given is kept as it was, byte for byte (a pack: its manifest
and its hash), so that a correction can say what it corrects.
"""

import datetime as dt
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Literal

from sqlalchemy import Connection

from inkwitness.consignment.gate import Terms
from inkwitness.errors import BadInput
from inkwitness.records import chain
from inkwitness.records.chain import Entry, WriteContext
from inkwitness.records.tables import consignments, dispatches, units
from inkwitness.use_cases import deciding
from inkwitness.use_cases.deciding import Said
from inkwitness.use_cases.look_ups import Attachment

Kind = Literal["report", "labels", "message", "pack", "answer"]
#: Who gets a thing, or from whom an answer came.
Party = Literal["supplier", "holder", "authority", "manager", "store", "other"]
#: Where the address of them was found: a public `register`, our own `records`, the `goods` and the
#: papers that came with them, or whoever offers the goods (`seller`); empty where nobody said.
ContactFrom = Literal["", "register", "records", "goods", "seller"]


@dataclass(frozen=True, slots=True)
class Recipient:
    """Who was given it: what they are, a name as the person typed it, and by which way.

    `contact` is where their address was found: what an answer weighs rests on it.
    """

    party: Party
    name: str
    way: str = ""
    contact: ContactFrom = ""


@dataclass(frozen=True, slots=True)
class Dispatch:
    """One thing that was given to somebody, or an answer that came from somebody.

    `on` is the day it was given or came. `text` is a message or an answer, letter for letter.
    `corrects` names the dispatch whose report this one takes the place of, `answers` the one that
    was answered. `about` says of a holder's answer whether the print `agrees` with their records or
    `differs`. `whole` is the hash of what is given but not kept (a pack), `originals` whether it
    carries photos as they came. `lot` is the one lot that a question or an answer is about; empty:
    all of them.
    """

    kind: Kind
    recipients: tuple[Recipient, ...]
    on: dt.date
    language: str = "en"
    text: str = ""
    note: str = ""
    files: tuple[Attachment, ...] = ()
    corrects: str | None = None
    answers: str | None = None
    about: str = ""
    whole: str = ""
    originals: bool = False
    decision_id: str | None = None
    lot: str = ""


def keep(
    conn: Connection,
    id_: str,
    given: Dispatch,
    context: WriteContext,
    terms: Terms,
    *,
    unit_id: str | None = None,
    consignment_id: str | None = None,
) -> tuple[Entry, bool]:
    """Write down that something was given, or what was answered; answers if it is new.

    With `decision_id` a decision is taken with it: a question to the holder is then asked for
    (`ask_holder`), their answer recorded (`holder_answered`). Raises BadInput, NotFound.
    """
    _check(given, context)
    table, subject = (units, unit_id) if unit_id is not None else (consignments, consignment_id)
    assert subject is not None
    chain.get(conn, table, subject)
    for other in (given.corrects, given.answers):
        if other is not None:
            _of_the_same(chain.get(conn, dispatches, other), unit_id, consignment_id)
    content = {
        "unit_id": unit_id,
        "consignment_id": consignment_id,
        "kind": given.kind,
        "recipients": [asdict(one) for one in given.recipients],
        "on": given.on.isoformat(),
        "language": given.language,
        "text": given.text,
        "note": given.note.strip(),
        "attachments": [asdict(one) for one in given.files],
        "corrects": given.corrects,
        "answers": given.answers,
        "about": given.about,
        "whole": given.whole,
        "originals": given.originals,
        "decision_id": given.decision_id,
    }
    # what was sent before lots were named stays the same content when it is sent again
    if given.lot:
        content["lot"] = given.lot
    kept = chain.append(conn, dispatches, id_, content, context)
    if given.decision_id is not None:
        asked = chain.get(conn, dispatches, given.answers) if given.answers is not None else None
        said = _decision(given, asked)
        deciding.decide(
            conn,
            given.decision_id,
            said,
            context,
            terms,
            unit_id=unit_id,
            consignment_id=consignment_id,
        )
    return kept


def all_of(
    conn: Connection, *, unit_id: str | None = None, consignment_id: str | None = None
) -> list[Entry]:
    """What was given and answered about a unit or a consignment, in order."""
    if unit_id is not None:
        return chain.entries(conn, dispatches, unit_id=unit_id)
    assert consignment_id is not None
    return chain.entries(conn, dispatches, consignment_id=consignment_id)


def corrected_by(entries: Sequence[Entry]) -> dict[str, str]:
    """The dispatch that takes the place of another, by the id of the one it corrects."""
    return {one.content["corrects"]: one.id for one in entries if one.content["corrects"]}


def recipients_of(entry: Entry) -> tuple[Recipient, ...]:
    """Who was given it."""
    return tuple(Recipient(**one) for one in entry.content["recipients"])


def _check(given: Dispatch, context: WriteContext) -> None:
    if not given.recipients or any(not one.name.strip() for one in given.recipients):
        raise BadInput("recipients_missing")
    if given.on > context.at.date() + dt.timedelta(days=1):
        raise BadInput("given_in_future")
    if given.kind in ("message", "answer") and not given.text.strip():
        raise BadInput("text_missing")
    if given.corrects is not None and len(given.note.strip()) < 3:
        raise BadInput("note_missing")


def _of_the_same(other: Entry, unit_id: str | None, consignment_id: str | None) -> None:
    there = (other.content["unit_id"], other.content["consignment_id"])
    if there != (unit_id, consignment_id):
        raise BadInput("refers_other_goods")


def _decision(given: Dispatch, asked: Entry | None) -> Said:
    """The decision that goes with it; `asked` is the dispatch that was answered, if any."""
    parties = {one.party for one in given.recipients}
    if parties != {"holder"} or given.kind not in ("message", "answer"):
        raise BadInput("decision_not_of_holder")
    names = ", ".join(one.name for one in given.recipients)
    if given.kind == "message":
        return Said("ask_holder", names, lot=given.lot)
    about = asked.content if asked is not None else {}
    return Said(
        "holder_answered",
        given.text,
        about=given.about,
        lot=given.lot or about.get("lot", ""),
        answers=about.get("decision_id") or "",
    )
