"""The edition of the holder list that is in force, loaded once and kept until a newer one is."""

import threading

from inkwitness.holders.values import HolderList
from inkwitness.records import lists
from inkwitness.records.database import Database


class CurrentList:
    """Answers the list in force. Safe to ask from several threads."""

    def __init__(self, database: Database) -> None:
        self._database = database
        self._lock = threading.Lock()
        self._edition_id: str | None = None
        self._list: HolderList | None = None

    def now(self) -> HolderList | None:
        """The edition in force, or None where no list was ever accepted. Raises BadList."""
        with self._lock, self._database.reading() as conn:
            newest = lists.newest_edition_id(conn)
            if newest != self._edition_id:
                self._list = lists.current(conn)
                self._edition_id = newest
            return self._list
