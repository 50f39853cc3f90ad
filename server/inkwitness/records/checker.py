"""The seam between records and the check: what a worker process and the API ask of it."""

import datetime as dt
from collections.abc import Sequence
from typing import Protocol

from inkwitness.check.contract import CheckOut, UnitCheckOut
from inkwitness.check.values import Checked, Confirmation, UnitPhoto
from inkwitness.findings.values import Circumstances
from inkwitness.holders.values import HolderList


class PhotoChecker(Protocol):
    """Checks photo files. A worker process builds one and keeps it: models are loaded once.

    `check` may raise NotAPhoto, TooLarge or ReaderMissing; their message goes to the person.
    """

    def check(
        self,
        data: bytes,
        name: str,
        circumstances: Circumstances,
        holder_list: HolderList | None,
    ) -> Checked: ...


class Rechecker(Protocol):
    """Judges a stored reading again, with a person's words or another list; reads nothing."""

    def recheck(
        self,
        previous: CheckOut,
        confirmations: tuple[Confirmation, ...],
        circumstances: Circumstances,
        holder_list: HolderList | None,
    ) -> CheckOut: ...

    def check_unit(
        self, photos: Sequence[UnitPhoto], on: dt.date, holder_list: HolderList | None
    ) -> UnitCheckOut:
        """Judge the photos of one unit together, from their checks."""
        ...

    @property
    def rules_edition(self) -> str: ...

    @property
    def readers(self) -> tuple[str, ...]:
        """Name and version of each reader that takes part in a reading on this machine."""
        ...
