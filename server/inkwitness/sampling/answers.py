"""The questions a person asks, each answered whole: numbers and sentences together.

The command line and the web interface both call these and only show what comes back.
"""

from dataclasses import dataclass

from inkwitness.errors import BadInput
from inkwitness.sampling import arguments as given
from inkwitness.sampling.arguments import Exact, Looked
from inkwitness.sampling.bounds import (
    fewest_nonconforming,
    fewest_nonconforming_share,
    most_nonconforming,
    most_nonconforming_share,
)
from inkwitness.sampling.cartons import (
    CartonPlan,
    CartonQuestion,
    carton_plan,
    concentrated,
    notice_cartons,
    spread,
)
from inkwitness.sampling.curve import Curve, oc_curve
from inkwitness.sampling.discovery import discovery_n, nonconforming_wanted, notice
from inkwitness.sampling.draw import Draw, draw, draw_over_cartons, draw_over_lots
from inkwitness.sampling.every_carton import every_carton_n
from inkwitness.sampling.false_alarms import Estimate, estimate
from inkwitness.sampling.frame import names
from inkwitness.sampling.plans import Plan, plan_for_lot
from inkwitness.sampling.statements import (
    Statement,
    about_estimate,
    about_plan,
    after_process,
    after_sample,
    before_cartons,
    before_discovery,
    before_every_carton,
    every_carton_left,
    nonconforming_cartons_left,
    state,
)


@dataclass(frozen=True, slots=True)
class DiscoveryAnswer:
    """`n` None: no sample size can do it, as the first statement says. `chance` is the one reached.

    `per_carton` is the number to look at in every carton instead, where cartons were given.
    """

    n: int | None
    nonconforming: int
    lot: int
    chance: float
    per_carton: int | None
    statements: tuple[Statement, ...]


@dataclass(frozen=True, slots=True)
class PlanAnswer:
    """An attribute plan and how it may be used."""

    plan: Plan
    statements: tuple[Statement, ...]


@dataclass(frozen=True, slots=True)
class CartonAnswer:
    """`plan` None: no plan can do it, as the first statement says.

    `few_cartons` takes the same units from whole cartons; `every_carton` takes at least as many,
    the same number from each carton. Both are for comparison.
    """

    plan: CartonPlan | None
    few_cartons: CartonPlan | None
    every_carton: CartonPlan | None
    statements: tuple[Statement, ...]


@dataclass(frozen=True, slots=True)
class BoundAnswer:
    """Bounds, each one-sided. Units are None for a process, which has no lot.

    Only a random sample of units, or one from every carton, excludes a number of units; for other
    designs `at_most` is all that were not looked at. `nonconforming_cartons_at_most` counts cartons
    nonconforming throughout, for a draw by carton in which none differed.
    """

    at_most: int | None
    share: float
    at_least: int | None
    least_share: float
    nonconforming_cartons_at_most: int | None
    statements: tuple[Statement, ...]


@dataclass(frozen=True, slots=True)
class EstimateAnswer:
    """A share corrected for both error rates."""

    estimate: Estimate
    statements: tuple[Statement, ...]


@dataclass(frozen=True, slots=True)
class DrawAnswer:
    """A draw and the rule by which anyone can repeat it."""

    draw: Draw
    statements: tuple[Statement, ...]


def answer_discovery(
    lot: int,
    *,
    nonconforming_share: Exact | None = None,
    nonconforming: int | None = None,
    confidence: Exact = "0.95",
    sensitivity: Exact = 1,
    cartons: int | None = None,
) -> DiscoveryAnswer:
    """How many to look at so that this many nonconforming units would show."""
    given.lot_size(lot)
    asked = nonconforming_wanted(lot, nonconforming_share, nonconforming)
    n = discovery_n(lot, asked, confidence, sensitivity)
    said = before_discovery(lot, asked, confidence, sensitivity, n)
    chance = notice(lot, asked, lot if n is None else n, sensitivity)
    in_each = None
    if cartons is not None:
        given.between(cartons, 1, given.LARGEST_LOT, "sample_cartons")
        given.between(cartons, 1, lot, "sample_cartons_over_lot", lot=lot)
        fullest = -(-lot // cartons)
        in_each = every_carton_n(cartons, fullest, asked, confidence, sensitivity)
        said = (*said, before_every_carton(cartons, fullest, asked, in_each, sensitivity))
    return DiscoveryAnswer(n, asked, lot, chance, in_each, said)


def answer_plan(
    lot: int, level: str = "II", aql: str = "1.5", inspection: str = "normal"
) -> PlanAnswer:
    """The MIL-STD-105E plan for ordinary faults."""
    plan = plan_for_lot(lot, level, aql, inspection)
    return PlanAnswer(plan, about_plan(plan, lot))


def answer_cartons(question: CartonQuestion, confidence: Exact = "0.95") -> CartonAnswer:
    """How many cartons to open and how many units to look at in each."""
    plan = carton_plan(question, confidence)
    everything = notice_cartons(question, question.cartons, question.per_carton)
    said = before_cartons(question, plan, everything, confidence)
    if plan is None:
        return CartonAnswer(None, None, None, said)
    few, every = concentrated(question, plan.units), spread(question, plan.units)
    return CartonAnswer(plan, few, every, said)


def answer_bound(looked: Looked, confidence: Exact = "0.95", sensitivity: Exact = 1) -> BoundAnswer:
    """How many of the lot may be nonconforming after this sample."""
    lot, n, differed = looked.lot, looked.looked_at, looked.differed
    if looked.design == "random":
        # open units count as differing above and as agreeing below
        most = most_nonconforming(
            lot, looked.units, differed + looked.open, confidence, sensitivity
        )
        least = fewest_nonconforming(lot, looked.units, differed, confidence, sensitivity)
    elif (found := every_carton_left(looked, confidence, sensitivity)) is not None:
        most, least = found, 0
    else:
        most = lot - (n - differed) if given.sensitivity(sensitivity) == 1 else lot
        least = differed
    cartons = nonconforming_cartons_left(looked, confidence, sensitivity)
    said = after_sample(looked, confidence, sensitivity)
    return BoundAnswer(most, most / lot, least, least / lot, cartons, said)


def answer_process(
    looked_at: int, differed: int, confidence: Exact = "0.95", sensitivity: Exact = 1
) -> BoundAnswer:
    """The same for a source of units without a lot."""
    most = most_nonconforming_share(looked_at, differed, confidence, sensitivity)
    least = fewest_nonconforming_share(looked_at, differed, confidence, sensitivity)
    said = after_process(looked_at, differed, confidence, sensitivity)
    return BoundAnswer(None, most, None, least, None, said)


def answer_estimate(
    looked_at: int,
    flagged: int,
    sensitivity: Exact,
    specificity: Exact,
    confidence: Exact = "0.95",
) -> EstimateAnswer:
    """The nonconforming share behind unconfirmed flags, where both error rates are known."""
    result = estimate(looked_at, flagged, sensitivity, specificity, confidence)
    said = about_estimate(looked_at, flagged, sensitivity, specificity, confidence, result)
    return EstimateAnswer(result, said)


def answer_draw(
    units: list[str],
    seed: str,
    *,
    n: int | None = None,
    lots: bool = False,
    cartons: int | None = None,
    per_carton: int | None = None,
    reserve: int = 10,
) -> DrawAnswer:
    """Which units to look at: `n` of all, `n` over the lots, or `per_carton` in `cartons`."""
    frame = names(units)
    if cartons is None and per_carton is None:
        if n is None:
            raise BadInput("sample_draw_n_missing")
        drawn = (draw_over_lots if lots else draw)(frame, n, seed, reserve=reserve)
        rule = "draw.rule_lots" if lots else "draw.rule"
        return DrawAnswer(drawn, (state(rule, n=len(drawn.units)),))
    if cartons is None or per_carton is None:
        raise BadInput("sample_draw_carton_half")
    if lots or n is not None:
        raise BadInput("sample_draw_kind")
    drawn = draw_over_cartons(frame, cartons, per_carton, seed, reserve=reserve)
    said = state("draw.rule_cartons", cartons=cartons, per_carton=per_carton, n=len(drawn.units))
    return DrawAnswer(drawn, (said,))


def answer_curve(
    lot: int,
    n: int,
    *,
    accept: int = 0,
    sensitivity: Exact = 1,
    nonconforming_share: Exact | None = None,
    nonconforming: int | None = None,
) -> Curve:
    """The curve of a sample, with the number of nonconforming units asked about marked on it."""
    given.lot_size(lot)
    asked = nonconforming_share is not None or nonconforming is not None
    marks = (nonconforming_wanted(lot, nonconforming_share, nonconforming),) if asked else ()
    return oc_curve(lot, n, accept, sensitivity, marks=marks)
