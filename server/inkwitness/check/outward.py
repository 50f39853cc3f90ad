"""Between frozen values inside and the public contract outside, in both directions."""

from collections.abc import Sequence

from inkwitness import phrases
from inkwitness.check.contract import (
    AlternativeOut,
    FieldCompared,
    FindingOut,
    HolderMatchOut,
    ItemOut,
    MarkOut,
    NearEntry,
    NearLetter,
    SearchedOut,
)
from inkwitness.check.list_words import list_sentence, searched_sentence
from inkwitness.findings.values import Finding
from inkwitness.holders.values import HolderMatch
from inkwitness.marks.match import find
from inkwitness.marks.values import Alternative, Mark
from inkwitness.rulebook import Rulebook

#: What a person may call ink that is no mark: print of another kind, or no print at all.
OTHER_TEXT, NOT_A_MARK = "other_text", "not_a_mark"
NO_MARKS = frozenset({OTHER_TEXT, NOT_A_MARK})
#: How the id begins that a mark gets when a check is opened that was stored before marks had ids.
OLD_ID = "old:"


def mark_out(mark: Mark) -> MarkOut:
    """A mark as the contract has it."""
    return MarkOut(
        mark=mark.mark,
        printed=mark.printed,
        value=mark.value,
        standing=mark.standing,
        probability=mark.probability,
        alternatives=[
            AlternativeOut(printed=a.printed, value=a.value, probability=a.probability)
            for a in mark.alternatives
        ],
        polygon=list(mark.polygon),
        readers=list(mark.readers),
        doubtful_at=list(mark.doubtful_at),
        line=mark.line,
        scheme=mark.scheme,
        confirmed=mark.confirmed,
        id=mark.id,
        named_by=mark.named_by,
        reasons=list(mark.reasons),
        span=mark.span,
        parts=dict(mark.parts),
    )


def mark_in(out: MarkOut, rulebook: Rulebook) -> Mark:
    """A stored mark again. Checks stored before marks kept their parts (no `id`) have them found
    anew in the ink by the same grammar.
    """
    parts = tuple(out.parts.items())
    old = not out.id or out.id.startswith(OLD_ID)
    for grammar in rulebook.grammars if old else ():
        if grammar.mark == out.mark and grammar.scheme == out.scheme and not parts:
            parts = next((m.parts for m in find(out.printed, grammar) if m.value == out.value), ())
    return Mark(
        mark=out.mark,
        printed=out.printed,
        value=out.value,
        standing=out.standing,
        probability=out.probability,
        alternatives=tuple(
            Alternative(a.printed, a.value, a.probability) for a in out.alternatives
        ),
        polygon=tuple(out.polygon),
        readers=tuple(out.readers),
        doubtful_at=tuple(out.doubtful_at),
        line=out.line,
        scheme=out.scheme,
        confirmed=out.confirmed,
        parts=parts,
        id=out.id,
        span=out.span,
        named_by=out.named_by,
        reasons=tuple(out.reasons),
    )


def finding_out(finding: Finding, rulebook: Rulebook) -> FindingOut:
    """A finding with its English sentence and source."""
    values = dict(finding.values)
    rule = rulebook.rule(values.get("rule", "")) or rulebook.rule(finding.rule)
    return FindingOut(
        rule=finding.rule,
        scheme=finding.scheme,
        severity=finding.severity,
        aspect=finding.aspect,
        question=finding.question,
        values=values,
        marks=list(finding.marks),
        says=rulebook.says(finding.rule, values),
        source=str(rule.source) if rule else "",
    )


def match_out(match: HolderMatch) -> HolderMatchOut:
    """What the list says, with one sentence in English."""
    say = phrases.shipped().of("en")
    return HolderMatchOut(
        state=match.state,
        looked_up=match.looked_up,
        holder=match.holder,
        status=match.status,
        fields=[
            FieldCompared(
                field=f.field, state=f.state, printed=f.printed, listed=f.listed, note=f.note
            )
            for f in match.fields
        ],
        near=[
            NearEntry(
                approval_number=near.approval_number,
                holder=near.holder,
                distance=near.distance,
                letters=[
                    NearLetter(printed=p.printed, listed=p.listed, differs=p.differs)
                    for p in near.letters
                ],
            )
            for near in match.near
        ],
        searched=[
            SearchedOut(
                field=one.field,
                state=one.state,
                listed=one.listed,
                holder=one.holder,
                approval_number=one.approval_number,
                printed=one.printed,
                photo=one.photo,
                line=one.line,
                span=one.span,
                mark_id=one.mark_id,
                says=searched_sentence(one, say),
            )
            for one in match.searched
        ],
        list_name=match.list_name,
        list_edition=match.list_edition,
        list_checked_on=match.list_checked_on,
        list_age_days=match.list_age_days,
        list_too_old=match.list_too_old,
        fictional=match.fictional,
        question=match.question,
        says=match.says or list_sentence(match, say),
    )


def best_marks(items: Sequence[ItemOut]) -> dict[str, MarkOut]:
    """The best occurrence of each mark of the largest item: confirmed, then read, then likely."""
    best: dict[str, MarkOut] = {}
    for mark in items[0].marks if items else ():
        if mark.mark in NO_MARKS:
            continue
        other = best.get(mark.mark)
        if other is None or _rank(mark) > _rank(other):
            best[mark.mark] = mark
    return best


def _rank(mark: MarkOut) -> tuple[bool, int, bool, float]:
    order = {"read": 2, "doubtful": 1, "absent": 0}
    return mark.confirmed, order[mark.standing], mark.named_by != "place", mark.probability
