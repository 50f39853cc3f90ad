"""Where something in the rules comes from, and how that is known."""

from dataclasses import dataclass
from typing import Literal

from inkwitness.rulebook.kinds import STRICT

Known = Literal["read", "read-secondary", "derived", "from-memory"]


@dataclass(frozen=True, slots=True)
class Source:
    """Where a rule comes from, and how that is known: `read` in the document or on the
    authority's page, `read-secondary` in another's account, `derived` by reasoning, `from-memory`.
    """

    __pydantic_config__ = STRICT
    document: str
    known: Known
    clause: str = ""
    year: str = ""

    def __str__(self) -> str:
        where = ", ".join(part for part in (self.document, self.clause, self.year) if part)
        return f"{where} ({self.known})"
