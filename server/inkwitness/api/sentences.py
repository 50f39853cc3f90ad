"""Sentences of a stored check in the reader's language."""

from collections.abc import Sequence
from typing import TypeVar

from inkwitness import phrases
from inkwitness.check.contract import CheckOut, FindingOut, HolderMatchOut, UnitCheckOut
from inkwitness.check.list_words import can_say, list_sentence, searched_sentence
from inkwitness.rulebook import Rulebook

SomeFinding = TypeVar("SomeFinding", bound=FindingOut)


def in_language(check: CheckOut, rulebook: Rulebook, lang: str) -> CheckOut:
    """The check with its sentences in `lang`; in English those that were stored with it.

    What cannot be said from its values keeps the sentence that was stored with it.
    """
    items = [
        item.model_copy(
            update={
                "findings": _said(item.findings, rulebook, lang),
                "holder_match": _listed(item.holder_match, lang),
            }
        )
        for item in check.items
    ]
    told = {
        "items": items,
        "findings": _said(check.findings, rulebook, lang),
        "holder_match": _listed(check.holder_match, lang),
    }
    return check.model_copy(update=told)


def unit_in_language(check: UnitCheckOut, rulebook: Rulebook, lang: str) -> UnitCheckOut:
    """The same for a check of a unit."""
    others = [
        other.model_copy(
            update={
                "findings": _said(other.findings, rulebook, lang),
                "holder_match": _listed(other.holder_match, lang),
            }
        )
        for other in check.others
    ]
    told = {
        "others": others,
        "findings": _said(check.findings, rulebook, lang),
        "holder_match": _listed(check.holder_match, lang),
    }
    return check.model_copy(update=told)


def _listed(match: HolderMatchOut, lang: str) -> HolderMatchOut:
    if lang == "en" and match.says:
        return match
    say = phrases.shipped().of(lang)
    searched = [
        one.model_copy(update={"says": searched_sentence(one, say)}) for one in match.searched
    ]
    return match.model_copy(update={"says": list_sentence(match, say), "searched": searched})


def _said(findings: Sequence[SomeFinding], rulebook: Rulebook, lang: str) -> list[SomeFinding]:
    return [
        finding.model_copy(update={"says": rulebook.says(finding.rule, finding.values, lang)})
        if not (lang == "en" and finding.says)
        and can_say(rulebook, finding.rule, finding.values, lang)
        else finding
        for finding in findings
    ]
