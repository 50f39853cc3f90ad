"""Sections that the reports of a unit and of a consignment share."""

from collections.abc import Iterable, Sequence

from inkwitness.check.contract import FindingOut
from inkwitness.consignment.dispositions import CODES, released
from inkwitness.records.chain import Entry
from inkwitness.reports import words
from inkwitness.reports.document import Section, Status, Table, shown

_TITLES = {
    "conflict": "What does not agree",
    "missing": "What is missing",
    "caution": "Cautions",
    "note": "Notes",
}


def statuses(
    outcome: str | None, basis: str | None, decided: Sequence[Entry], *, held: bool
) -> tuple[Status, ...]:
    """The outcome first; then whether it is to be confirmed, held, or released by whom."""
    found = [words.STATUSES[outcome or "not_looked_at"]]
    if outcome is not None and basis != "confirmed":
        found.append(words.TO_BE_CONFIRMED)
    if held:
        found.append(words.STATUSES["held"])
    elif kind := released([entry.content["disposition"] for entry in decided]):
        last = next(one for one in reversed(decided) if one.content["disposition"] == kind)
        limits = shown(last.content["limits"]) or "none stated"
        if last.content.get("until"):
            limits += f", until {last.content['until']}"
        found.append(
            Status(
                "released",
                "⬟",
                f"{words.RELEASED[kind]} {shown(last.hand.actor.name)}, {words.moment(last.at)}. "
                f"Limits: {limits}.",
            )
        )
    return tuple(found)


def findings(found: Iterable[FindingOut]) -> list[Section]:
    """Findings sorted by what they are; cautions stand as large as the rest."""
    sorted_by: dict[str, list[str]] = {title: [] for title in _TITLES.values()}
    for finding in found:
        title = "What has to be asked" if finding.question else _TITLES[finding.severity]
        sorted_by.setdefault(title, []).append(sentence(finding))
    order = (*list(_TITLES.values())[:2], "What has to be asked", *list(_TITLES.values())[2:])
    return [
        Section(title, tuple(dict.fromkeys(sorted_by[title])))
        for title in order
        if sorted_by.get(title)
    ]


def sentence(finding: FindingOut) -> str:
    """What a finding says, with its source; the rule's id where no sentence was stored."""
    says = shown(finding.says) or f"Rule {finding.rule} was raised."
    return f"{says} Source: “{shown(finding.source)}”." if finding.source else says


def look_ups(entries: Sequence[Entry]) -> Section:
    """What people found on the authority's own list, or that nobody looked."""
    if not entries:
        return Section("The authority's own list", ("Official list not looked up.",))
    return Section(
        "The authority's own list",
        tuple(
            f"Official list “{shown(entry.content['list_name'])}” looked up on "
            f"{entry.content['looked_up_at'][:10]} by {shown(entry.hand.actor.name)} for "
            f"“{shown(entry.content['looked_up'])}”: “{shown(entry.content['words'])}” "
            f"({entry.content['answer'].replace('_', ' ')})."
            for entry in entries
        ),
    )


def decisions(entries: Sequence[Entry]) -> Section:
    """What people decided, or that nobody did."""
    if not entries:
        return Section("Decisions", ("Nobody has decided anything yet. A person decides.",))
    rows = tuple(
        (
            _decision(entry),
            shown(entry.hand.actor.name),
            words.moment(entry.at),
            shown(entry.content["reason"]),
            _limits(entry),
        )
        for entry in entries
    )
    return Section("Decisions", (), Table(("Decision", "By", "When", "Reason", "Limits"), rows))


def _decision(entry: Entry) -> str:
    kind, about = entry.content["disposition"], entry.content.get("about", "")
    code = f"{CODES[kind]} " if kind in CODES else ""
    what = words.DISPOSITIONS.get(about, words.ANSWERS.get(about, ""))
    return f"{code}{words.DISPOSITIONS[kind]}" + (f": {what}" if what else "")


def _limits(entry: Entry) -> str:
    until = entry.content.get("until", "")
    said = [shown(entry.content["limits"]), f"until {until}" if until else ""]
    return ", ".join(one for one in said if one)


def use_cautions(cautions: Iterable[str]) -> Section:
    """What the class is not for, fit, single use: the cautions of the schemes seen."""
    said = tuple(dict.fromkeys(cautions)) or (
        (
            "Marks say nothing about fit; each wearer needs a fit test for this model and size, "
            "and a seal check every time."
        ),
    )
    return Section("Before anyone wears one", said)


def integrity(rows: Iterable[tuple[str, str]]) -> Section:
    """Hashes and versions, with what they do not show."""
    return Section("Evidence", words.HASHES, Table(("What", "Value"), tuple(rows)))
