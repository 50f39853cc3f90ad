"""What is wrong with the disk or the database, told from the error that it gave.

Such trouble is nobody's mistake and passes: whoever meets it waits and tries again.
"""

import errno

from sqlalchemy.exc import DatabaseError, IntegrityError, ProgrammingError

from inkwitness.errors import StorageKind, StorageTrouble

_BY_NUMBER: dict[int, StorageKind] = {
    errno.ENOSPC: "no_space",
    errno.EDQUOT: "no_space",
    errno.EFBIG: "no_space",
    errno.EROFS: "read_only",
    errno.EACCES: "read_only",
    errno.EPERM: "read_only",
    errno.EIO: "storage",
    errno.EMFILE: "busy",
    errno.ENFILE: "busy",
    errno.EAGAIN: "busy",
}
# SQLite's own words for SQLITE_BUSY, SQLITE_FULL, SQLITE_READONLY (result codes, sqlite.org)
_BY_WORDS: tuple[tuple[str, StorageKind], ...] = (
    ("locked", "busy"),
    ("is full", "no_space"),
    ("readonly", "read_only"),
)
_KEYS: dict[StorageKind, str] = {
    "busy": "storage_busy",
    "no_space": "storage_no_space",
    "read_only": "storage_read_only",
    "storage": "storage_in_trouble",
}


def trouble(error: BaseException) -> StorageKind | None:
    """Which trouble with the storage an error tells of, or None where it is another error."""
    if isinstance(error, StorageTrouble):
        return error.kind
    if isinstance(error, IntegrityError | ProgrammingError):
        return None
    if isinstance(error, DatabaseError):
        words = str(error.orig)
        return next((kind for part, kind in _BY_WORDS if part in words), "storage")
    if isinstance(error, OSError):
        return _BY_NUMBER.get(error.errno or 0)
    return None


def stored_nothing(kind: StorageKind) -> StorageTrouble:
    """What a person is told, and what to do."""
    return StorageTrouble(_KEYS[kind], kind)
