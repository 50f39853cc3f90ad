"""Many units to one picture of the consignment. The worst outcome is the outcome."""

from collections import Counter
from collections.abc import Iterable, Sequence

from inkwitness.consignment.values import RollUp, UnitState, worst

NOT_READ = "not_looked_at"


def roll_up(units: Iterable[UnitState], drawn: Sequence[str] = ()) -> RollUp:
    """Put units together; `drawn` are the places of the draw, in the order they were drawn.

    A place counts as looked at once a single unit attached to it was read. A group does not: its
    members were not chosen by lot.
    """
    everything = list(units)
    singles = [unit for unit in everything if unit.kind == "unit"]
    by_outcome = Counter(unit.outcome or NOT_READ for unit in everything)
    pieces = Counter[str]()
    for unit in everything:
        pieces[unit.outcome or NOT_READ] += unit.count
    wanted = set(drawn)
    at_place = [u for u in singles if u.place in wanted and u.outcome is not None]
    return RollUp(
        units=len(singles),
        groups=len(everything) - len(singles),
        pieces=sum(unit.count for unit in everything),
        looked_at=sum(unit.outcome is not None for unit in singles),
        by_outcome=dict(by_outcome),
        pieces_by_outcome=dict(pieces),
        outcome=worst(unit.outcome for unit in everything),
        confirmed=sum(unit.basis == "confirmed" for unit in everything),
        not_read=sum(any(p.outcome is None for p in u.photos) or not u.photos for u in everything),
        drawn=len(wanted),
        drawn_looked_at=len({unit.place for unit in at_place}),
        drawn_differed=len({unit.place for unit in at_place if unit.outcome == "conflict"}),
    )
