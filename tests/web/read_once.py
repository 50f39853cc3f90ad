"""How the server of these tests reads: for real, and the same photo once.

The tests hand in the same few photos many times; what is looked at here is the page. That a photo
is read again alike, and many in a row, is tested where reading and jobs are.
"""

from dataclasses import dataclass, field

from inkwitness.check.values import Checked
from inkwitness.findings.values import Circumstances
from inkwitness.holders.values import HolderList
from inkwitness.records import pipeline_checker
from inkwitness.records.pipeline_checker import PipelineChecker

Asked = tuple[bytes, str, Circumstances, HolderList | None]


@dataclass(frozen=True, slots=True)
class ReadOnce:
    """Answers as before what was asked before in this process, to the byte."""

    real: PipelineChecker
    before: list[tuple[Asked, Checked]] = field(default_factory=list)

    def check(
        self, data: bytes, name: str, circumstances: Circumstances, holder_list: HolderList | None
    ) -> Checked:
        """One photo from bytes to outcome."""
        asked = (data, name, circumstances, holder_list)
        for known, checked in self.before:
            if known == asked:
                return checked
        checked = self.real.check(data, name, circumstances, holder_list)
        self.before.append((asked, checked))
        return checked


def build(max_age_days: int) -> ReadOnce:
    """Load readers and rules. Raises ReaderMissing and BadRules."""
    return ReadOnce(pipeline_checker.build(max_age_days))
