"""A whole check with the real readers, as the contract has it, for tests of what it comes to."""

from dataclasses import dataclass

from inkwitness.check.contract import CheckOut
from inkwitness.check.judge import Criteria
from inkwitness.check.outward import check_out
from inkwitness.check.pipeline import check_bytes
from inkwitness.check.reader import PhotoReader
from inkwitness.check.values import Check
from inkwitness.findings.values import Circumstances
from inkwitness.holders.values import HolderList
from inkwitness.reading.readers.engines import Readers
from inkwitness.rulebook import Rulebook


@dataclass(frozen=True, slots=True)
class Checker:
    """Readers, rules and a list."""

    readers: Readers
    rulebook: Rulebook
    holder_list: HolderList | None = None

    @property
    def criteria(self) -> Criteria:
        return Criteria(self.rulebook, self.holder_list)

    def check(self, data: bytes, name: str, about: Circumstances) -> Check:
        """Reading and judgement of a photo file."""
        reader = PhotoReader(self.readers, self.rulebook)
        return check_bytes(data, name, reader, self.criteria, about)

    def out(self, data: bytes, name: str, about: Circumstances) -> CheckOut:
        """The same as the contract has it."""
        return check_out(self.check(data, name, about), self.rulebook)
