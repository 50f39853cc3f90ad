"""The view that can be shown to a seller: a neutral sentence and the papers needed, nothing else.

It depends on the scheme that the print names and on nothing that was found: whoever sees it learns
no outcome, no mark and no name.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from inkwitness.reports import words


@dataclass(frozen=True, slots=True)
class PapersOnly:
    """All that is shown."""

    sentence: str
    papers: tuple[str, ...]


def papers_needed(schemes: Iterable[str]) -> PapersOnly:
    """The papers for the schemes that the print names; none known: the papers of any scheme."""
    named = set(schemes) - {""}
    papers = list(words.PAPERS_COMMON)
    if any(scheme.startswith("us-") for scheme in named):
        papers += words.PAPERS_US
    if any(scheme.startswith("eu-") for scheme in named):
        papers += words.PAPERS_EU
    if not named or any(not scheme.startswith(("us-", "eu-")) for scheme in named):
        papers += words.PAPERS_OTHER
    return PapersOnly(words.PAPERS_SENTENCE, tuple(papers))
