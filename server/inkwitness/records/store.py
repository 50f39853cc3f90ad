"""Everything that is kept, in one data folder: the database and the photo files."""

from dataclasses import dataclass
from pathlib import Path

import uuid_utils

from inkwitness.records.database import Database, open_database
from inkwitness.records.photo_files import PhotoFiles

DATABASE = "inkwitness.sqlite"
PHOTOS = "photos"


@dataclass(frozen=True, slots=True)
class Store:
    """The database and the photo files that belong to it."""

    database: Database
    files: PhotoFiles

    def close(self) -> None:
        """Let go of the database file."""
        self.database.close()


def open_store(folder: Path) -> Store:
    """Open or create the data folder and bring its tables up to date."""
    folder.mkdir(parents=True, exist_ok=True)
    return Store(open_database(folder / DATABASE), PhotoFiles(folder / PHOTOS))


def new_id() -> str:
    """A UUIDv7 (RFC 9562): ids made later sort later."""
    return str(uuid_utils.uuid7())
