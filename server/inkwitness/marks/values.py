"""Values of the marks stage: what is printed, in the standards' word a *marking*."""

from dataclasses import dataclass
from typing import Literal

from inkwitness.photo.values import Polygon

Standing = Literal["read", "doubtful", "absent"]
#: How a piece of ink got its name: a word or sign beside it says what it is (`label`), only this
#: mark looks so (`form`), a guess from where it stands (`place`), a person said so (`person`).
NamedBy = Literal["label", "form", "place", "person"]


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another way to read the same ink, with its probability (0-1)."""

    printed: str
    value: str
    probability: float


@dataclass(frozen=True, slots=True)
class Mark:
    """One mark of one item.

    `printed` is the ink letter for letter, `value` its normal form. `standing` says whether the
    letters were certain (`read`), not (`doubtful`), or the mark was not seen in a legible area
    (`absent`). `doubtful_at` are the positions in `printed` that were not certain. `line` is the
    index of the line it stands on. `scheme` is the id of the rules file whose grammar read it, or
    empty for a mark that every scheme uses. `parts` are named pieces of the value (`serial`).

    `id` names the mark within its photo: item, line, span and mark name. `span` is where the ink
    stands in the text of its line (first letter, one past the last). What the ink *is* is a doubt
    of its own: a mark `named_by` its `place` is never `read`. `reasons` say by name why it is
    doubtful (`marks.reasons`).
    """

    mark: str
    printed: str
    value: str
    standing: Standing
    probability: float
    alternatives: tuple[Alternative, ...] = ()
    polygon: Polygon = ()
    readers: tuple[str, ...] = ()
    doubtful_at: tuple[int, ...] = ()
    line: int | None = None
    scheme: str = ""
    confirmed: bool = False
    parts: tuple[tuple[str, str], ...] = ()
    id: str = ""
    span: tuple[int, int] | None = None
    named_by: NamedBy = "form"
    reasons: tuple[str, ...] = ()

    def part(self, name: str) -> str:
        """The named piece of the value, or an empty string."""
        return dict(self.parts).get(name, "")
