"""Values of the findings stage: rules that were raised, and what a person said beside the print."""

import datetime as dt
from dataclasses import dataclass, field
from typing import Literal

from inkwitness.marks.values import Mark
from inkwitness.rulebook.kinds import Aspect as Aspect
from inkwitness.rulebook.kinds import Severity as Severity
from inkwitness.rulebook.kinds import Surface as Surface
from inkwitness.rulebook.kinds import Whole as Whole

#: From the worst to the best.
Outcome = Literal["conflict", "missing", "cannot_tell", "no_conflict_found"]
AspectState = Literal[Outcome, "not_looked_at"]


@dataclass(frozen=True, slots=True)
class Circumstances:
    """What is known beside the print: the date that the check is made for, and a person's words.

    `declared` holds what a person recorded (`ear_loops`, `valve`, `decorated`, `one_piece`,
    `replaceable_filter`, `maker_logo_seen`, `agency_logo_seen`, `second_sticker`, ...); `told`
    holds values a person gave, such as ("shelf_life_months", "60").
    """

    on: dt.date
    surface: Surface = "facepiece"
    whole: Whole = "unknown"
    declared: frozenset[str] = field(default_factory=frozenset)
    told: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Placed:
    """A mark and where it stands: surface, and photo as an index into the unit's photos."""

    mark: Mark
    surface: Surface
    photo: int

    @property
    def sure(self) -> bool:
        return self.mark.confirmed or self.mark.standing == "read"


@dataclass(frozen=True, slots=True)
class Finding:
    """One rule raised on one item, or on one unit that several photos show.

    `severity` is the rule's own, after `whole` was considered (a required mark not seen on a
    surface not photographed whole is the note `not-seen-in-this-photo`). `question` is True where
    it rests on a mark that is `doubtful`: it then counts as `cannot_tell`, never as a conflict.
    With `cannot_tell` the aspect cannot be told, whatever the severity: something could not be
    looked at. `values` fill the sentence of the message file; `marks` are the marks it rests on,
    and `places` where they stand (none where a mark was not seen). `says` and `source` are the
    sentences of a finding that was stored with them, before they were made when shown.
    """

    rule: str
    scheme: str
    severity: Severity
    aspect: Aspect = "marks"
    question: bool = False
    values: tuple[tuple[str, str], ...] = ()
    marks: tuple[str, ...] = ()
    places: tuple[Placed, ...] = ()
    cannot_tell: bool = False
    says: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class Item:
    """The marks of one unit or box, ready to be judged."""

    marks: tuple[Mark, ...]
    circumstances: Circumstances
    lines: tuple[str, ...] = ()
    all_legible: bool = True
