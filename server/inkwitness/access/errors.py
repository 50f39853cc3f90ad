"""Why somebody is not let in or may not do a thing; each says what to do."""

from inkwitness.errors import InkwitnessError


class NotSignedIn(InkwitnessError):
    """Nobody is signed in on this device; HTTP 401."""

    code = "not_signed_in"

    def __init__(self, message: str = "") -> None:
        super().__init__(
            message
            or "Nobody is signed in on this device. Sign in, or ask an administrator for a code. "
            "What is kept on the phone stays there until then."
        )


class NotAllowed(InkwitnessError):
    """Signed in, but the role does not cover this; HTTP 403."""

    code = "not_allowed"


class OtherPerson(InkwitnessError):
    """What is sent was done by somebody else than who is signed in now; HTTP 403."""

    code = "other_person"


class Wait(InkwitnessError):
    """Too many tries; HTTP 429. `seconds` is how long to wait."""

    code = "wait"

    def __init__(self, seconds: int) -> None:
        super().__init__(
            f"Too many wrong tries from here. Wait {max(1, round(seconds / 60))} minutes, or ask "
            "an administrator for a code, which works at once."
        )
        self.seconds = seconds
