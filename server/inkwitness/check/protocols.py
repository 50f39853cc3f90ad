"""What reads and what judges: two things. Judging needs no network and no model."""

import datetime as dt
from collections.abc import Sequence
from typing import Protocol

from inkwitness.check.values import (
    Confirmation,
    Judgement,
    PhotoRead,
    Reading,
    UnitJudgement,
    UnitPhoto,
)
from inkwitness.findings.values import Circumstances
from inkwitness.holders.values import HolderList


class Reader(Protocol):
    """Reads photo files. A reading process makes one and keeps it: models are loaded once."""

    @property
    def names(self) -> tuple[str, ...]:
        """Name and version of each reader that takes part on this machine; loads none of them."""
        ...

    def load(self) -> None:
        """Load the models now, so that the first photo need not wait. Raises ReaderMissing."""
        ...

    def read(self, data: bytes, name: str) -> PhotoRead:
        """One photo from bytes to marks.

        Raises NotAPhoto, TooLarge or ReaderMissing; their message goes to the person.
        """
        ...


class Judge(Protocol):
    """Judges readings by the rules and the user's list; reads nothing."""

    @property
    def rules_edition(self) -> str: ...

    def judge(
        self,
        reading: Reading,
        confirmations: Sequence[Confirmation],
        circumstances: Circumstances,
        holder_list: HolderList | None,
    ) -> Judgement:
        """A reading with people's words in it, for the day that the circumstances name."""
        ...

    def judge_unit(
        self, photos: Sequence[UnitPhoto], on: dt.date, holder_list: HolderList | None
    ) -> UnitJudgement:
        """The photos of one unit together. Raises BadInput without a photo."""
        ...
