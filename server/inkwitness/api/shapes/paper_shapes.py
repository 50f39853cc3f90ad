"""Shapes of papers beside the print: what was typed, what it raised, the table of fields."""

import datetime as dt
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from inkwitness.api.shapes.wire import Answer, WrittenBy
from inkwitness.consignment.papers.values import PaperRow
from inkwitness.findings.values import AspectState, Severity
from inkwitness.rulebook.papers import PaperField, PaperKind
from inkwitness.use_cases.look_ups import Attachment


class PaperFields(BaseModel):
    """One paper by its fields, as printed. Only what stands on the paper is typed."""

    model_config = ConfigDict(
        extra="forbid",
        json_schema_serialization_defaults_required=True,
        json_schema_extra={
            "examples": [
                {
                    "kind": "type_certificate",
                    "title": "EU Type-Examination Certificate",
                    "issuer": "Zelkara Kontroll (FICTIONAL)",
                    "body_number": "9871",
                    "number": "ZK/31/0457",
                    "holder": "Halcyra Respire",
                    "product": "HR-F2",
                    "filter_class": "FFP2 NR D",
                    "standard": "EN 149:2001+A1:2009",
                    "issued": "2029-06-01",
                    "expires": "2034-05-31",
                }
            ]
        },
    )

    kind: PaperKind
    title: str = Field("", max_length=300, description="as printed, letter for letter")
    issuer: str = Field("", max_length=300)
    body_number: str = Field("", max_length=40)
    number: str = Field("", max_length=100)
    certificate: str = Field("", max_length=100, description="number of the one it rests on")
    certificate_body: str = Field("", max_length=40)
    holder: str = Field("", max_length=300)
    product: str = Field("", max_length=500)
    filter_class: str = Field("", max_length=60)
    standard: str = Field("", max_length=300)
    lots: list[str] = Field([], max_length=500)
    issued: dt.date | None = None
    expires: dt.date | None = None
    signed_by: str = Field("", max_length=300)
    method: str = Field("", max_length=300, description="of a test report")
    pages: int | None = Field(None, ge=1, le=10_000, description="how many it has")
    pages_here: int | None = Field(None, ge=0, le=10_000, description="how many came")
    specimen_values: Literal["", "yes", "no"] = ""
    unreadable: list[PaperField] = Field([], description="stand there and cannot be read")


class PaperOut(Answer):
    """A kept paper; `in_force` is False where a later one corrects it."""

    paper_id: str
    consignment_id: str | None
    unit_id: str | None
    replaces: str | None
    withdrawn: bool
    reason: str
    in_force: bool
    fields: PaperFields
    files: list[Attachment]
    by: WrittenBy


class PaperFindingOut(Answer):
    """One rule raised on a paper, or on what is not among the papers (`paper_id` empty)."""

    rule: str
    severity: Severity
    question: bool = Field(description="asked, not concluded")
    says: str
    next_step: str
    source: str
    paper_id: str
    values: dict[str, str] = Field(description="for the same sentence in another language")


class PapersOut(Answer):
    """The papers of some goods, and what they say beside the print. No score."""

    state: AspectState
    papers: list[PaperOut]
    findings: list[PaperFindingOut]
    table: list[PaperRow]
