"""Sentences of a stored check in the reader's language."""

from collections.abc import Sequence
from typing import TypeVar

from inkwitness.check.contract import CheckOut, FindingOut, UnitCheckOut
from inkwitness.rulebook import Rulebook

SomeFinding = TypeVar("SomeFinding", bound=FindingOut)


def in_language(check: CheckOut, rulebook: Rulebook, lang: str) -> CheckOut:
    """The check with the sentences of its findings in `lang`; one not translated stays as it is.

    A rule that is no longer in the rule book keeps the sentence that was stored with it.
    """
    items = [
        item.model_copy(update={"findings": _said(item.findings, rulebook, lang)})
        for item in check.items
    ]
    findings = _said(check.findings, rulebook, lang)
    return check.model_copy(update={"items": items, "findings": findings})


def unit_in_language(check: UnitCheckOut, rulebook: Rulebook, lang: str) -> UnitCheckOut:
    """The same for a check of a unit."""
    others = [
        other.model_copy(update={"findings": _said(other.findings, rulebook, lang)})
        for other in check.others
    ]
    findings = _said(check.findings, rulebook, lang)
    return check.model_copy(update={"findings": findings, "others": others})


def _said(findings: Sequence[SomeFinding], rulebook: Rulebook, lang: str) -> list[SomeFinding]:
    if lang == "en" or lang not in rulebook.languages:
        return list(findings)
    known = rulebook.messages(lang).messages
    return [
        finding.model_copy(update={"says": rulebook.says(finding.rule, finding.values, lang)})
        if finding.rule in known
        else finding
        for finding in findings
    ]
