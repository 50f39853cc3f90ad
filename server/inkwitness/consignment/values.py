"""Values of the consignment stage."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from inkwitness.check.values import Basis
from inkwitness.findings.outcome import WORST_FIRST, Outcome
from inkwitness.phrases import Phrases, Sentence

Kind = Literal["unit", "group"]


@dataclass(frozen=True, slots=True)
class PhotoState:
    """The newest check of one photo; `outcome` is None while it is not read or could not be.

    `edition` is that of the user's list which it was compared with; None where it was with none.
    """

    photo_id: str
    outcome: Outcome | None
    basis: Basis | None
    edition: int | None = None


@dataclass(frozen=True, slots=True)
class UnitState:
    """One unit, or a group of `count` identical units, with the newest check of each photo.

    `place` is its name in a draw (`LOT-A/C005/U02`), empty where it was not drawn.
    `list_keys` are the keys under which it would be looked up on an official list. `together` is
    what its photos came to when they were checked together; None where it has one photo. `scheme`
    is the one it claims; `declared` are a person's words beside its photos (`loose`, `worn`).
    `answers` counts what people said to its findings, `taken_up` those of them with which a finding
    was taken up again. `found` is a digest of what its outcome rests on (`check.found`), where that
    was asked for: empty for an outcome that leaves nothing open.
    """

    unit_id: str
    count: int
    photos: tuple[PhotoState, ...]
    place: str = ""
    list_keys: tuple[str, ...] = ()
    together: Outcome | None = None
    label: str = ""
    scheme: str = ""
    declared: tuple[str, ...] = ()
    answers: int = 0
    taken_up: int = 0
    found: str = ""

    @property
    def kind(self) -> Kind:
        return "unit" if self.count == 1 else "group"

    @property
    def outcome(self) -> Outcome | None:
        """What its photos come to together; None where none was read.

        A unit kept before its photos were checked together has the worst outcome of them.
        """
        return self.together or worst(photo.outcome for photo in self.photos)

    @property
    def basis(self) -> Basis | None:
        """`confirmed` only where every photo is; None where none was read."""
        found = [photo.basis for photo in self.photos]
        if not any(found):
            return None
        return "confirmed" if all(basis == "confirmed" for basis in found) else "reading"


@dataclass(frozen=True, slots=True)
class RollUp:
    """Units put together.

    `by_outcome` counts units and groups, `pieces_by_outcome` the pieces they stand for. `looked_at`
    counts single units that were read: groups are never part of a random sample. `drawn` and
    `drawn_looked_at` count places of the draw.
    """

    units: int
    groups: int
    pieces: int
    looked_at: int
    by_outcome: dict[str, int]
    pieces_by_outcome: dict[str, int]
    outcome: Outcome | None
    confirmed: int
    not_read: int
    drawn: int = 0
    drawn_looked_at: int = 0
    drawn_differed: int = 0


#: Where a person looked: the authority's own list, or, for a scheme that has none, the body's
#: certificate or the declaration of conformity.
Source = Literal["official_list", "certificate", "declaration"]


#: Why a paper that a look-up names carries it no more: corrected or withdrawn since, or of other
#: goods; or the print is of another maker, model or body. Empty: it carries it.
PaperLack = Literal["", "gone", "differs"]


@dataclass(frozen=True, slots=True)
class LookUp:
    """A person's look at the authority's own list or at a paper: what was asked, what it said.

    `paper` is the title of a paper kept with the goods, where the look-up names one. `here` says
    that it was made for the goods that are asked about, or rests on a paper of theirs.
    """

    looked_up: str
    answer: str
    by: str
    on: dt.date
    source: Source = "official_list"
    paper: str = ""
    paper_lack: PaperLack = ""
    here: bool = True


@dataclass(frozen=True, slots=True)
class Refusal:
    """One thing that stands in the way of a release: a key of the phrase book and its values."""

    key: str
    values: tuple[tuple[str, str], ...] = ()

    @property
    def sentences(self) -> tuple[Sentence, Sentence]:
        """What stands in the way, and what to do about it."""
        values = dict(self.values)
        return Sentence(f"block.{self.key}", values), Sentence(f"block.{self.key}.lift", values)

    def says(self, say: Phrases) -> str:
        """What stands in the way."""
        return self.sentences[0].said(say)

    def lift(self, say: Phrases) -> str:
        """What to do about it."""
        return self.sentences[1].said(say)


def worst(outcomes: Iterable[Outcome | None]) -> Outcome | None:
    """The worst of some outcomes, None where there is none."""
    found = set(outcomes)
    return next((outcome for outcome in WORST_FIRST if outcome in found), None)


def rank(outcome: Outcome | None) -> int:
    """Where an outcome stands, the worst first; what was not read last."""
    return len(WORST_FIRST) if outcome is None else WORST_FIRST.index(outcome)
