"""How the server of these tests reads: for real, and the same photo once.

The tests hand in the same few photos many times; what is looked at here is the page. That a photo
is read again alike, and many in a row, is tested where reading and jobs are.
"""

from dataclasses import dataclass, field

from inkwitness.check.reader import PhotoReader
from inkwitness.check.values import PhotoRead

Asked = tuple[bytes, str]


@dataclass(frozen=True, slots=True)
class ReadOnce:
    """Answers as before what was asked before in this process, to the byte."""

    real: PhotoReader = field(default_factory=PhotoReader)
    before: list[tuple[Asked, PhotoRead]] = field(default_factory=list)

    @property
    def names(self) -> tuple[str, ...]:
        return self.real.names

    def load(self) -> None:
        self.real.load()

    def read(self, data: bytes, name: str) -> PhotoRead:
        """One photo from bytes to marks."""
        for known, read in self.before:
            if known == (data, name):
                return read
        read = self.real.read(data, name)
        self.before.append(((data, name), read))
        return read


def build() -> ReadOnce:
    """Reads for real; nothing is loaded yet."""
    return ReadOnce()
