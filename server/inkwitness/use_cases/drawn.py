"""What the drawn units of a consignment show: places, lots of a draw, statements on them."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from inkwitness.consignment.sample import counted
from inkwitness.consignment.values import rank, worst
from inkwitness.findings.outcome import Outcome
from inkwitness.records.chain import Entry
from inkwitness.records.units import UnitSummary
from inkwitness.sampling import answers
from inkwitness.sampling.arguments import Looked
from inkwitness.sampling.frame import names
from inkwitness.sampling.statements import Statement, cartons_missed
from inkwitness.use_cases import plans


@dataclass(frozen=True, slots=True)
class Place:
    """One drawn place, and the unit that was looked at there, if any."""

    rank: int
    place: str
    group: str
    sha256: str
    unit: UnitSummary | None

    @property
    def confirmed(self) -> bool:
        return self.unit is not None and self.unit.basis == "confirmed"


@dataclass(frozen=True, slots=True)
class LotSample:
    """One lot of a draw that was spread over the lots, with what its own sample shows.

    Within a lot the units were drawn at random, so the statement is one about the lot. It is empty
    until every unit drawn from the lot was looked at and confirmed.
    """

    code: str
    units: int
    drawn: int
    left_to_do: int
    outcome: Outcome | None
    statements: tuple[Statement, ...]


def of_lots(plan: Entry, drawn: tuple[Place, ...], apart: set[str]) -> tuple[LotSample, ...]:
    """The lots of a draw over lots, the worst first; none for another draw."""
    kind = plan.content["draw"]["kind"]
    if kind not in ("lots", "lot_cartons"):
        return ()
    frame = names(plan.content["question"]["units"])
    sizes = Counter(name.partition("/")[0] for name in frame)
    cartons = Counter(carton.partition("/")[0] for carton in {n.rpartition("/")[0] for n in frame})
    found = []
    for code, size in sizes.items():
        mine = tuple(place for place in drawn if place.place.partition("/")[0] == code)
        opened = cartons_of(mine) if kind == "lot_cartons" else None
        in_cartons = (cartons[code], opened) if opened is not None else None
        design = "random" if in_cartons is None else "cartons"
        left = sum(not place.confirmed for place in mine)
        found.append(
            LotSample(
                code,
                size,
                len(mine),
                left,
                worst(place.unit.outcome for place in mine if place.unit is not None),
                _said(plan, mine, apart, size, design, in_cartons) if mine and not left else (),
            )
        )
    return tuple(sorted(found, key=lambda lot: rank(lot.outcome)))


def places(made: Sequence[Entry], which: str, at: dict[str, UnitSummary]) -> tuple[Place, ...]:
    """The places of these draws, each once."""
    drawn: dict[str, dict[str, Any]] = {}
    for plan in made:
        for one in plan.content["draw"][which]:
            drawn.setdefault(one["unit"], one)
    return tuple(
        Place(one["rank"], one["unit"], one["group"], one["sha256"], at.get(one["unit"]))
        for one in drawn.values()
    )


def after(plan: Entry, drawn: tuple[Place, ...], apart: set[str]) -> tuple[Statement, ...]:
    """What a sample shows of which every unit was looked at; `apart` are units set apart."""
    by_carton = plan.content["draw"]["kind"] in ("cartons", "lot_cartons")
    design = "cartons" if by_carton else "random"
    opened = cartons_of(drawn)
    cartons = _frame_cartons(plan) if opened is not None else None
    in_cartons = (cartons, opened) if cartons is not None and opened is not None else None
    told = _said(plan, drawn, apart, plan.content["lot"], design, in_cartons)
    if in_cartons is None or plan.content["draw"]["kind"] != "lot_cartons":
        return told
    missed = cartons_missed(*in_cartons, plan.content["question"]["nonconforming_cartons"])
    return (*told[:1], missed, *told[1:])


def _said(
    plan: Entry,
    drawn: tuple[Place, ...],
    apart: set[str],
    lot: int,
    design: str,
    in_cartons: tuple[int, int] | None,
) -> tuple[Statement, ...]:
    """The statements on these drawn units of `lot`; `in_cartons`: cartons, and those opened."""
    question = plan.content["question"]
    found = counted(
        (unit.outcome, unit.unit_id in apart)
        for place in drawn
        if (unit := place.unit) is not None and unit.outcome is not None
    )
    looked = Looked(
        lot=lot,
        looked_at=found.differed + found.agreeing,
        differed=found.differed,
        lacking=found.lacking,
        untold=found.untold,
        set_apart=found.set_apart,
        seed=question["seed"],
        design=design,
        cartons=in_cartons[0] if in_cartons else None,
        opened=in_cartons[1] if in_cartons else None,
    )
    answer = answers.answer_bound(looked, question["confidence"], question["sensitivity"])
    return answer.statements


def cartons_of(drawn: tuple[Place, ...]) -> int | None:
    """How many cartons the looked-at units came from; None where names tell no carton."""
    seen = [place.place for place in drawn if place.unit is not None]
    if not seen or any("/" not in place for place in seen):
        return None
    return len({place.rpartition("/")[0] for place in seen})


def _frame_cartons(plan: Entry) -> int | None:
    if "frame_cartons" in plan.content:
        found: int | None = plan.content["frame_cartons"]
        return found
    return plans.cartons_of(names(list(plan.content["question"]["units"])))
