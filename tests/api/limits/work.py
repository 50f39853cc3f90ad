"""Work that takes too much, for a helper process: it imports what it runs, so nothing else here."""

import os


def grab(count: int) -> int:
    return len(bytearray(count))


def spin() -> None:
    while True:
        pass


def leave() -> None:
    os._exit(1)
