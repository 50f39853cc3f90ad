"""The error tree. Every error says what is wrong and what to do instead.

    InkwitnessError
    ├── BadInput          an argument or a file that cannot be used        HTTP 422, exit 2
    │   ├── NotAPhoto     bytes that are no picture we read                HTTP 415
    │   └── TooLarge      over a limit on bytes or pixels                  HTTP 413
    ├── BadList           a holder list that cannot be imported            HTTP 422, exit 2
    ├── NotFound          an id that names nothing here                    HTTP 404
    ├── Removed           bytes that were removed for good, and by whom    HTTP 410
    ├── Differs           same id, other content: nothing is overwritten   HTTP 409
    ├── StorageTrouble    the disk or the database cannot be used now      HTTP 503, exit 2
    └── ReaderMissing     a program or model that a reader needs           HTTP 503, exit 2

An error holds a key and its values; `rules/messages/<language>/errors.yaml` has the sentence, and
only `api.errors` and `cli.main` say it to a person, in that person's language. In logs and tests
an error is English. `yaml_text.BadRules` stands apart: it is for whoever writes rules.
"""

from typing import Literal

from inkwitness import phrases
from inkwitness.phrases import Phrases, Said, Sentence

StorageKind = Literal["busy", "no_space", "read_only", "storage"]


class InkwitnessError(Exception):
    """Base of all errors that are ours: a key of `errors.yaml` and the values of its sentence."""

    code = "inkwitness_error"

    def __init__(self, key: str, /, **values: Said) -> None:
        super().__init__(key)
        self.key = key
        self.values = values

    @property
    def sentence(self) -> Sentence:
        """What is wrong and what to do, to be said in whichever language, or inside another."""
        return Sentence(f"error.{self.key}", self.values)

    def said(self, say: Phrases) -> str:
        """What is wrong and what to do, written for the person who can act."""
        return self.sentence.said(say)

    @property
    def message(self) -> str:
        """The same in English, for logs and tests."""
        return self.said(phrases.shipped().of("en"))

    def __str__(self) -> str:
        return self.message


class BadInput(InkwitnessError):
    """An argument or a file that cannot be used as it is."""

    code = "bad_input"


class NotAPhoto(BadInput):
    """The bytes are no picture of a kind that is read here."""

    code = "not_a_photo"


class TooLarge(BadInput):
    """More bytes or pixels than the limit."""

    code = "too_large"


class BadList(InkwitnessError):
    """A holder list that cannot be imported; the message names row and column."""

    code = "bad_list"


class NotFound(InkwitnessError):
    """An id that names nothing in this store."""

    code = "not_found"


class Removed(InkwitnessError):
    """Bytes that were here and were removed for good."""

    code = "removed"


class Differs(InkwitnessError):
    """The same id came again with other content; nothing is overwritten."""

    code = "differs"


class ReaderMissing(InkwitnessError):
    """A program or model file that a reader needs is not installed."""

    code = "reader_missing"


class StorageTrouble(InkwitnessError):
    """The disk or the database cannot be used now; `kind` says why, and it may pass."""

    code = "storage"

    def __init__(self, key: str, /, kind: StorageKind = "storage", **values: Said) -> None:
        super().__init__(key, **values)
        self.kind = kind
