"""What is not seen where it must stand, and the print without a label that could be it.

A mark is looked for on the surfaces of its own: the mask with its straps, each kind of packaging. A
piece of print that only its place names may be a mark that is not seen, and each piece one mark
only: where pieces are fewer than the marks that they could be, one of these is missing.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from inkwitness.findings.evidence import PACKAGING, Evidence, answers, surface_names
from inkwitness.findings.values import Finding, Placed, Surface
from inkwitness.rulebook.kinds import RequiresMark, Seen
from inkwitness.rulebook.values import Rule, Rulebook

#: Marks that stand on goods without a label: a name, a model, a lot, a date in digits.
FREE_NAMES = frozenset({"manufacturer", "model", "lot", "manufacture_date", "expiry_date"})
#: Four digits by themselves: a body's number, or as well a model.
SHARED_INK = frozenset({"lone_number"})
COULD_BE_IT = "print-left-could-be-it"
FEWER = "fewer-prints-than-names"

Piece = tuple[int, int | None, tuple[int, int] | None, str]


@dataclass(frozen=True, slots=True)
class Unseen:
    """A mark that is not seen where a rule wants it.

    `names` are the marks that would do, one of them; `surfaces` were looked at; `could_miss` says
    whether they were photographed whole; `pieces` is the free print that could be it.
    """

    names: frozenset[str]
    surfaces: frozenset[Surface]
    could_miss: bool
    pieces: frozenset[Piece]


def unseen_marks(
    check: RequiresMark, rule: Rule, evidence: Evidence, rulebook: Rulebook
) -> Iterator[Unseen]:
    """One for each group of photographed surfaces on which the wanted mark is not seen."""
    required, others = _surfaces(check, rule, rulebook)
    wanted = (Seen(mark=check.mark, matches=check.matches), *check.or_mark)
    found = {placed.surface for seen in wanted for placed in evidence.find(seen)}
    elsewhere = others & PACKAGING if rule.severity == "missing" else frozenset()
    # Print on the box does not stand in for what the unit itself must carry, nor the other way
    # round; one packaging stands in for another.
    groups = (required - PACKAGING, required & PACKAGING) if required else (evidence.surfaces,)
    for group in groups:
        photographed = _of_the_scheme(evidence.surfaces & group, rule.scheme, evidence)
        places = group | others if required else others
        if not photographed or (found & places if places else found):
            continue
        near = places or evidence.surfaces
        if not _claimed_there(rule, near, evidence):
            continue
        whole = photographed <= evidence.seen_whole and (
            not elsewhere or bool(elsewhere & evidence.seen_whole)
        )
        names = frozenset(seen.mark for seen in wanted)
        yield Unseen(names, photographed, whole, _pieces(wanted, near, evidence))


def _surfaces(
    check: RequiresMark, rule: Rule, rulebook: Rulebook
) -> tuple[frozenset[Surface], frozenset[Surface]]:
    """The surfaces that must show the mark, and those where it may stand instead."""
    scheme = rulebook.scheme(rule.scheme)
    mark = next(
        (mark for mark in (scheme.marks if scheme else ()) if mark.mark == check.mark), None
    )
    if check.on:
        return frozenset(check.on), frozenset()
    if mark is None:
        return frozenset(), frozenset()
    wanted = mark.recommended_on or mark.required_on
    must = mark.required_on if rule.severity == "missing" else wanted
    return frozenset(must), frozenset(mark.may_stand_on)


def _of_the_scheme(
    surfaces: frozenset[Surface], scheme: str, evidence: Evidence
) -> frozenset[Surface]:
    """Those that claim the scheme, or none at all: a box of one scheme says nothing of a mask that
    is marked for another."""
    claims = evidence.claimed_on
    return frozenset(
        surface
        for surface in surfaces
        if not scheme or not claims.get(surface) or scheme in claims[surface]
    )


def _claimed_there(rule: Rule, near: frozenset[Surface], evidence: Evidence) -> bool:
    """Whether the marks that the rule speaks of stand there too, not only elsewhere on the unit."""

    def there(seen: Seen) -> bool:
        return any(placed.surface in near for placed in evidence.find(seen))

    asked = rule.when.any_seen
    return all(there(seen) for seen in rule.when.seen) and (not asked or any(map(there, asked)))


def _pieces(
    wanted: Sequence[Seen], surfaces: frozenset[Surface], evidence: Evidence
) -> frozenset[Piece]:
    """The free print that could be what is wanted, but for ink that has a name already."""
    named = {piece_of(p) for p in evidence.placed if p.mark.mark not in SHARED_INK}
    free = {
        piece_of(placed)
        for placed in evidence.free
        if placed.mark.mark in FREE_NAMES
        and placed.surface in surfaces
        and any(answers(placed.mark, seen) for seen in wanted)
    }
    return frozenset(free - named)


def piece_of(placed: Placed) -> Piece:
    """The ink of a mark: the same ink may be offered under several names."""
    mark = placed.mark
    # Without a place on a line, only the letters can tell one piece from another.
    return placed.photo, mark.line, mark.span, "" if mark.span else mark.printed


@dataclass(frozen=True, slots=True)
class Wanted:
    """A finding that a mark is missing, and the free print that could be it."""

    finding: Finding
    unseen: Unseen


def with_free_print(wanted: Sequence[Wanted]) -> tuple[Finding, ...]:
    """The findings on unseen marks, as far as free print leaves them.

    `wanted` are *missing* findings on marks that can stand without a label. Marks that share free
    print are looked at together: as many pieces as marks, and each is only asked about; fewer, and
    one finding says that one of them is missing (`maker or model`); none, and each is missing.
    """
    done: list[Finding] = []
    for group in _sharing(wanted):
        needs = _distinct([one.unseen.names for one in group])
        pieces = {names: frozenset[Piece]() for names in needs}
        for one in group:
            for names in needs:
                if names <= one.unseen.names:
                    pieces[names] |= one.unseen.pieces
        if not any(pieces.values()):
            done += [one.finding for one in group]
        elif _matched(pieces) == len(needs):
            done += [_asked(one) for one in group]
        else:
            done.append(_fewer(group, needs))
    return tuple(done)


def _sharing(wanted: Sequence[Wanted]) -> list[list[Wanted]]:
    """Groups of findings that are linked by a piece of print or by a name."""
    groups: list[list[Wanted]] = []
    for one in wanted:
        linked = [group for group in groups if any(_linked(one, other) for other in group)]
        groups = [group for group in groups if group not in linked]
        groups.append([*(other for group in linked for other in group), one])
    return groups


def _linked(one: Wanted, other: Wanted) -> bool:
    same = one.unseen.surfaces & other.unseen.surfaces and one.unseen.names & other.unseen.names
    return bool(same or one.unseen.pieces & other.unseen.pieces)


def _distinct(names: Sequence[frozenset[str]]) -> list[frozenset[str]]:
    """What is wanted, each once: a lot does where a lot or a date is wanted."""
    return [one for one in dict.fromkeys(names) if not any(other < one for other in names)]


def _matched(pieces: dict[frozenset[str], frozenset[Piece]]) -> int:
    """How many names can have a piece of their own (augmenting paths)."""
    taken: dict[Piece, frozenset[str]] = {}

    def place(names: frozenset[str], tried: set[Piece]) -> bool:
        for piece in sorted(pieces[names] - tried, key=repr):
            tried.add(piece)
            if piece not in taken or place(taken[piece], tried):
                taken[piece] = names
                return True
        return False

    return sum(place(names, set()) for names in pieces)


def _asked(one: Wanted) -> Finding:
    values = _without_frames(one.finding) | {"rule": one.finding.rule}
    return replace(one.finding, rule=COULD_BE_IT, values=tuple(values.items()), question=True)


def _without_frames(finding: Finding) -> dict[str, str]:
    return {name: value for name, value in finding.values if name != "frames"}


def _fewer(group: Sequence[Wanted], needs: Sequence[frozenset[str]]) -> Finding:
    first = group[0].finding
    names = tuple(sorted(frozenset[str]().union(*needs), key=_order))
    surfaces = frozenset[Surface]().union(*(one.unseen.surfaces for one in group))
    values = {
        **_without_frames(first),
        "rule": first.rule,
        "mark": ",".join(names),
        "surface": surface_names(surfaces),
    }
    return replace(
        first,
        rule=FEWER,
        marks=names,
        question=all(one.finding.question for one in group),
        values=tuple(values.items()),
    )


def _order(name: str) -> int:
    order = ("manufacturer", "model", "lot", "manufacture_date", "expiry_date")
    return order.index(name) if name in order else len(order)
