"""Values of the check stage."""

from collections.abc import Mapping
from dataclasses import dataclass

from inkwitness.check.contract import CheckOut
from inkwitness.photo.values import Pixels


@dataclass(frozen=True, slots=True)
class Confirmation:
    """A person's word on one mark of one item.

    `printed` is what the person says is printed, letter for letter; None means that it cannot be
    read. `occurrence` counts marks of the same name in the item, from 0.
    """

    item: int
    mark: str
    printed: str | None
    scheme: str = ""
    occurrence: int = 0


@dataclass(frozen=True, slots=True, eq=False)
class Checked:
    """A check and the straightened pictures of its lines (BGR), by line index."""

    out: CheckOut
    strips: Mapping[int, Pixels]
