"""Why somebody is not let in or may not do a thing; each says what to do."""

from collections.abc import Iterable

from inkwitness.errors import InkwitnessError
from inkwitness.phrases import Said, Sentence


def one_of(roles: Iterable[str]) -> Sentence:
    """Some roles, by their names: "screener or releaser"."""
    first, *others = (Sentence(f"roles.{role}", {}) for role in roles)
    for role in others:
        first = Sentence("error.either", {"one": first, "other": role})
    return first


class NotSignedIn(InkwitnessError):
    """Nobody is signed in on this device; HTTP 401."""

    code = "not_signed_in"


class NotAllowed(InkwitnessError):
    """Signed in, but the role does not cover this; HTTP 403."""

    code = "not_allowed"


class OtherPerson(InkwitnessError):
    """What is sent was done by somebody else than who is signed in now; HTTP 403."""

    code = "other_person"


class Wait(InkwitnessError):
    """Too many tries; HTTP 429. `seconds` is how long to wait."""

    code = "wait"

    def __init__(self, key: str, /, seconds: int = 0, **values: Said) -> None:
        super().__init__(key, **values)
        self.seconds = seconds
