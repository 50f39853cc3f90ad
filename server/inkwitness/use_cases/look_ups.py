"""Look-ups at the authority's own list, as a person made them: who, when, what was asked, answer.

They are kept apart from every comparison with the user's list; a release later depends on them.
"""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from sqlalchemy import Connection

from inkwitness.consignment.values import Source
from inkwitness.errors import BadInput
from inkwitness.records import chain
from inkwitness.records.chain import Entry, WriteContext
from inkwitness.records.tables import consignments, official_look_ups, units

#: What the authority's list said. `no_answer`: it could not be reached or asked.
Answer = Literal["listed_same", "listed_other", "listed_ended", "not_listed", "no_answer"]


@dataclass(frozen=True, slots=True)
class Attachment:
    """A file that is kept as it was given: SHA-256 of its bytes, name, kind, size in bytes."""

    sha256: str
    name: str
    media_type: str
    size: int


@dataclass(frozen=True, slots=True)
class Asked:
    """What was asked of which list. `looked_up` is the list key as the check gives it.

    For a scheme without a public list `source` is the paper that was compared instead, `list_name`
    its title, and `document_id` the paper where it is kept with the goods: `intake.on_paper` says
    whether a look-up can rest on it.
    """

    scheme: str
    looked_up: str
    list_name: str
    address: str = ""
    source: Source = "official_list"
    document_id: str = ""


def keep(
    conn: Connection,
    id_: str,
    asked: Asked,
    answer: Answer,
    context: WriteContext,
    *,
    looked_up_at: dt.datetime,
    words: str = "",
    attachments: Sequence[Attachment] = (),
    unit_id: str | None = None,
    consignment_id: str | None = None,
) -> tuple[Entry, bool]:
    """Keep a look-up. `words` is the answer as it stood there, letter for letter.

    Raises BadInput where what was asked is missing, where an answer has neither words nor an
    attachment, or where the time of the look-up is in the future.
    """
    if not asked.looked_up.strip() or not asked.list_name.strip():
        raise BadInput("look_up_incomplete")
    if answer != "no_answer" and not words.strip() and not attachments:
        raise BadInput("look_up_empty")
    if looked_up_at > context.at + dt.timedelta(minutes=10):
        raise BadInput("look_up_in_future")
    if unit_id is not None:
        chain.get(conn, units, unit_id)
    if consignment_id is not None:
        chain.get(conn, consignments, consignment_id)
    content: dict[str, object] = {
        "unit_id": unit_id,
        "consignment_id": consignment_id,
        "scheme": asked.scheme,
        "looked_up": asked.looked_up.strip(),
        "list_name": asked.list_name.strip(),
        "address": asked.address.strip(),
        "source": asked.source,
        "answer": answer,
        "words": words.strip(),
        "looked_up_at": looked_up_at.astimezone(dt.UTC).isoformat(timespec="seconds"),
        "attachments": [
            {"sha256": one.sha256, "name": one.name, "media_type": one.media_type, "size": one.size}
            for one in attachments
        ],
    }
    # what was sent before papers could be named stays the same content when it is sent again
    if asked.document_id:
        content["document_id"] = asked.document_id
    return chain.append(conn, official_look_ups, id_, content, context)


def all_of_them(
    conn: Connection, *, unit_id: str | None = None, consignment_id: str | None = None
) -> list[Entry]:
    """Look-ups, the newest first: all, or those for a unit or a consignment."""
    keys = {"unit_id": unit_id, "consignment_id": consignment_id}
    wanted = {name: value for name, value in keys.items() if value is not None}
    return chain.entries(conn, official_look_ups, **wanted)[::-1]
