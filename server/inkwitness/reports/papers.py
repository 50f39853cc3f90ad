"""The view that can be shown to a seller: a neutral sentence and the papers needed, nothing else.

It depends on the scheme that the print names and on nothing that was found: whoever sees it learns
no outcome, no mark and no name.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from inkwitness.consignment.papers.judge import name_of
from inkwitness.phrases import Phrases
from inkwitness.rulebook import Rulebook
from inkwitness.rulebook.paper import WantedPaper

#: Latin Extended-B ends here (Unicode 15.1): fonts of any report have what stands before it.
_LAST_LATIN = 0x24F
_COMMON = ("holder", "invoice", "leaflet")


@dataclass(frozen=True, slots=True)
class PapersOnly:
    """All that is shown."""

    sentence: str
    papers: tuple[str, ...]


def papers_needed(
    schemes: Iterable[str], book: Rulebook, say: Phrases, *, titles: bool = False
) -> PapersOnly:
    """The papers that the files of the named schemes ask for; none known: those of any scheme.

    With `titles` a title in other letters stands behind its paper: where text is copied, not drawn.
    """
    named = [book.scheme(one) for one in dict.fromkeys(schemes) if one]
    wanted = [
        f"{name_of(paper, say)}{_own_title(paper) if titles else ''}"
        for one in named
        if one is not None
        for paper in one.papers
    ]
    if not wanted or any(one is None or not one.papers for one in named):
        wanted.append(say("papers.other"))
    papers = (*dict.fromkeys(wanted), *(say(f"papers.{key}") for key in _COMMON))
    return PapersOnly(say("report.papers"), papers)


def _own_title(paper: WantedPaper) -> str:
    """The title as the law has it, where it is in letters that a translation does not have."""
    title = paper.titles[0]
    return "" if all(ord(letter) <= _LAST_LATIN for letter in title) else f" ({title})"
