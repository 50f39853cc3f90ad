"""Shapes of the holder list on the wire, and our values put into them."""

import datetime as dt
from collections.abc import Sequence

from pydantic import Field

from inkwitness.api.deps import Id, Services
from inkwitness.api.shapes.wire import Answer, WrittenBy, by
from inkwitness.errors import NotFound
from inkwitness.holders.editions import Change, ChangeKind, FieldChange
from inkwitness.holders.files import own_json
from inkwitness.holders.files.own_json import EntryOut
from inkwitness.holders.files.rows import Level
from inkwitness.holders.values import HolderEntry, HolderList, NearMatch
from inkwitness.records.chain import Entry

MOST_SHOWN = 500


class ListOut(Answer):
    """The edition in force, without its entries."""

    name: str
    edition: int | None
    checked_on: dt.date | None
    age_days: int | None
    too_old: bool = Field(description="older than the limit, or nobody said when it was checked")
    max_age_days: int
    entries: int
    fictional: bool


class EntriesOut(Answer):
    """Entries that were found, best first."""

    entries: list[EntryOut]
    total: int


class NumberOut(Answer):
    """A number looked up: exactly its entries, or what is near and not equal: never a match."""

    number: str
    entries: list[EntryOut]
    near: list[NearMatch]
    list_: ListOut = Field(alias="list")


class ChangeOut(Answer):
    """One entry that is new, differs, or is missing in what was proposed (`absent`: it stays)."""

    kind: ChangeKind
    key: str
    before: EntryOut | None
    after: EntryOut | None
    fields: list[FieldChange]


class ChangesOut(Answer):
    """How many entries differ, and the first of them."""

    added: int
    changed: int
    absent: int
    changes: list[ChangeOut]


class ProblemOut(Answer):
    """Where a file is wrong, and what to do: an `error` keeps it out, a `doubt` wants a look."""

    row: int
    column: str
    level: Level
    message: str
    value: str


class PreviewOut(Answer):
    """What a file would give. Nothing is stored."""

    rows: int
    entries: int
    header_row: int
    headers: list[str]
    columns: dict[str, str]
    notes: list[str]
    errors: int
    doubts: int
    problems: list[ProblemOut]
    difference: ChangesOut | None


class ProposalOut(Answer):
    """A proposal for the next edition."""

    proposal_id: str
    base_edition: int | None
    name: str
    checked_on: dt.date | None
    fictional: bool
    entries: int
    note: str
    by: WrittenBy
    difference: ChangesOut | None = None


class ProposeEntries(Answer):
    """Entries to put into the next edition; what is not named stays as it is."""

    id: Id
    entries: list[EntryOut] = Field(max_length=1000)
    name: str = Field("", max_length=200, description="of the list; empty: as it is")
    checked_on: dt.date | None = Field(None, description="of the whole list; none: as it is")
    note: str = Field("", max_length=2000)


class Accept(Answer):
    """The id of the edition to be, and that doubts were looked at."""

    id: Id


class StockOut(Answer):
    """Stock whose answer an edition changed, and where it is."""

    unit_id: str
    photo_id: str
    label: str
    count: int
    consignment_id: str | None
    consignment_label: str
    place: str
    looked_up: str
    holder: str
    state_before: str
    state_after: str
    outcome_before: str
    outcome_after: str
    check_before: str
    check_after: str


class AffectedOut(Answer):
    """A lot whose answer the edition changed: what lies in store, and who has some."""

    consignment_id: str
    lot: str
    in_store: int
    in_hands: dict[str, int] = Field(description="pieces by recipient")
    says: str = Field(description="what to do about it")


class RecheckOut(Answer):
    """How far re-checking against an edition is, and what it changed."""

    edition: int
    done: int
    waiting: int
    changed: list[StockOut]
    in_store: list[AffectedOut]


def needed(app: Services) -> HolderList:
    found = app.holder_list()
    if found is None:
        raise NotFound("no_list")
    return found


def list_out(app: Services, found: HolderList) -> ListOut:
    age = (app.today() - found.checked_on).days if found.checked_on else None
    limit = app.settings.max_age_days
    return ListOut(
        name=found.name,
        edition=found.edition,
        checked_on=found.checked_on,
        age_days=age,
        too_old=age is None or age > limit,
        max_age_days=limit,
        entries=len(found.entries),
        fictional=found.fictional,
    )


def entry_out(entry: HolderEntry) -> EntryOut:
    return EntryOut.model_validate(own_json.content_of(entry))


def changes_out(changes: Sequence[Change]) -> ChangesOut:
    kinds = [change.kind for change in changes]
    return ChangesOut(
        added=kinds.count("added"),
        changed=kinds.count("changed"),
        absent=kinds.count("absent"),
        changes=[
            ChangeOut(
                kind=change.kind,
                key=change.key,
                before=entry_out(change.before) if change.before else None,
                after=entry_out(change.after) if change.after else None,
                fields=list(change.fields),
            )
            for change in changes[:MOST_SHOWN]
        ],
    )


def proposal_out(entry: Entry, changes: Sequence[Change] | None = None) -> ProposalOut:
    content = entry.content
    return ProposalOut(
        proposal_id=entry.id,
        base_edition=content["base_edition"],
        name=content["name"],
        checked_on=content["checked_on"],
        fictional=content["fictional"],
        entries=content["entries"],
        note=content["note"],
        by=by(entry),
        difference=changes_out(changes) if changes is not None else None,
    )
