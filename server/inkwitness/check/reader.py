"""The reader of photos as processes use it: it loads networks and rules where it first reads."""

from functools import cached_property
from typing import TYPE_CHECKING

from inkwitness.check.values import PhotoRead

if TYPE_CHECKING:
    from inkwitness.reading.readers.engines import Readers
    from inkwitness.rulebook import Rulebook


class PhotoReader:
    """See `protocols.Reader`. `readers` and `rulebook` are given where they are loaded already."""

    def __init__(
        self, readers: "Readers | None" = None, rulebook: "Rulebook | None" = None
    ) -> None:
        self._given = readers, rulebook

    @cached_property
    def names(self) -> tuple[str, ...]:
        from inkwitness.reading.readers.installed import installed

        return tuple(f"{reader.name} {reader.version}" for reader in installed())

    def load(self) -> None:
        self._loaded  # noqa: B018  loaded by being asked for

    def read(self, data: bytes, name: str) -> PhotoRead:
        from inkwitness.check.read_photo import read_bytes

        return read_bytes(data, name, *self._loaded)

    @cached_property
    def _loaded(self) -> "tuple[Readers, Rulebook]":
        # a process that only judges imports this module and never gets here
        from inkwitness import rulebook
        from inkwitness.reading.readers.engines import load_readers

        readers, rules = self._given
        return readers or load_readers(), rules or rulebook.shipped()


def build() -> PhotoReader:
    """What a reading process needs; nothing is loaded yet."""
    return PhotoReader()
