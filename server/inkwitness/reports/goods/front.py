"""One page for the person who decides: what was checked, what was not, what differs, who decided.

It says nothing that the pages after it do not show, and leaves the decision where it is.
"""

from collections import Counter
from collections.abc import Sequence

from sqlalchemy import Connection

from inkwitness.consignment.across import Across
from inkwitness.phrases import Phrases
from inkwitness.records.chain import Entry
from inkwitness.reports import parts, words
from inkwitness.reports.answers import sentence
from inkwitness.reports.document import Section, as_said, shown
from inkwitness.reports.goods.noted import Noted, judged
from inkwitness.rulebook import Rulebook
from inkwitness.use_cases import answers, plans
from inkwitness.use_cases.overview import Overview, aspects_of
from inkwitness.use_cases.prints import SideBySide

_MOST = 6
_LISTS = 3


def front(
    conn: Connection,
    found: Overview,
    beside: SideBySide,
    noted: Sequence[Noted],
    left: Sequence[str],
    people: Sequence[str],
    papers: Sequence[str],
    use: Sequence[str],
    rulebook: Rulebook,
    say: Phrases,
) -> tuple[Section, ...]:
    """The sections of the first page.

    `left` says what was not opened, `people` who confirmed, `papers` what papers raise, `use` where
    the goods are less than the site wants.
    """
    aside = _set_aside(beside, noted, say)
    return (
        Section(say("front.checked"), tuple(_checked(found, people, say))),
        Section(say("front.not_checked"), (*left, *_not_checked(found, beside, say))),
        Section(say("front.differs"), tuple(_differs(beside, noted, papers, say))),
        *([Section(say("aside.title"), tuple(aside))] if aside else []),
        *([Section(say("use_report.title"), tuple(use))] if use else []),
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


def _not_checked(found: Overview, beside: SideBySide, say: Phrases) -> list[str]:
    aspects = aspects_of(found, beside)
    said = [
        say("front.left_undone", what=say(f"aspect.{name}"), n=states["not_looked_at"])
        for name in words.ASPECTS
        if (states := aspects.get(name)) and states.get("not_looked_at")
    ]
    return [*said, " ".join(parts.never_tested(say))]


def _differs(
    beside: SideBySide, noted: Sequence[Noted], papers: Sequence[str], say: Phrases
) -> list[str]:
    """What is open: print and list first, then papers, what is missing, units beside each other.

    What a person set aside stands in a section of its own.
    """
    open_ = [one for one in noted if not one.aside]
    said = [_point(one, say) for one in open_ if one.kind != "missing"]
    said += papers
    said += [_point(one, say) for one in open_ if one.kind == "missing"]
    said += [as_said(one.says(say)) for one in beside.across if not _answer(one, beside)]
    return _most(said, say) or [say("front.none_differs")]


def _set_aside(beside: SideBySide, noted: Sequence[Noted], say: Phrases) -> list[str]:
    """What people set aside, with who did so and why."""
    said = [f"{_point(one, say)} {one.aside}" for one in noted if one.aside]
    said += [
        f"{as_said(one.says(say))} {sentence(answer, say)}"
        for one in beside.across
        if (answer := _answer(one, beside)) is not None
    ]
    return _most(said, say)


def _answer(one: Across, beside: SideBySide) -> Entry | None:
    return answers.standing(beside.answers).get(("", one.id))


def _point(one: Noted, say: Phrases) -> str:
    return say("message.point", says=one.plain, n=len(one.units))


def _most(said: Sequence[str], say: Phrases) -> list[str]:
    more = len(said) - _MOST
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
    told = [as_said(one.said(say)) for one in found.statements[:3]]
    # before anything was looked at: what the plan can show
    return [
        *said,
        *(told or [as_said(plans.said(one, say)) for one in content["statements"][:2]]),
    ]


def _list(conn: Connection, found: Overview, rulebook: Rulebook, say: Phrases) -> list[str]:
    counted = Counter(
        words.which_list(part.holder_match, say)
        for unit in found.units
        for part in judged(conn, unit, rulebook).parts[:1]
        if part.holder_match.list_name
    )
    said = [say("front.lists", list=name, n=n) for name, n in counted.most_common(_LISTS)]
    rules = say("front.rules", edition=rulebook.edition)
    return [*(said or [say("front.no_list")]), rules, *_looked_up(found, say)]


def _looked_up(found: Overview, say: Phrases) -> list[str]:
    """That nobody looked, or on which papers of the goods a look-up rests."""
    if not found.look_ups:
        return [say("lookup.none")]
    papers = dict.fromkeys(one.paper for one in found.look_ups if one.paper and not one.paper_lack)
    return [say("front.on_paper", paper=shown(paper)) for paper in papers]


def _decision(found: Overview, say: Phrases) -> list[str]:
    if not found.decisions:
        said = [say("report.decisions.none")]
    else:
        section = parts.decisions(found.decisions[-2:], say)
        rows = section.table.rows if section.table is not None else ()
        said = [" – ".join(cell for cell in row if cell) for row in rows]
    shut = [one.says(say) for one in found.in_the_way]
    return [*said, *_most(shut, say)]
