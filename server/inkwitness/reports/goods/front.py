"""One page for the person who decides: what was checked, what was not, what differs, who decided.

It says nothing that the pages after it do not show, and leaves the decision where it is.
"""

from collections import Counter
from collections.abc import Sequence

from sqlalchemy import Connection

from inkwitness.phrases import Phrases
from inkwitness.reports import parts, words
from inkwitness.reports.document import Section, shown
from inkwitness.reports.goods.noted import Noted, judged
from inkwitness.rulebook import Rulebook
from inkwitness.use_cases import plans
from inkwitness.use_cases.overview import Overview
from inkwitness.use_cases.prints import SideBySide

_MOST = 5
_LISTS = 3


def front(
    conn: Connection,
    found: Overview,
    beside: SideBySide,
    noted: Sequence[Noted],
    left: Sequence[str],
    people: Sequence[str],
    rulebook: Rulebook,
    say: Phrases,
) -> tuple[Section, ...]:
    """The sections of the first page; `left` says what was not opened, `people` who confirmed."""
    return (
        Section(say("front.checked"), tuple(_checked(found, people, say))),
        Section(say("front.not_checked"), (*left, *_not_checked(beside, say))),
        Section(say("front.differs"), tuple(_differs(beside, noted, say))),
        Section(say("front.sample"), tuple(_sample(found, say))),
        Section(say("front.list"), tuple(_list(conn, found, rulebook, say))),
        Section(say("front.decision"), tuple(_decision(found, say))),
    )


def _checked(found: Overview, people: Sequence[str], say: Phrases) -> list[str]:
    counted = found.roll_up
    states = ", ".join(
        f"{words.state(key, say)}: {counted.by_outcome[key]}"
        for key in words.SHAPES
        if counted.by_outcome.get(key)
    )
    said = [
        say(
            "report.looked_at.count",
            units=counted.looked_at,
            groups=counted.groups,
            pieces=counted.pieces,
        )
    ]
    return [*said, *([states] if states else []), parts.confirmed_by(people, say)]


def _not_checked(beside: SideBySide, say: Phrases) -> list[str]:
    said = [
        say("front.left_undone", what=say(f"aspect.{name}"), n=states["not_looked_at"])
        for name in words.ASPECTS
        if (states := beside.aspects.get(name)) and states.get("not_looked_at")
    ]
    return [*said, " ".join(parts.never_tested(say))]


def _differs(beside: SideBySide, noted: Sequence[Noted], say: Phrases) -> list[str]:
    said = [say("message.point", says=one.says, n=len(one.units)) for one in noted]
    said += [shown(one.says(say)) for one in beside.across]
    more = len(said) - _MOST
    if not said:
        return [say("front.none_differs")]
    return [*said[:_MOST], *([say("front.more", n=more)] if more > 0 else [])]


def _sample(found: Overview, say: Phrases) -> list[str]:
    if found.plan is None:
        return [say("report.sample.none")]
    content = found.plan.content
    said = [
        say(
            "report.sample.plan",
            name=shown(found.plan.context.actor.name),
            at=words.moment(found.plan.at),
            kind=say(f"report.sample.kind.{content['kind']}"),
            n=content["n"],
            lot=content["lot"],
        ),
        say("report.sample.drawn", n=found.roll_up.drawn_looked_at, of=found.roll_up.drawn),
        say(
            "report.sample.seed",
            seed=shown(content["draw"]["seed"]),
            sha256=content["draw"]["frame_sha256"],
        ),
    ]
    if found.left_to_do:
        said.append(say("report.sample.left", n=found.left_to_do))
    told = [shown(one.said(say)) for one in found.statements[:3]]
    # before anything was looked at: what the plan can show
    return [*said, *(told or [shown(plans.said(one, say)) for one in content["statements"][:2]])]


def _list(conn: Connection, found: Overview, rulebook: Rulebook, say: Phrases) -> list[str]:
    counted = Counter(
        words.which_list(part.holder_match, say)
        for unit in found.units
        for part in judged(conn, unit, rulebook)[:1]
        if part.holder_match.list_name
    )
    said = [say("front.lists", list=name, n=n) for name, n in counted.most_common(_LISTS)]
    rules = say("front.rules", edition=rulebook.edition)
    return [*(said or [say("front.no_list")]), rules, *_looked_up(found, say)]


def _looked_up(found: Overview, say: Phrases) -> list[str]:
    return [] if found.look_ups else [say("lookup.none")]


def _decision(found: Overview, say: Phrases) -> list[str]:
    if not found.decisions:
        said = [say("report.decisions.none")]
    else:
        section = parts.decisions(found.decisions[-2:], say)
        rows = section.table.rows if section.table is not None else ()
        said = [" – ".join(cell for cell in row if cell) for row in rows]
    shut = [one.says(say) for one in found.in_the_way]
    more = len(shut) - _MOST
    told = [*shut[:_MOST], *([say("front.more", n=more)] if more > 0 else [])]
    return [*said, *told]
