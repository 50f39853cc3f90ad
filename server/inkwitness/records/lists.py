"""The editions of the holder list: proposed, accepted, rebuilt. Nothing is ever overwritten.

A proposal holds the entries that it puts in and the digest of the list that this makes; an edition
is an accepted proposal. Any edition is rebuilt from the proposals up to it, and its digest looked
at, so that a list that was changed behind our back is not used.
"""

import datetime as dt
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from sqlalchemy import Connection, Table, case, func, select

from inkwitness.errors import BadList, Differs, NotFound
from inkwitness.holders.editions import Change, difference, digest, next_edition, with_changes
from inkwitness.holders.files.own_json import content_of, entry_of
from inkwitness.holders.values import HolderEntry, HolderList
from inkwitness.records import chain
from inkwitness.records.chain import Entry, WriteContext
from inkwitness.records.consignments import Refused
from inkwitness.records.database import Database
from inkwitness.records.tables import checks, list_editions, list_proposals, photos

_MATCH = "items[0].holder_match.list_edition"
#: The edition of the list that a check was made with, in the form of now and in the old one. Where
#: a photo shows nothing that could be compared, the newest says no more of it.
EDITION_OF_CHECK = func.coalesce(
    func.json_extract(checks.c.content, f"$.judgement.{_MATCH}"),
    func.json_extract(checks.c.content, f"$.check.{_MATCH}"),
    case(
        (
            func.json_array_length(checks.c.content, "$.judgement.items") == 0,
            select(func.count()).select_from(list_editions).scalar_subquery(),
        )
    ),
)


@dataclass(frozen=True, slots=True)
class EditionSummary:
    """An edition without its entries."""

    edition_id: str
    edition: int
    name: str
    checked_on: dt.date | None
    fictional: bool
    entries: int
    digest: str
    accepted_by: str
    accepted_at: dt.datetime
    proposed_by: str


@dataclass(frozen=True, slots=True)
class Draft:
    """A proposal or an edition worked out, and the edition that was in force when it was.

    `made_on` is that edition's id, None where there was none.
    """

    id: str
    content: Mapping[str, object]
    made_on: str | None


def propose(
    conn: Connection, id_: str, proposed: HolderList, context: WriteContext, *, note: str = ""
) -> tuple[Entry, bool]:
    """Keep a proposal for the next edition, made against the edition in force.

    `proposed` may hold the whole list or only the entries that change: what it does not have stays.
    Raises BadList for FICTIONAL rows in a live list and for a proposal that changes nothing.
    This works under the lock of `conn`; `propose_in` does not.
    """
    draft = _draft_proposal(conn, id_, proposed, note)
    return chain.append(conn, list_proposals, id_, draft.content, context)


def propose_in(
    database: Database, id_: str, proposed: HolderList, context: WriteContext, *, note: str = ""
) -> tuple[Entry, bool]:
    """The same, worked out before the write lock is taken."""
    return _kept(
        database, list_proposals, context, lambda conn: _draft_proposal(conn, id_, proposed, note)
    )


def _kept(
    database: Database, table: Table, context: WriteContext, draft_of: Callable[[Connection], Draft]
) -> tuple[Entry, bool]:
    """Keep a draft if the edition that it was made on is in force still; else it is made anew."""
    while True:
        with database.reading() as conn:
            draft = draft_of(conn)
        with database.writing() as conn:
            new = chain.find(conn, table, draft.id) is None
            if not new or newest_edition_id(conn) == draft.made_on:
                return chain.append(conn, table, draft.id, draft.content, context)


def _draft_proposal(conn: Connection, id_: str, proposed: HolderList, note: str) -> Draft:
    existing = chain.find(conn, list_proposals, id_)
    base = current(conn) if existing is None else _base_of(conn, existing)
    coming = next_edition(base, proposed)
    kept = base.entries if base is not None and base.fictional == coming.fictional else ()
    changes = difference(kept, proposed.entries)
    put_in = [change.after for change in changes if change.after is not None]
    same_head = base is not None and (base.name, base.checked_on) == (
        coming.name,
        coming.checked_on,
    )
    if not put_in and same_head:
        raise BadList("proposal_changes_nothing")
    content = {
        "base_edition": base.edition if base else None,
        "from_nothing": not kept,
        "name": coming.name,
        "checked_on": coming.checked_on.isoformat() if coming.checked_on else None,
        "fictional": coming.fictional,
        "put_in": [content_of(entry) for entry in put_in],
        "absent": [change.key for change in changes if change.kind == "absent"],
        "digest": digest(coming),
        "entries": len(coming.entries),
        "note": note.strip(),
    }
    return Draft(id_, content, newest_edition_id(conn))


def changes_of(conn: Connection, proposal_id: str) -> tuple[Change, ...]:
    """What a proposal changes in the edition it was made against."""
    entry = chain.get(conn, list_proposals, proposal_id)
    base = _base_of(conn, entry)
    kept = base.entries if base is not None and not entry.content["from_nothing"] else ()
    absent = set(entry.content["absent"])
    put_in = _put_in(entry)
    after = [one for one in kept if one.key not in absent]
    return difference(kept, with_changes(after, put_in))


def accept(
    conn: Connection, id_: str, proposal_id: str, context: WriteContext, *, two_people: bool = False
) -> tuple[Entry, bool]:
    """Make a proposal the next edition.

    With `two_people`, whoever proposed it cannot accept it. Raises Refused then, and Differs where
    another edition was accepted since the proposal was made. This works under the lock of `conn`;
    `accept_in` does not.
    """
    draft = _draft_edition(conn, id_, proposal_id, context, two_people)
    return chain.append(conn, list_editions, id_, draft.content, context)


def accept_in(
    database: Database,
    id_: str,
    proposal_id: str,
    context: WriteContext,
    *,
    two_people: bool = False,
) -> tuple[Entry, bool]:
    """The same, worked out before the write lock is taken."""
    return _kept(
        database,
        list_editions,
        context,
        lambda conn: _draft_edition(conn, id_, proposal_id, context, two_people),
    )


def _draft_edition(
    conn: Connection, id_: str, proposal_id: str, context: WriteContext, two_people: bool
) -> Draft:
    now = newest_edition_id(conn)
    existing = chain.find(conn, list_editions, id_)
    if existing is not None:
        if existing.content["proposal_id"] == proposal_id:
            return Draft(id_, existing.content, now)
        raise Differs("edition_of_other_proposal", id=id_)
    proposal = chain.get(conn, list_proposals, proposal_id)
    if two_people and proposal.context.actor.id == context.actor.id:
        raise Refused("own_proposal")
    base = current(conn)
    if (base.edition if base else None) != proposal.content["base_edition"]:
        raise Differs("edition_since_proposed")
    made = _after(base, proposal)
    content = {
        "proposal_id": proposal_id,
        "edition": made.edition,
        "name": made.name,
        "checked_on": proposal.content["checked_on"],
        "fictional": made.fictional,
        "entries": len(made.entries),
        "digest": proposal.content["digest"],
    }
    return Draft(id_, content, now)


def current(conn: Connection) -> HolderList | None:
    """The edition in force, or None where none was ever accepted."""
    count = conn.execute(select(func.count()).select_from(list_editions)).scalar_one()
    return edition(conn, count) if count else None


def edition(conn: Connection, number: int) -> HolderList:
    """Rebuild an edition by its number. Raises NotFound, or BadList where the stored list does not
    give the digest that was kept with it."""
    accepted = chain.entries(conn, list_editions)[: max(number, 0)]
    if number < 1 or len(accepted) < number:
        raise NotFound("no_edition", number=number, n=len(accepted))
    made: HolderList | None = None
    for entry in accepted:
        made = _after(made, chain.get(conn, list_proposals, entry.content["proposal_id"]))
    assert made is not None
    if digest(made) != accepted[-1].content["digest"]:
        raise BadList("edition_changed", number=number)
    return made


def editions(conn: Connection) -> list[EditionSummary]:
    """Every edition, the newest first."""
    found = []
    for entry in chain.entries(conn, list_editions):
        proposal = chain.get(conn, list_proposals, entry.content["proposal_id"])
        day = entry.content["checked_on"]
        found.append(
            EditionSummary(
                edition_id=entry.id,
                edition=entry.content["edition"],
                name=entry.content["name"],
                checked_on=dt.date.fromisoformat(day) if day else None,
                fictional=entry.content["fictional"],
                entries=entry.content["entries"],
                digest=entry.content["digest"],
                accepted_by=entry.context.actor.name,
                accepted_at=entry.at,
                proposed_by=proposal.context.actor.name,
            )
        )
    return found[::-1]


def newest_edition_id(conn: Connection) -> str | None:
    """The id of the edition in force: cheap to ask for, to see whether a kept list is still it."""
    wanted = select(list_editions.c.id).order_by(list_editions.c.seq.desc()).limit(1)
    return conn.execute(wanted).scalar()


def newest_number(conn: Connection) -> int | None:
    """The number of the edition in force, None where none was ever accepted."""
    return conn.execute(select(func.count()).select_from(list_editions)).scalar_one() or None


def not_compared(conn: Connection) -> list[str]:
    """Photos that a person confirmed and that the edition in force was not compared with yet."""
    number = newest_number(conn)
    if number is None:
        return []
    newest = select(func.max(checks.c.seq)).group_by(checks.c.photo_id)
    replaced = select(photos.c.replaces).where(photos.c.replaces.is_not(None))
    wanted = select(checks.c.photo_id).where(
        checks.c.seq.in_(newest),
        checks.c.basis == "confirmed",
        checks.c.photo_id.not_in(replaced),
        func.coalesce(EDITION_OF_CHECK, 0) != number,
    )
    return list(conn.execute(wanted).scalars())


def open_proposals(conn: Connection) -> list[Entry]:
    """Proposals that can still be accepted, the newest first."""
    base = chain.entries(conn, list_editions)
    now = base[-1].content["edition"] if base else None
    taken = {entry.content["proposal_id"] for entry in base}
    found = [
        entry
        for entry in chain.entries(conn, list_proposals)
        if entry.id not in taken and entry.content["base_edition"] == now
    ]
    return found[::-1]


def _base_of(conn: Connection, proposal: Entry) -> HolderList | None:
    number = proposal.content["base_edition"]
    return edition(conn, number) if number is not None else None


def _put_in(proposal: Entry) -> list[HolderEntry]:
    return [entry_of(content) for content in proposal.content["put_in"]]


def _after(base: HolderList | None, proposal: Entry) -> HolderList:
    """The list that a proposal makes of its base."""
    content = proposal.content
    kept = base.entries if base is not None and not content["from_nothing"] else ()
    day = content["checked_on"]
    head = HolderList(
        name=content["name"],
        entries=(),
        edition=1 if base is None or base.edition is None else base.edition + 1,
        checked_on=dt.date.fromisoformat(day) if day else None,
        fictional=content["fictional"],
    )
    return replace(head, entries=with_changes(kept, _put_in(proposal)))


class CurrentList:
    """The edition in force, loaded once and kept until a newer one is. Safe to ask from threads."""

    def __init__(self, database: Database) -> None:
        self._database = database
        self._lock = threading.Lock()
        self._edition_id: str | None = None
        self._list: HolderList | None = None

    def now(self) -> HolderList | None:
        """The edition in force, or None where no list was ever accepted. Raises BadList."""
        with self._lock, self._database.reading() as conn:
            newest = newest_edition_id(conn)
            if newest != self._edition_id:
                self._list = current(conn)
                self._edition_id = newest
            return self._list
