"""Sentences of a stored check in the reader's language."""

from inkwitness.check.contract import CheckOut, FindingOut
from inkwitness.rulebook import Rulebook


def in_language(check: CheckOut, rulebook: Rulebook, lang: str) -> CheckOut:
    """The check with the sentences of its findings in `lang`; one not translated stays as it is.

    A rule that is no longer in the rule book keeps the sentence that was stored with it.
    """
    if lang == "en" or lang not in rulebook.languages:
        return check
    known = rulebook.messages(lang).messages

    def said(finding: FindingOut) -> FindingOut:
        if finding.rule not in known:
            return finding
        says = rulebook.says(finding.rule, finding.values, lang)
        return finding.model_copy(update={"says": says})

    items = [
        item.model_copy(update={"findings": [said(finding) for finding in item.findings]})
        for item in check.items
    ]
    findings = [said(finding) for finding in check.findings]
    return check.model_copy(update={"items": items, "findings": findings})
