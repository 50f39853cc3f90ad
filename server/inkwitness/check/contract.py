"""The public contract of a check: what the command line prints and the HTTP API answers.

One JSON object a photo. Top-level `scheme`, `marks`, `findings` and `holder_match` mirror the
largest item.
"""

import datetime as dt
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from inkwitness.findings.outcome import Outcome
from inkwitness.findings.values import Aspect, AspectState, Severity, Surface, Whole
from inkwitness.holders.values import FieldState, ListState
from inkwitness.marks.values import Standing

PolygonOut = list[tuple[float, float]]
Basis = Literal["reading", "confirmed"]


class Wire(BaseModel):
    """Base of everything that goes over the wire: no unknown keys, no silent extras."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class AlternativeOut(Wire):
    printed: str
    value: str
    probability: float = Field(ge=0, le=1)


class MarkOut(Wire):
    mark: str
    printed: str
    value: str
    standing: Standing
    probability: float = Field(ge=0, le=1, description="calibrated; never shown to an end user")
    alternatives: list[AlternativeOut] = []
    polygon: PolygonOut = []
    readers: list[str] = []
    doubtful_at: list[int] = Field([], description="positions in `printed` that were not certain")
    line: int | None = None
    scheme: str = ""
    confirmed: bool = False


class FindingOut(Wire):
    rule: str
    scheme: str = Field("", description="id of the rules file; empty for a rule across schemes")
    severity: Severity
    aspect: Aspect = "marks"
    question: bool = Field(False, description="rests on a doubtful mark: asked, not concluded")
    values: dict[str, str] = {}
    marks: list[str] = []
    says: str = Field("", description="the sentence in English")
    source: str = Field("", description="document, clause, year, and how it is known")


class LineOut(Wire):
    index: int
    text: str
    confidence: float
    polygon: PolygonOut
    item: int
    x_height_px: float


class FieldCompared(Wire):
    field: str
    state: FieldState
    printed: str = ""
    listed: str = ""
    note: str = ""


class NearLetter(Wire):
    """One position of a near number, printed beside listed; None where a letter has no partner."""

    printed: str | None
    listed: str | None
    differs: bool


class NearEntry(Wire):
    approval_number: str
    holder: str
    distance: float
    letters: list[NearLetter]


class HolderMatchOut(Wire):
    state: ListState
    looked_up: str = Field("", description="the list key that was looked up, as normal form")
    holder: str = ""
    status: str = ""
    fields: list[FieldCompared] = []
    near: list[NearEntry] = []
    list_name: str = ""
    list_edition: int | None = None
    list_checked_on: dt.date | None = None
    list_age_days: int | None = None
    list_too_old: bool = False
    fictional: bool = False
    question: bool = False
    says: str = ""


class ItemOut(Wire):
    polygon: PolygonOut
    surface: Surface
    whole: Whole
    schemes: list[str]
    marks: list[MarkOut]
    findings: list[FindingOut]
    holder_match: HolderMatchOut


class QualityOut(Wire):
    fact: str
    value: float
    unit: str
    limit: float
    state: Literal["good", "poor", "not_measured"]
    advice: str = ""


class CheckOut(Wire):
    """One photo, checked."""

    photo: str
    sha256: str
    on: dt.date
    outcome: Outcome
    basis: Basis
    aspects: dict[Aspect, AspectState]
    items: list[ItemOut]
    scheme: str
    marks: dict[str, MarkOut]
    lines: list[LineOut]
    findings: list[FindingOut]
    holder_match: HolderMatchOut
    photo_quality: list[QualityOut]
    milliseconds: int
    readers: list[str] = []
    notes: list[str] = Field([], description="message keys, such as one_reader_only")
    width: int = 0
    height: int = 0
    turn: float = 0.0
    rules_edition: str = ""
    caveat: str = "Not proof of authenticity."
