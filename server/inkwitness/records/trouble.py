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
_SAYS: dict[StorageKind, str] = {
    "busy": "Something else is being written just now. Nothing was stored; try again in a moment.",
    "no_space": "The disk is full. Nothing was stored; free some space, then try again.",
    "read_only": "The data folder cannot be written to. Nothing was stored; let the server's "
    "account write there, then try again.",
    "storage": "The disk or the database gave an error. Nothing was stored; look at the server's "
    "log and at the disk, then try again.",
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


def says(kind: StorageKind) -> str:
    """What a person is told, and what to do."""
    return _SAYS[kind]
