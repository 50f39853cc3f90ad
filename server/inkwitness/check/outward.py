"""From the values inside to the public contract: the one place where the wire shapes are made.

Sentences are made here, of a rule's key and values, in the language asked for.
"""

from collections.abc import Iterable, Sequence

from pydantic import TypeAdapter

from inkwitness import phrases
from inkwitness.check.contract import (
    CheckOut,
    FindingOut,
    HolderMatchOut,
    ItemOut,
    LineOut,
    MarkOut,
    OtherItemOut,
    PlaceOut,
    UnitCheckOut,
    UnitFindingOut,
)
from inkwitness.check.list_words import can_say, list_sentence, searched_sentence
from inkwitness.check.next_steps import list_steps, next_steps
from inkwitness.check.values import Check, ItemJudged, ItemRead, UnitJudgement
from inkwitness.findings.identity import key_of
from inkwitness.findings.values import Finding, Placed
from inkwitness.holders.values import HolderMatch
from inkwitness.marks.values import Mark
from inkwitness.rulebook import Rulebook

# The contract has the fields of these values under the same names.
_MARK = TypeAdapter(Mark)
_MATCH = TypeAdapter(HolderMatch)


def check_out(check: Check, rulebook: Rulebook, lang: str = "en") -> CheckOut:
    """A photo's check as the contract has it; the largest item is mirrored on top."""
    reading, judgement = check.reading, check.judgement
    items = [
        _item_out(read, judged, rulebook, lang)
        for read, judged in zip(reading.items, judgement.items, strict=True)
    ]
    return CheckOut(
        photo=reading.photo,
        sha256=reading.sha256,
        on=judgement.on,
        outcome=judgement.outcome,
        basis=judgement.basis,
        aspects=dict(judgement.aspects),
        items=items,
        scheme=judgement.scheme,
        marks={name: mark_out(mark) for name, mark in judgement.best.items()},
        lines=[
            LineOut(
                index=line.index,
                text=line.text,
                confidence=line.confidence,
                polygon=list(line.polygon),
                item=number,
                x_height_px=line.x_height_px,
            )
            for number, item in enumerate(reading.items)
            for line in item.lines
        ],
        findings=items[0].findings if items else [],
        holder_match=items[0].holder_match
        if items
        else match_out(judgement.holder_match, rulebook, lang),
        photo_quality=list(reading.quality),
        milliseconds=reading.milliseconds,
        readers=list(reading.readers),
        notes=[*reading.notes, *judgement.notes],
        width=reading.width,
        height=reading.height,
        turn=reading.turn,
        rules_edition=judgement.rules_edition,
    )


def unit_check_out(judgement: UnitJudgement, rulebook: Rulebook, lang: str = "en") -> UnitCheckOut:
    """What the photos of a unit came to together, as the contract has it."""
    return UnitCheckOut(
        on=judgement.on,
        outcome=judgement.outcome,
        basis=judgement.basis,
        aspects=dict(judgement.aspects),
        photos=list(judgement.photos),
        schemes=list(judgement.schemes),
        scheme=judgement.scheme,
        marks={name: _place_out(placed) for name, placed in judgement.best.items()},
        placed=_places_out(judgement.placed),
        findings=[
            UnitFindingOut(
                **dict(finding_out(finding, rulebook, lang, judgement.schemes)),
                places=_places_out(finding.places),
            )
            for finding in judgement.findings
        ],
        holder_match=match_out(judgement.holder_match, rulebook, lang, judgement.schemes),
        others=[
            OtherItemOut(
                photo=other.photo,
                item=other.item,
                outcome=other.outcome,
                findings=[finding_out(one, rulebook, lang) for one in other.findings],
                holder_match=match_out(other.holder_match, rulebook, lang),
            )
            for other in judgement.others
        ],
        rules_edition=judgement.rules_edition,
    )


def mark_out(mark: Mark) -> MarkOut:
    """A mark as the contract has it."""
    fields = _MARK.dump_python(mark)
    return MarkOut.model_validate({**fields, "parts": dict(mark.parts)})


def finding_says(finding: Finding, rulebook: Rulebook, lang: str) -> str:
    """The sentence of a finding in `lang`.

    In English a sentence that was stored with a finding stays; so does it where it cannot be said
    from the values. A rule without any is left to whoever shows it.
    """
    values = dict(finding.values)
    if not (lang == "en" and finding.says) and can_say(rulebook, finding.rule, values, lang):
        return rulebook.says(finding.rule, values, lang)
    return finding.says


def finding_out(
    finding: Finding, rulebook: Rulebook, lang: str = "en", schemes: Sequence[str] = ()
) -> FindingOut:
    """A finding with its sentence in `lang`, its source and what to do about it.

    `schemes` are those that the goods claim, for a rule that is of none.
    """
    values = dict(finding.values)
    rule = rulebook.rule(values.get("rule", "")) or rulebook.rule(finding.rule)
    marks = list(finding.marks)
    concerns = _concerns(finding, schemes)
    say = phrases.shipped().of(lang)
    steps = next_steps(finding.rule, finding.severity, values, marks, concerns, rulebook, say)
    return FindingOut(
        rule=finding.rule,
        scheme=finding.scheme,
        severity=finding.severity,
        aspect=finding.aspect,
        question=finding.question,
        values=values,
        marks=marks,
        says=finding_says(finding, rulebook, lang),
        # a sentence that was stored has its own source, or none
        source=finding.source if finding.says else str(rule.source) if rule else "",
        id=key_of(finding),
        concerns=concerns,
        next_steps=list(steps),
    )


def _concerns(finding: Finding, schemes: Sequence[str]) -> list[str]:
    """The schemes that a finding is about: its rule's, those of its marks, those claimed."""
    of_marks = [placed.mark.scheme for placed in finding.places if placed.mark.scheme]
    return [finding.scheme] if finding.scheme else list(dict.fromkeys(of_marks or schemes))


def match_out(
    match: HolderMatch, rulebook: Rulebook, lang: str = "en", schemes: Sequence[str] = ()
) -> HolderMatchOut:
    """What the list says, with one sentence in `lang`, and what to do about it."""
    say = phrases.shipped().of(lang)
    fields = _MATCH.dump_python(match)
    for one, searched in zip(fields["searched"], match.searched, strict=True):
        one["says"] = searched_sentence(searched, say)
    says = match.says if lang == "en" and match.says else list_sentence(match, say)
    steps = list_steps(match.state, schemes, rulebook, say)
    return HolderMatchOut.model_validate({**fields, "says": says, "next_steps": steps})


def _item_out(read: ItemRead, judged: ItemJudged, rulebook: Rulebook, lang: str) -> ItemOut:
    return ItemOut(
        polygon=list(read.polygon),
        surface=judged.surface,
        whole=judged.whole,
        schemes=list(judged.schemes),
        marks=[mark_out(mark) for mark in judged.marks],
        findings=[
            finding_out(finding, rulebook, lang, judged.schemes) for finding in judged.findings
        ],
        holder_match=match_out(judged.holder_match, rulebook, lang, judged.schemes),
    )


def _place_out(placed: Placed) -> PlaceOut:
    return PlaceOut(photo=placed.photo, surface=placed.surface, mark=mark_out(placed.mark))


def _places_out(places: Iterable[Placed]) -> list[PlaceOut]:
    return [_place_out(placed) for placed in places]
