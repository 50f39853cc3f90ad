"""The checker that reads for real: the pipeline with its readers and rules, loaded once."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace

from inkwitness import rulebook
from inkwitness.check.contract import CheckOut, UnitCheckOut
from inkwitness.check.pipeline import Checker, check_bytes, recheck
from inkwitness.check.unit import check_unit
from inkwitness.check.values import Checked, Confirmation, UnitPhoto
from inkwitness.findings.values import Circumstances
from inkwitness.holders.values import HolderList
from inkwitness.reading.engines import load_readers


@dataclass(frozen=True, slots=True)
class PipelineChecker:
    """Checks photos and judges stored readings again."""

    checker: Checker

    def check(
        self, data: bytes, name: str, circumstances: Circumstances, holder_list: HolderList | None
    ) -> Checked:
        """One photo from bytes to outcome."""
        return check_bytes(
            data, name, replace(self.checker, holder_list=holder_list), circumstances
        )

    def recheck(
        self,
        previous: CheckOut,
        confirmations: tuple[Confirmation, ...],
        circumstances: Circumstances,
        holder_list: HolderList | None,
    ) -> CheckOut:
        """A stored reading judged again; nothing is read anew."""
        checker = replace(self.checker, holder_list=holder_list)
        return recheck(previous, confirmations, checker, circumstances)

    def check_unit(
        self, photos: Sequence[UnitPhoto], on: dt.date, holder_list: HolderList | None
    ) -> UnitCheckOut:
        """The photos of one unit judged together; nothing is read anew."""
        return check_unit(photos, replace(self.checker, holder_list=holder_list), on)

    @property
    def rules_edition(self) -> str:
        return self.checker.rulebook.edition

    @property
    def readers(self) -> tuple[str, ...]:
        return tuple(f"{reader.name} {reader.version}" for reader in self.checker.readers.ids)


def build(max_age_days: int) -> PipelineChecker:
    """Load readers and rules. Raises ReaderMissing and BadRules."""
    return PipelineChecker(
        Checker(
            readers=load_readers(),
            rulebook=rulebook.shipped(),
            holder_list=None,
            max_age_days=max_age_days,
        )
    )
