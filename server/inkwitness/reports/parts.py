"""Sections that the reports of a unit and of a consignment share."""

from collections.abc import Iterable, Sequence

from inkwitness.check.contract import FindingOut
from inkwitness.consignment.dispositions import CODES, HOLDS, OUT, released
from inkwitness.phrases import Phrases, capital
from inkwitness.records.chain import Entry
from inkwitness.reports import words
from inkwitness.reports.document import Section, Status, Table, shown
from inkwitness.rulebook import Rulebook, Scheme

#: What a finding may be, in the order of the report.
_KINDS = ("conflict", "missing", "question", "caution", "note")


def statuses(
    outcome: str | None,
    basis: str | None,
    decided: Sequence[Entry],
    say: Phrases,
    *,
    held: bool,
    stopped: bool = False,
) -> tuple[Status, ...]:
    """The outcome first; then whether it is to be confirmed, held, or released by whom, and whether
    something stops what was released.
    """
    found = [words.status(outcome, say)]
    if outcome is not None and basis != "confirmed":
        found.append(Status("to_be_confirmed", "…", say("report.to_be_confirmed")))
    if held:
        found.append(Status("held", "■", say("hold.do")))
    elif kind := released([entry.content["disposition"] for entry in _of_all(decided)]):
        of_all = _of_all(decided)
        last = next(one for one in reversed(of_all) if one.content["disposition"] == kind)
        told = say(
            f"released.{kind}",
            name=shown(last.context.actor.name),
            at=words.moment(last.at),
            limits=_limits(last, say) or say("report.no_limits"),
        )
        found.append(Status("released", "⬟", told))
        if stopped:
            found.append(Status("held", "■", capital(say("stock.status.stopped"))))
    return tuple(found)


def _of_all(decided: Sequence[Entry]) -> list[Entry]:
    """The decisions on all of the goods; of those on one lot, what takes it out of a release."""
    ends = HOLDS | OUT
    return [
        entry
        for entry in decided
        if not entry.content.get("lot") or entry.content["disposition"] in ends
    ]


def findings(found: Iterable[FindingOut], rulebook: Rulebook, say: Phrases) -> list[Section]:
    """Findings sorted by what they are; cautions stand as large as the rest."""
    by_kind: dict[str, list[str]] = {kind: [] for kind in _KINDS}
    for finding in found:
        kind = "question" if finding.question else finding.severity
        by_kind[kind].append(words.finding(finding, rulebook, say))
    return [
        Section(words.heading(kind, say), tuple(dict.fromkeys(said)))
        for kind, said in by_kind.items()
        if said
    ]


def look_ups(entries: Sequence[Entry], say: Phrases) -> Section:
    """What people found on the authority's own list, or that nobody looked."""
    said = tuple(
        _on_paper(entry, say)
        + say(
            "lookup.said",
            list=shown(entry.content["list_name"]),
            day=entry.content["looked_up_at"][:10],
            name=shown(entry.context.actor.name),
            asked=shown(entry.content["looked_up"]),
            words=shown(entry.content["words"]),
            answer=say.named("lookup", entry.content["answer"]),
        )
        for entry in entries
    )
    return Section(say("lookup.official_list"), said or (say("lookup.none"),))


def _on_paper(entry: Entry, say: Phrases) -> str:
    """That a look-up rests on a paper kept with the goods, before what it said."""
    paper = entry.content.get("document_id", "")
    return f"{say('lookup.on_paper', id=paper)} " if paper else ""


def decisions(entries: Sequence[Entry], say: Phrases) -> Section:
    """What people decided, or that nobody did."""
    title = words.heading("decisions", say)
    if not entries:
        return Section(title, (say("report.decisions.none"),))
    rows = tuple(
        (
            _decision(entry, say),
            shown(entry.context.actor.name),
            words.moment(entry.at),
            shown(entry.content["reason"]),
            _limits(entry, say),
        )
        for entry in entries
    )
    headings = words.columns(say, "decision", "by", "when", "reason", "limits")
    return Section(title, (), Table(headings, rows))


def _decision(entry: Entry, say: Phrases) -> str:
    kind, about = entry.content["disposition"], entry.content.get("about", "")
    code = f"{CODES[kind]} " if kind in CODES else ""
    what = next((say(key) for key in (f"decided.{about}", f"answer.{about}") if key in say), "")
    lot = entry.content.get("lot", "")
    of_lot = f" – {say('report.declared.lot', code=shown(lot))}" if lot else ""
    return f"{code}{say(f'decided.{kind}')}" + (f": {what}" if what else "") + of_lot


def _limits(entry: Entry, say: Phrases) -> str:
    until = entry.content.get("until", "")
    told = say("report.until", day=str(until)) if until else ""
    alone = entry.content.get("only_as", "")
    only_as = say(f"stock.only_as.{alone}") if alone else ""
    assignee = shown(entry.content.get("assignee", ""))
    seen_to = say("report.assignee", name=assignee) if assignee else ""
    limits = shown(entry.content["limits"])
    return ", ".join(one for one in (limits, only_as, told, seen_to) if one)


def use_cautions(schemes: Iterable[Scheme], say: Phrases) -> Section:
    """What the class is not for, fit, single use: the cautions of the schemes seen.

    A scheme's own cautions are in English; in another language the one on fit stands before them.
    """
    own = [caution for scheme in schemes for caution in scheme.cautions]
    said = [words.in_english(caution, say) for caution in dict.fromkeys(own)]
    if not said or say.language != "en":
        said.insert(0, say("care.fit"))
    return Section(words.heading("wear", say), tuple(said))


def caveat(said: Sequence[str], say: Phrases) -> Section:
    """What was done, then what no report can show."""
    last = ("listed", "not_listed", "ask", "advice")
    never = (*(say(f"report.caveat.{key}") for key in last), say("caveat.short"))
    return Section(words.heading("caveat", say), (*said, *never))


def confirmed_by(people: Iterable[str], say: Phrases) -> str:
    """Who confirmed marks, or that nobody did."""
    told = ", ".join(people)
    return say("report.caveat.people", people=told) if told else say("report.caveat.nobody")


def never_tested(say: Phrases) -> tuple[str, ...]:
    """What a photo of print cannot show, whatever was looked at."""
    return say("report.not.tested"), say("report.not.origin")


def integrity(rows: Iterable[tuple[str, str]], say: Phrases) -> Section:
    """Hashes and versions, with what they do not show."""
    said = (say("report.evidence.bytes"), say("report.evidence.scene"))
    table = Table(words.columns(say, "what", "value"), tuple(rows))
    return Section(words.heading("evidence", say), said, table)
