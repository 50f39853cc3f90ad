"""How the server of some tests reads: for real, and the first two lines are print without a label.

What is looked at there is the page; what a parser offers is tested where marks are.
"""

from dataclasses import dataclass, field, replace

from inkwitness.check.values import PhotoRead, Reading
from inkwitness.marks.values import Mark
from tests.web.read_once import ReadOnce
from tests.web.read_once import build as build_once

#: What each of the first lines is offered as, and why its letters are asked about beside its name.
OFFERED: tuple[tuple[tuple[str, ...], tuple[str, ...]], ...] = (
    (("manufacturer", "model"), ()),
    (("model", "lot"), ("look_alike_letter", "a_reason_of_tomorrow")),
)
_ASIDE = {name for names, _ in OFFERED for name in names}


@dataclass(frozen=True, slots=True)
class FreePrint:
    """Reads as the tests of the page read, and takes the names of the first lines away."""

    once: ReadOnce = field(default_factory=build_once)

    @property
    def names(self) -> tuple[str, ...]:
        return self.once.names

    def load(self) -> None:
        self.once.load()

    def read(self, data: bytes, name: str) -> PhotoRead:
        """One photo from bytes to marks."""
        read = self.once.read(data, name)
        return PhotoRead(_with_offers(read.reading), read.images)


def _with_offers(reading: Reading) -> Reading:
    first, *rest = reading.items
    kept = [mark for mark in first.marks if mark.mark not in _ASIDE and mark.line not in (0, 1)]
    offers = [
        Mark(
            name,
            line.text,
            line.text,
            "doubtful",
            0.9,
            polygon=line.polygon,
            line=line.index,
            doubtful_at=(0,) if reasons else (),
            id=f"0:{line.index}:{name}",
            named_by="place",
            reasons=("named_by_place", *reasons),
            span=(0, len(line.text)),
        )
        for line, (names, reasons) in zip(first.lines, OFFERED, strict=False)
        for name in names
    ]
    return replace(reading, items=(replace(first, marks=(*kept, *offers)), *rest))


def build() -> FreePrint:
    """Reads for real; nothing is loaded yet."""
    return FreePrint()
