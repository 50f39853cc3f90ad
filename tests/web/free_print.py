"""How the server of some tests reads: for real, and the first two lines are print without a label.

What is looked at there is the page; what a parser offers is tested where marks are.
"""

from dataclasses import dataclass

from inkwitness.check.contract import CheckOut, MarkOut
from inkwitness.check.values import Checked
from inkwitness.findings.values import Circumstances
from inkwitness.holders.values import HolderList
from inkwitness.records import pipeline_checker
from tests.web import read_once
from tests.web.read_once import ReadOnce

#: What each of the first lines is offered as, and why its letters are asked about beside its name.
OFFERED: tuple[tuple[tuple[str, ...], tuple[str, ...]], ...] = (
    (("manufacturer", "model"), ()),
    (("model", "lot"), ("look_alike_letter", "a_reason_of_tomorrow")),
)
_ASIDE = {name for names, _ in OFFERED for name in names}


@dataclass(frozen=True, slots=True)
class FreePrint:
    """Reads as the tests of the page read, and takes the names of the first lines away."""

    once: ReadOnce
    real: pipeline_checker.PipelineChecker

    def check(
        self, data: bytes, name: str, circumstances: Circumstances, holder_list: HolderList | None
    ) -> Checked:
        """One photo from bytes to outcome."""
        read = self.once.check(data, name, circumstances, holder_list)
        offered = _with_offers(read.out)
        judged = self.real.recheck(offered, (), circumstances, holder_list)
        return Checked(judged, read.strips)


def _with_offers(out: CheckOut) -> CheckOut:
    first, *rest = out.items
    kept = [mark for mark in first.marks if mark.mark not in _ASIDE and mark.line not in (0, 1)]
    offers = [
        MarkOut(
            mark=name,
            printed=line.text,
            value=line.text,
            standing="doubtful",
            probability=0.9,
            polygon=line.polygon,
            line=line.index,
            doubtful_at=[0] if reasons else [],
            id=f"0:{line.index}:{name}",
            named_by="place",
            reasons=["named_by_place", *reasons],
            span=(0, len(line.text)),
        )
        for line, (names, reasons) in zip(out.lines, OFFERED, strict=False)
        for name in names
    ]
    item = first.model_copy(update={"marks": [*kept, *offers]})
    return out.model_copy(update={"items": [item, *rest]})


def build(max_age_days: int) -> FreePrint:
    """Load readers and rules. Raises ReaderMissing and BadRules."""
    once = read_once.build(max_age_days)
    return FreePrint(once, once.real)
