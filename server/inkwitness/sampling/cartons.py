"""Nonconforming units come in whole cartons, so the carton is what must be counted first.

300 units from 6 cartons of 100 notice one nonconforming carton with probability 6 %; 3 units from
each of the 100 always do. The chance is computed for the design really used: cartons drawn at
random, then units drawn at random within each.

>>> whole = CartonQuestion(cartons=100, per_carton=200, nonconforming_cartons=1)
>>> round(notice_cartons(whole, opened=6, looked_at=50), 6)
0.06
>>> round(notice_cartons(whole, opened=100, looked_at=1), 6)
1.0
"""

from dataclasses import dataclass
from fractions import Fraction

from inkwitness.sampling import arguments as given
from inkwitness.sampling.arguments import Exact
from inkwitness.sampling.chance import at_most_seen, smallest
from inkwitness.sampling.discovery import discovery_n, miss


@dataclass(frozen=True, slots=True)
class CartonQuestion:
    """So many nonconforming cartons, each with `nonconforming_inside` such units (None: all).

    `sensitivity` is P(noticed | a nonconforming unit is looked at).
    """

    cartons: int
    per_carton: int
    nonconforming_cartons: int
    nonconforming_inside: int | None = None
    sensitivity: Exact = 1

    def __post_init__(self) -> None:
        given.between(self.cartons, 1, given.LARGEST_LOT, "sample_cartons")
        given.between(self.per_carton, 1, given.LARGEST_LOT, "sample_per_carton")
        given.lot_size(self.cartons * self.per_carton)
        given.between(
            self.nonconforming_cartons,
            1,
            self.cartons,
            "sample_nonconforming_cartons",
            cartons=self.cartons,
        )
        given.between(
            self.nonconforming,
            1,
            self.per_carton,
            "sample_nonconforming_inside",
            per_carton=self.per_carton,
        )
        given.sensitivity(self.sensitivity)

    @property
    def nonconforming(self) -> int:
        """Nonconforming units in a nonconforming carton."""
        return self.per_carton if self.nonconforming_inside is None else self.nonconforming_inside


@dataclass(frozen=True, slots=True)
class CartonPlan:
    """Open `opened` cartons, look at `looked_at` units in each; `chance` of noticing."""

    opened: int
    looked_at: int
    chance: float

    @property
    def units(self) -> int:
        return self.opened * self.looked_at


def carton_sensitivity(
    per_carton: int, nonconforming: int, looked_at: int, sensitivity: Exact = 1
) -> float:
    """P(a nonconforming carton that was opened shows it)."""
    given.between(
        nonconforming, 1, per_carton, "sample_nonconforming_inside", per_carton=per_carton
    )
    given.between(looked_at, 1, per_carton, "sample_looked_in_carton", per_carton=per_carton)
    return 1.0 - miss(per_carton, nonconforming, looked_at, sensitivity)


def notice_cartons(question: CartonQuestion, opened: int, looked_at: int) -> float:
    """P(at least one is noticed) by `looked_at` units in each of `opened` cartons."""
    q = question
    given.between(opened, 1, q.cartons, "sample_opened", cartons=q.cartons)
    shown = carton_sensitivity(q.per_carton, q.nonconforming, looked_at, q.sensitivity)
    return 1.0 - at_most_seen(q.cartons, q.nonconforming_cartons, opened, 0, shown)


def carton_plan(question: CartonQuestion, confidence: Exact) -> CartonPlan | None:
    """The plan that looks at the fewest units in each carton, then opens the fewest cartons.

    Where a nonconforming carton holds several such units, the same units spread over more cartons
    notice more (with a single one in each, a hair less), so the number in each carton is raised
    only when all cartons opened do not suffice. None where every unit looked at falls short.
    """
    q = question
    given.confidence(confidence)
    if q.nonconforming == q.per_carton and Fraction(given.sensitivity(q.sensitivity)) == 1:
        opened = discovery_n(q.cartons, q.nonconforming_cartons, confidence)
        return None if opened is None else CartonPlan(opened, 1, notice_cartons(q, opened, 1))
    wanted = float(given.confidence(confidence)) - 1e-12

    def enough(opened: int, looked_at: int) -> bool:
        return notice_cartons(q, opened, looked_at) >= wanted

    if not enough(q.cartons, q.per_carton):
        return None
    looked_at = smallest(1, q.per_carton, lambda units: enough(q.cartons, units))
    opened = smallest(1, q.cartons, lambda cartons: enough(cartons, looked_at))
    return CartonPlan(opened, looked_at, notice_cartons(q, opened, looked_at))


def concentrated(question: CartonQuestion, units: int) -> CartonPlan:
    """The same number of units, taken as whole cartons from as few cartons as hold them."""
    q = question
    opened = min(q.cartons, max(1, -(-units // q.per_carton)))
    looked_at = min(q.per_carton, -(-units // opened))
    return CartonPlan(opened, looked_at, notice_cartons(q, opened, looked_at))


def spread(question: CartonQuestion, units: int) -> CartonPlan:
    """At least `units`, the same number from every carton: one from each if `units` is smaller."""
    q = question
    given.sample_size(units, q.cartons * q.per_carton)
    looked_at = -(-units // q.cartons)
    return CartonPlan(q.cartons, looked_at, notice_cartons(q, q.cartons, looked_at))
