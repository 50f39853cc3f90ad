"""What to do about a conflict, something missing, or what a list says: steps, as sentences.

A step says what to look at again and which side to photograph (`next.*`, by rule or by kind of
check), which field of which public list to look up, what must agree there and whom to ask
(`consult.*`, by scheme). All of it is data of the phrase book; a scheme of one's own that has no
such sentence is asked about with what its file says of its public list.
"""

from collections.abc import Mapping, Sequence
from typing import get_args

from inkwitness.findings.requires import COULD_BE_IT, FEWER
from inkwitness.findings.values import Severity, Surface
from inkwitness.holders.values import ListState
from inkwitness.phrases import Phrases
from inkwitness.rulebook import Rule, Rulebook

#: Kinds of check whose first step is worded alike.
_LIKE = {
    **dict.fromkeys(
        ("value_in", "value_not_in", "matches", "matches_not", "digit_count", "in_register"),
        "letters",
    ),
    **dict.fromkeys(("not_together", "next_to", "percentage_of_class"), "beside"),
    **dict.fromkeys(
        ("date_order", "date_not_before", "date_not_from", "date_against_today", "shelf_life"),
        "dates",
    ),
}
#: States of the list that somebody has to do something about.
LIST_STATES: tuple[ListState, ...] = (
    "listed_differs",
    "listed_ended",
    "near",
    "not_listed",
    "list_too_old",
)
_EVERYWHERE: tuple[Surface, ...] = get_args(Surface)
#: Schemes that one finding is looked up in at most.
_MOST_SCHEMES = 2


def next_steps(
    name: str,
    severity: Severity,
    values: Mapping[str, str],
    marks: Sequence[str],
    concerns: Sequence[str],
    rulebook: Rulebook,
    say: Phrases,
) -> tuple[str, ...]:
    """The steps of one finding; none for a caution or a note.

    `name` is its rule, `marks` the marks that it rests on, `concerns` the schemes they are of.
    """
    rule = rulebook.rule(values.get("rule", "")) or rulebook.rule(name)
    if severity not in ("conflict", "missing") or rule is None:
        return ()
    told = {
        "mark": ", ".join(dict.fromkeys(say.named("marks", mark) for mark in marks)),
        "printed": values.get("printed", "") or values.get("value", ""),
        "surfaces": _sides(rule, marks, rulebook, say),
    }
    key = "free_print" if name in (COULD_BE_IT, FEWER) else first_step(rule, say)
    return (
        say(f"next.{key}", **told),
        *_consult(concerns, rulebook, say),
        *([say("next.keep_apart")] if severity == "conflict" else []),
    )


def list_steps(
    state: str, concerns: Sequence[str], rulebook: Rulebook, say: Phrases
) -> tuple[str, ...]:
    """The steps after what the list said; none where it agrees or has nothing to say."""
    if state not in LIST_STATES:
        return ()
    ended = state in ("listed_differs", "listed_ended")
    return (
        say(f"next.{state}"),
        *_consult(concerns, rulebook, say),
        *([say("next.keep_apart")] if ended else []),
    )


def first_step(rule: Rule, say: Phrases) -> str:
    """The phrase of a rule's first step: its own where it has one, else that of its check."""
    if f"next.{rule.id}" in say:
        return rule.id
    return _LIKE.get(rule.check.kind, rule.check.kind)


def _consult(concerns: Sequence[str], rulebook: Rulebook, say: Phrases) -> list[str]:
    """Where to look it up and whom to ask, a scheme at a time."""
    found = []
    for name in list(dict.fromkeys(concerns))[:_MOST_SCHEMES]:
        scheme = rulebook.scheme(name)
        if f"consult.{name}" in say:
            found.append(say(f"consult.{name}"))
        elif scheme is not None and scheme.public_list is not None:
            listed = scheme.public_list
            found.append(
                say(
                    "consult.of_scheme",
                    name=listed.name,
                    run_by=listed.run_by,
                    look_up_by=listed.look_up_by,
                    ask=scheme.ask,
                )
            )
    return found or [say("consult.none")]


def _sides(rule: Rule, marks: Sequence[str], rulebook: Rulebook, say: Phrases) -> str:
    """The sides on which the marks of a rule stand, as its scheme has it; else all of them."""
    asked, scheme = rule.check.requires_mark, rulebook.scheme(rule.scheme)
    sides: tuple[Surface, ...] = asked.on if asked is not None else ()
    for mark in scheme.marks if scheme is not None and not sides else ():
        if mark.mark in marks:
            sides = (*sides, *mark.required_on, *mark.recommended_on, *mark.may_stand_on)
    sides = tuple(sorted(set(sides), key=_EVERYWHERE.index)) or _EVERYWHERE
    return ", ".join(
        dict.fromkeys(say(f"surfaces.{side.removeprefix('inner_')}") for side in sides)
    )
