"""Shapes of what was given to whom, and of what was answered."""

import datetime as dt

from pydantic import BaseModel, ConfigDict, Field

from inkwitness.api.deps import Id
from inkwitness.api.shapes.wire import Answer, WrittenBy, by
from inkwitness.records.chain import Entry, WriteContext
from inkwitness.use_cases.dispatches import ContactFrom, Kind, Party, Recipient
from inkwitness.use_cases.look_ups import Attachment


class RecipientIn(BaseModel):
    """To whom something was given, or who answered."""

    model_config = ConfigDict(extra="forbid", json_schema_serialization_defaults_required=True)

    party: Party
    name: str = Field(min_length=1, max_length=200, description="a name or an office")
    way: str = Field("", max_length=200, description="by hand, by post, at which address")
    contact: ContactFrom = Field("", description="where their address was found")

    def value(self) -> Recipient:
        return Recipient(self.party, self.name.strip(), self.way.strip(), self.contact)


class Given(BaseModel):
    """What every thing that is given has: an id, to whom, on which day."""

    model_config = ConfigDict(extra="forbid")

    id: Id
    recipients: list[RecipientIn] = Field(max_length=50)
    on: dt.date | None = Field(None, description="day it was given; by default today")
    note: str = Field("", max_length=4000)

    def to(self) -> tuple[Recipient, ...]:
        return tuple(one.value() for one in self.recipients)

    def day(self, context: WriteContext) -> dt.date:
        return self.on or context.at.date()


class DispatchOut(Answer):
    """Something that was given to somebody, or an answer that came."""

    dispatch_id: str
    unit_id: str | None
    consignment_id: str | None
    kind: Kind
    recipients: list[RecipientIn]
    on: dt.date
    language: str
    text: str
    note: str
    attachments: list[Attachment]
    corrects: str | None
    corrected_by: str | None = Field(description="the dispatch that takes its place")
    answers: str | None
    about: str
    whole: str = Field(description="SHA-256 of a pack, which is not kept itself")
    originals: bool
    decision_id: str | None
    lot: str = Field("", description="the one lot that it is about; empty: all")
    by: WrittenBy


def dispatch_out(entry: Entry, corrected_by: str | None = None) -> DispatchOut:
    """The shape of one dispatch."""
    content = dict(entry.content)
    more = {"dispatch_id": entry.id, "corrected_by": corrected_by, "by": by(entry)}
    return DispatchOut.model_validate({**content, **more})
