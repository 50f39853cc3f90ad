"""Work that takes too much, for a helper process: it imports what it runs, so nothing else here."""

import os
from pathlib import Path


def grab(count: int) -> int:
    return len(bytearray(count))


def spin() -> None:
    while True:
        pass


def leave() -> None:
    os._exit(1)


def leave_once(seen: Path) -> str:
    if seen.exists():
        return "done"
    seen.touch()
    os._exit(1)
