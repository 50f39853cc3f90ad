"""How the server of these tests reads: for real, and the same photo once in a run of the tests.

The tests hand in the same few photos many times; what is looked at here is the page. That a photo
is read again alike, and many in a row, is tested where reading and jobs are.
"""

import fcntl
import hashlib
import os
import pickle
from dataclasses import dataclass, field
from pathlib import Path

from inkwitness.check.reader import PhotoReader
from inkwitness.check.values import PhotoRead

_FOLDER = "READ_ONCE_IN"


def shared(folder: Path) -> dict[str, str]:
    """What to set for a server on a folder that pytest made, so that all readers of the run share
    what they read: xdist gives each process a folder of its own in that of the run.
    """
    of_process = (one.parent for one in folder.parents if one.name.startswith("popen-"))
    return {_FOLDER: str(next(of_process, folder) / "read")}


@dataclass(frozen=True, slots=True)
class ReadOnce:
    """Answers as before what any reader of this run was asked before, to the byte."""

    folder: Path
    real: PhotoReader = field(default_factory=PhotoReader)

    @property
    def names(self) -> tuple[str, ...]:
        return self.real.names

    def load(self) -> None:
        self.real.load()

    def read(self, data: bytes, name: str) -> PhotoRead:
        """One photo from bytes to marks."""
        kept = self.folder / hashlib.sha256(name.encode() + b"\0" + data).hexdigest()
        with kept.with_suffix(".lock").open("w") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)  # the other readers wait for this one
            if kept.exists():
                before: PhotoRead = pickle.loads(kept.read_bytes())
                return before
            read = self.real.read(data, name)
            whole = kept.with_suffix(".part")
            whole.write_bytes(pickle.dumps(read))
            whole.replace(kept)  # a reader that is ended meanwhile leaves nothing half written
        return read


def build() -> ReadOnce:
    """Reads for real; nothing is loaded yet."""
    folder = Path(os.environ[_FOLDER])
    folder.mkdir(parents=True, exist_ok=True)
    return ReadOnce(folder)
