"""Passwords and PINs (argon2id, RFC 9106), tokens of devices, codes that people scan or type."""

import hashlib
import re
import secrets
import threading
from itertools import pairwise

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerifyMismatchError

from inkwitness.consignment.number import LETTERS
from inkwitness.errors import BadInput

_CODE_LENGTH = 16  # 80 bits
_SHORTEST_PASSWORD = 12
_PIN = re.compile(r"\d{6,12}")
_hasher = PasswordHasher()  # the library's defaults are RFC 9106, 4, second choice: 64 MiB, t=3
# One hash takes 64 MiB; a burst of sign-ins must not take the memory that photos need.
_few = threading.Semaphore(2)
# What a password is compared with where there is no such person, so that both take as long.
_NOBODY = _hasher.hash(secrets.token_urlsafe(16))


def new_token() -> str:
    """256 random bits for a device's cookie."""
    return secrets.token_urlsafe(32)


def new_code() -> str:
    """A code to scan or type: four groups of four letters."""
    letters = "".join(secrets.choice(LETTERS) for _ in range(_CODE_LENGTH))
    return "-".join(letters[start : start + 4] for start in range(0, _CODE_LENGTH, 4))


def code_letters(typed: str) -> str:
    """A typed code in its one spelling; what cannot be a code stays wrong."""
    letters = re.sub(r"[\s-]", "", typed).upper()
    return letters.translate(str.maketrans("ILO", "110"))


def digest(secret: str) -> str:
    """SHA-256 of a token or code; both are random, so that no slow hash is needed."""
    return hashlib.sha256(secret.encode()).hexdigest()


def password_hash(password: str) -> str:
    """Raises BadInput for a password that is too short or too long.

    Length is asked for, not kinds of letters (NIST SP 800-63B-4, 3.1.1.2, from memory).
    """
    if len(password) < _SHORTEST_PASSWORD:
        raise BadInput("password_short", least=_SHORTEST_PASSWORD)
    if len(password) > 200:
        raise BadInput("password_long")
    with _few:
        return _hasher.hash(password)


def pin_hash(pin: str) -> str:
    """Raises BadInput for what is no PIN of 6 to 12 digits, or one of the first to be tried."""
    if not _PIN.fullmatch(pin):
        raise BadInput("pin_length")
    steps = {(int(b) - int(a)) % 10 for a, b in pairwise(pin)}
    if steps in ({0}, {1}, {9}):
        raise BadInput("pin_common")
    with _few:
        return _hasher.hash(pin)


def fits(kept: str | None, given: str) -> bool:
    """Whether a password or PIN is the one that was kept; takes as long where none was."""
    with _few:
        try:
            return _hasher.verify(kept or _NOBODY, given) and kept is not None
        except (VerifyMismatchError, InvalidHashError):
            return False
