"""The view that can be shown to a seller: a neutral sentence and the papers needed, nothing else.

It depends on the scheme that the print names and on nothing that was found: whoever sees it learns
no outcome, no mark and no name.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from inkwitness.reports import words
from inkwitness.rulebook import Rulebook


@dataclass(frozen=True, slots=True)
class PapersOnly:
    """All that is shown."""

    sentence: str
    papers: tuple[str, ...]


def papers_needed(schemes: Iterable[str], book: Rulebook) -> PapersOnly:
    """The papers that the files of the named schemes ask for; none known: those of any scheme."""
    named = [book.scheme(one) for one in dict.fromkeys(schemes) if one]
    wanted = [key for one in named for key in (one.papers if one else ("other",))] or ["other"]
    papers = (*words.PAPERS_COMMON, *(words.PAPERS[key] for key in dict.fromkeys(wanted)))
    return PapersOnly(words.PAPERS_SENTENCE, papers)
