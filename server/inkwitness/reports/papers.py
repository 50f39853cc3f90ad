"""The view that can be shown to a seller: a neutral sentence and the papers needed, nothing else.

It depends on the scheme that the print names and on nothing that was found: whoever sees it learns
no outcome, no mark and no name.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from inkwitness.phrases import Phrases

_COMMON = ("holder", "invoice", "leaflet")


@dataclass(frozen=True, slots=True)
class PapersOnly:
    """All that is shown."""

    sentence: str
    papers: tuple[str, ...]


def papers_needed(schemes: Iterable[str], say: Phrases) -> PapersOnly:
    """The papers for the schemes that the print names; none known: the papers of any scheme."""
    named = set(schemes) - {""}
    wanted: list[str] = []
    if any(scheme.startswith("us-") for scheme in named):
        wanted.append("us")
    if any(scheme.startswith("eu-") for scheme in named):
        wanted += ["eu.type", "eu.declaration", "eu.control"]
    if not named or any(not scheme.startswith(("us-", "eu-")) for scheme in named):
        wanted.append("other")
    papers = tuple(say(f"papers.{key}") for key in (*wanted, *_COMMON))
    return PapersOnly(say("report.papers"), papers)
