"""The public contract of a check: what the command line prints and the HTTP API answers.

Made of the values inside by `check.outward`; nothing inside works on it. A value that is answered
as it is stands here under its own name.

One JSON object a photo (`CheckOut`). Top-level `scheme`, `marks`, `findings` and `holder_match`
mirror the largest item. Where several photos show one unit, one object more says what they come to
together (`UnitCheckOut`).
"""

import datetime as dt

from pydantic import BaseModel, ConfigDict, Field
from pydantic.config import JsonDict

from inkwitness.check.values import Basis, PhotoJudged
from inkwitness.findings.outcome import Outcome
from inkwitness.findings.values import Aspect, AspectState, Severity, Surface, Whole
from inkwitness.holders.values import (
    FieldComparison,
    ListState,
    NearMatch,
    SearchField,
    SearchState,
)
from inkwitness.marks.values import Alternative, NamedBy, Standing
from inkwitness.photo.values import QualityFact

PolygonOut = list[tuple[float, float]]


class Wire(BaseModel):
    """Base of everything that goes over the wire: no unknown keys, no silent extras."""

    # a default is sent as well: whoever reads an answer may count on the field
    model_config = ConfigDict(
        extra="forbid", frozen=True, json_schema_serialization_defaults_required=True
    )


class MarkOut(Wire):
    mark: str
    printed: str
    value: str
    standing: Standing
    probability: float = Field(ge=0, le=1, description="calibrated; never shown to an end user")
    alternatives: list[Alternative] = []
    polygon: PolygonOut = []
    readers: list[str] = []
    doubtful_at: list[int] = Field([], description="positions in `printed` that were not certain")
    line: int | None = None
    scheme: str = ""
    confirmed: bool = False
    id: str = Field("", description="names the mark within its photo; confirmations use it")
    named_by: NamedBy = Field("form", description="how this ink got its name; place is a guess")
    reasons: list[str] = Field([], description="why it is doubtful, by name")
    span: tuple[int, int] | None = Field(None, description="where the ink stands in its line")
    parts: dict[str, str] = Field({}, description="named pieces of the value, such as serial")


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
    id: str = Field("", description="the same while rule, marks and values are; answers name it")
    concerns: list[str] = Field([], description="the schemes whose marks it is about")
    next_steps: list[str] = Field(
        [], description="of a conflict or something missing: what to look at, whom to ask"
    )


class LineOut(Wire):
    index: int
    text: str
    confidence: float
    polygon: PolygonOut
    item: int
    x_height_px: float


class SearchedOut(Wire):
    """A name or model of an entry, looked for in the lines. It moves no mark and no probability."""

    field: SearchField
    state: SearchState = Field(description="`near` is never a match; what is `printed` is asked")
    listed: str = Field(description="the name or model; all of the entry's where none was seen")
    holder: str = Field("", description="whose entry it is")
    approval_number: str = Field("", description="the entry's number; empty where it has none")
    printed: str = Field("", description="the ink; empty where it was not seen")
    photo: int = Field(0, description="position in the unit's photos")
    line: int | None = None
    span: tuple[int, int] | None = Field(None, description="where the ink stands in its line")
    mark_id: str = Field("", description="the mark that this ink was taken for by its place")
    says: str = Field("", description="the question in English")


class HolderMatchOut(Wire):
    state: ListState
    looked_up: str = Field("", description="the list key that was looked up, as normal form")
    holder: str = ""
    status: str = ""
    fields: list[FieldComparison] = []
    near: list[NearMatch] = []
    searched: list[SearchedOut] = []
    list_name: str = ""
    list_edition: int | None = None
    list_checked_on: dt.date | None = None
    list_age_days: int | None = None
    list_too_old: bool = False
    fictional: bool = False
    question: bool = False
    says: str = ""
    next_steps: list[str] = Field([], description="what to do about this state, in order")


class ItemOut(Wire):
    polygon: PolygonOut
    surface: Surface
    whole: Whole
    schemes: list[str]
    marks: list[MarkOut]
    findings: list[FindingOut]
    holder_match: HolderMatchOut


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
    photo_quality: list[QualityFact]
    milliseconds: int
    readers: list[str] = []
    notes: list[str] = Field([], description="message keys, such as one_reader_only")
    width: int = 0
    height: int = 0
    turn: float = 0.0
    rules_edition: str = ""
    caveat: str = "Not proof of authenticity."


_CLASS_ON_FACE: JsonDict = {
    "photo": 0,
    "item": 0,
    "surface": "facepiece",
    "mark": {
        "mark": "filter_class",
        "printed": "N95",
        "value": "N95",
        "standing": "read",
        "probability": 0.98,
        "polygon": [[310, 220], [402, 221], [402, 255], [310, 254]],
        "line": 2,
        "scheme": "us-niosh",
    },
}
_CLASS_ON_BOX: JsonDict = {
    "photo": 1,
    "item": 0,
    "surface": "inner_box",
    "mark": {
        "mark": "filter_class",
        "printed": "P95",
        "value": "P95",
        "standing": "read",
        "probability": 0.99,
        "polygon": [[88, 90], [190, 90], [190, 130], [88, 130]],
        "line": 0,
        "scheme": "us-niosh",
    },
}


class PlaceOut(Wire):
    """A mark where it stands: photo and item are positions in the unit's photos and its items."""

    photo: int
    item: int = 0
    surface: Surface
    mark: MarkOut


class UnitFindingOut(FindingOut):
    """A finding on the unit; `places` are the marks it rests on, each where it stands."""

    places: list[PlaceOut] = Field([], description="show a crop of each, side by side")


class OtherItemOut(Wire):
    """A further item that a photo of the unit shows: judged alone, never merged."""

    photo: int
    item: int
    outcome: Outcome
    findings: list[FindingOut]
    holder_match: HolderMatchOut


class UnitCheckOut(Wire):
    """Several photos of one unit, checked together: the largest item of each, marks in place."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "on": "2026-11-25",
                    "outcome": "conflict",
                    "basis": "reading",
                    "aspects": {"reading": "no_conflict_found", "marks": "conflict"},
                    "photos": [
                        {
                            "photo": "face.jpg",
                            "sha256": "0" * 64,
                            "surface": "facepiece",
                            "whole": "yes",
                            "outcome": "no_conflict_found",
                            "basis": "reading",
                        },
                        {
                            "photo": "box.jpg",
                            "sha256": "1" * 64,
                            "surface": "inner_box",
                            "whole": "yes",
                            "outcome": "no_conflict_found",
                            "basis": "reading",
                        },
                    ],
                    "schemes": ["us-niosh"],
                    "scheme": "us-niosh",
                    "marks": {"filter_class": _CLASS_ON_FACE},
                    "placed": [_CLASS_ON_FACE, _CLASS_ON_BOX],
                    "findings": [
                        {
                            "rule": "x-facepiece-and-box-differ",
                            "severity": "conflict",
                            "values": {"place": "facepiece", "other_place": "box"},
                            "marks": ["filter_class"],
                            "says": "The filter class is N95 on the facepiece and P95 on the box.",
                            "places": [_CLASS_ON_FACE, _CLASS_ON_BOX],
                        }
                    ],
                    "holder_match": {"state": "no_list_for_scheme"},
                    "others": [],
                    "rules_edition": "e262382623dc",
                }
            ]
        }
    )

    on: dt.date
    outcome: Outcome
    basis: Basis = Field(description="`confirmed` only where every photo's check is")
    aspects: dict[Aspect, AspectState]
    photos: list[PhotoJudged]
    schemes: list[str]
    scheme: str
    marks: dict[str, PlaceOut] = Field(description="mark name to its best occurrence")
    placed: list[PlaceOut] = Field(description="every mark that was seen, where it stands")
    findings: list[UnitFindingOut]
    holder_match: HolderMatchOut = Field(description="the list beside the merged marks")
    others: list[OtherItemOut] = []
    rules_edition: str = ""
    caveat: str = "Not proof of authenticity."
