"""The story in named steps: photo -> reading -> marks -> findings -> holders -> outcome.

Reading (`read_photo`) makes a `Reading`, judging (`judge`, `unit`) a `Judgement` of it; a check is
both. Nothing here asks for the date, touches a database or knows the web.
"""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from inkwitness import rulebook as rule_files
from inkwitness.check import unit
from inkwitness.check.judge import Criteria, judge
from inkwitness.check.protocols import Reader
from inkwitness.check.values import (
    Check,
    Confirmation,
    Judgement,
    Reading,
    UnitJudgement,
    UnitPhoto,
)
from inkwitness.findings.values import Circumstances
from inkwitness.holders.values import HolderList
from inkwitness.rulebook import Rulebook


def check_bytes(
    data: bytes, name: str, reader: Reader, criteria: Criteria, circumstances: Circumstances
) -> Check:
    """Read a photo file and judge it. Raises NotAPhoto, TooLarge or ReaderMissing."""
    reading = reader.read(data, name).reading
    return Check(reading, judge(reading, criteria, circumstances))


@dataclass(frozen=True, slots=True, eq=False)
class RulesJudge:
    """Judges by the rule book; see `protocols.Judge`."""

    rulebook: Rulebook
    max_age_days: int = 30

    @property
    def rules_edition(self) -> str:
        return self.rulebook.edition

    def judge(
        self,
        reading: Reading,
        confirmations: Sequence[Confirmation],
        circumstances: Circumstances,
        holder_list: HolderList | None,
    ) -> Judgement:
        return judge(reading, self._criteria(holder_list), circumstances, confirmations)

    def judge_unit(
        self, photos: Sequence[UnitPhoto], on: dt.date, holder_list: HolderList | None
    ) -> UnitJudgement:
        return unit.judge_unit(photos, self._criteria(holder_list), on)

    def _criteria(self, holder_list: HolderList | None) -> Criteria:
        return Criteria(self.rulebook, holder_list, self.max_age_days)


def build(max_age_days: int) -> RulesJudge:
    """The judge of a server. Raises BadRules."""
    return RulesJudge(rule_files.shipped(), max_age_days)
