"""Which units to look at, in an order that anyone can repeat with a hash tool.

The ticket of a unit is SHA-256 of the UTF-8 text `seed|unit`; units are taken in ascending order
of their tickets in hexadecimal. The seed is made in public after the list is fixed, never by one
party, never retried. No library's random generator is involved.

>>> drawn = draw(("C001", "C002", "C003"), 2, "consignment 2026-117")
>>> [unit.unit for unit in drawn.units], [unit.unit for unit in drawn.reserve]
(['C001', 'C003'], ['C002'])
"""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from inkwitness.errors import BadInput
from inkwitness.sampling import arguments as given
from inkwitness.sampling.frame import by_carton, by_lot, frame_hash


@dataclass(frozen=True, slots=True)
class DrawnUnit:
    """A unit, its place in the draw (from 1), the lot or carton it was drawn from, its ticket."""

    rank: int
    unit: str
    group: str
    sha256: str


@dataclass(frozen=True, slots=True)
class Draw:
    """A draw with all that is needed to repeat it. `kind` names the rule: units, lots or cartons.

    `reserve` holds the next units in order, for those missing or unreadable.
    """

    kind: str
    seed: str
    frame: int
    frame_sha256: str
    units: tuple[DrawnUnit, ...]
    reserve: tuple[DrawnUnit, ...]
    cartons: tuple[str, ...] = ()


def ticket(seed: str, unit: str) -> str:
    """SHA-256 of UTF-8 `seed|unit`, hexadecimal."""
    return hashlib.sha256(f"{seed}|{unit}".encode()).hexdigest()


def ordered(units: Sequence[str], seed: str) -> tuple[tuple[str, str], ...]:
    """Pairs of ticket and unit, in the order of the draw."""
    return tuple(sorted((ticket(seed, unit), unit) for unit in units))


def draw(units: Sequence[str], n: int, seed: str, *, reserve: int = 10) -> Draw:
    """The first `n` units. A larger `n` later keeps the earlier units and adds to them."""
    _checked(units, n, seed, reserve)
    chosen = tuple(
        DrawnUnit(rank, unit, "", key)
        for rank, (key, unit) in enumerate(ordered(units, seed)[: n + reserve], 1)
    )
    return Draw("units", seed, len(units), frame_hash(units), chosen[:n], chosen[n:])


def draw_over_lots(units: Sequence[str], n: int, seed: str, *, reserve: int = 10) -> Draw:
    """`n` units spread over the lots in proportion, at least one from each (so perhaps more).

    Units are named `lot/...`. `reserve` is for each lot, since a replacement comes from the same
    lot. When `n` grows, a lot's part may shrink by one unit; units looked at are then kept too.
    """
    _checked(units, n, seed, reserve)
    lots = by_lot(units)
    parts = allocate(tuple(map(len, lots.values())), n)
    return _grouped("lots", units, seed, lots, dict(zip(lots, parts, strict=True)), reserve)


def draw_over_cartons(
    units: Sequence[str], cartons: int, per_carton: int, seed: str, *, reserve: int = 2
) -> Draw:
    """Two stages: `cartons` opened in the order of their own tickets, `per_carton` units in each.

    Units are named `carton/unit`; the carton is all before the last "/". With cartons of unequal
    size this draw does not give every unit the same chance: draw units instead.
    """
    groups = by_carton(units)
    given.between(cartons, 1, len(groups), "sample_draw_cartons", cartons=len(groups))
    given.between(per_carton, 1, given.LARGEST_LOT, "sample_per_carton")
    _checked(units, 1, seed, reserve)
    opened = [carton for _, carton in ordered(tuple(groups), seed)[:cartons]]
    for carton in opened:
        if len(groups[carton]) < per_carton:
            raise BadInput(
                "sample_carton_short",
                carton=carton,
                value=len(groups[carton]),
                per_carton=per_carton,
            )
    parts = dict.fromkeys(opened, per_carton)
    return _grouped("cartons", units, seed, groups, parts, reserve, tuple(opened))


def draw_each_lot(
    units: Sequence[str],
    wanted: Mapping[str, int],
    seed: str,
    *,
    cartons: int | None = None,
    reserve: int = 2,
) -> Draw:
    """So many units of each lot. With `cartons`, only from so many of all cartons.

    The cartons are the first in the order of their tickets; a lot of which none is among them gets
    its own first carton too. In a lot its units are spread over its opened cartons as evenly as
    can be. Units are named `lot/...`, with `cartons` `lot/carton/unit`. `reserve` is for each lot
    or carton. Raises BadInput where a lot's opened cartons hold too few units.
    """
    _checked(units, 1, seed, reserve)
    lots = by_lot(units)
    if cartons is None:
        return _grouped("lots", units, seed, lots, dict(wanted), reserve)
    groups = by_carton(units)
    given.between(cartons, 1, len(groups), "sample_draw_cartons", cartons=len(groups))
    order = [carton for _, carton in ordered(tuple(groups), seed)]
    opened = order[:cartons]
    for lot in lots:
        if not any(_lot(carton) == lot for carton in opened):
            opened.append(next(carton for carton in order if _lot(carton) == lot))
    parts: dict[str, int] = {}
    for lot, n in wanted.items():
        mine = [carton for carton in opened if _lot(carton) == lot]
        each, more = divmod(n, len(mine))
        for place, carton in enumerate(mine):
            parts[carton] = each + (place < more)
            if len(groups[carton]) < parts[carton]:
                raise BadInput(
                    "sample_carton_short",
                    carton=carton,
                    value=len(groups[carton]),
                    per_carton=parts[carton],
                )
    return _grouped("lot_cartons", units, seed, groups, parts, reserve, tuple(opened))


def _lot(name: str) -> str:
    return name.partition("/")[0]


def allocate(sizes: Sequence[int], n: int) -> tuple[int, ...]:
    """`n` spread over strata in proportion to `sizes`, then at least one from each.

    Largest remainders (Hamilton), ties to the earlier stratum, in whole numbers.

    >>> allocate((12000, 6000, 2000), 296), allocate((9900, 80, 20), 50)
    ((178, 89, 29), (50, 1, 1))
    """
    total = sum(sizes)
    parts = [n * size // total for size in sizes]
    by_remainder = sorted(range(len(sizes)), key=lambda i: (-(n * sizes[i] % total), i))
    for i in by_remainder[: n - sum(parts)]:
        parts[i] += 1
    return tuple(max(1, part) for part in parts)


def _grouped(
    kind: str,
    units: Sequence[str],
    seed: str,
    groups: Mapping[str, tuple[str, ...]],
    parts: Mapping[str, int],
    reserve: int,
    opened: tuple[str, ...] = (),
) -> Draw:
    taken: list[DrawnUnit] = []
    spare: list[DrawnUnit] = []
    for group, part in parts.items():
        order = ordered(groups[group], seed)
        for rank, (key, unit) in enumerate(order[: part + reserve], 1):
            if rank <= part:
                taken.append(DrawnUnit(len(taken) + 1, unit, group, key))
            else:
                spare.append(DrawnUnit(rank, unit, group, key))
    return Draw(kind, seed, len(units), frame_hash(units), tuple(taken), tuple(spare), opened)


def _checked(units: Sequence[str], n: int, seed: str, reserve: int) -> None:
    if not seed.strip():
        raise BadInput("sample_seed")
    if not seed.isprintable():  # lone surrogates have no UTF-8; line breaks get lost in a record
        raise BadInput("sample_seed_letters")
    if not units:
        raise BadInput("sample_no_units")
    given.between(n, 1, len(units), "sample_draw_n", units=len(units))
    given.between(reserve, 0, given.LARGEST_LOT, "sample_reserve")
