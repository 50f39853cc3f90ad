"""The view that can be shown to a seller: a neutral sentence and the papers needed, nothing else.

It depends on the scheme that the print names and on nothing that was found: whoever sees it learns
no outcome, no mark and no name.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from inkwitness.phrases import Phrases
from inkwitness.rulebook import Rulebook

_COMMON = ("holder", "invoice", "leaflet")


@dataclass(frozen=True, slots=True)
class PapersOnly:
    """All that is shown."""

    sentence: str
    papers: tuple[str, ...]


def papers_needed(schemes: Iterable[str], book: Rulebook, say: Phrases) -> PapersOnly:
    """The papers that the files of the named schemes ask for; none known: those of any scheme."""
    named = [book.scheme(one) for one in dict.fromkeys(schemes) if one]
    wanted = [key for one in named for key in (one.papers if one else ("other",))] or ["other"]
    papers = tuple(say(f"papers.{key}") for key in (*dict.fromkeys(wanted), *_COMMON))
    return PapersOnly(say("report.papers"), papers)
