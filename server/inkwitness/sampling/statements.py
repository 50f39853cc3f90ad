"""What may be said: each statement is a key of the phrase book with its values.

Nothing here says what a unit is; it says what a sample drawn in this way would have shown. What
was not looked at is said each time, and one confirmed conflict ends the sampling question.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from inkwitness.phrases import Phrases, Said, Sentence, Value
from inkwitness.sampling import arguments as given
from inkwitness.sampling.arguments import Exact, Looked, percent, plain
from inkwitness.sampling.bounds import (
    fewest_nonconforming,
    most_nonconforming,
    most_nonconforming_share,
)
from inkwitness.sampling.cartons import CartonPlan, CartonQuestion, concentrated
from inkwitness.sampling.chance import none_drawn
from inkwitness.sampling.discovery import notice
from inkwitness.sampling.every_carton import every_carton_notice, most_nonconforming_every_carton
from inkwitness.sampling.false_alarms import Estimate
from inkwitness.sampling.plans import Plan


@dataclass(frozen=True, slots=True)
class Statement:
    """A key and its values; the phrase book has its sentence in each language."""

    key: str
    values: Mapping[str, Value]

    @property
    def sentence(self) -> Sentence:
        """What is to be said. The seed of a draw is told where there was one."""
        values: dict[str, Said] = dict(self.values)
        if values.get("seed"):
            values["seed"] = Sentence("sampling.seed", {"seed": values["seed"]})
        return Sentence(f"sampling.{self.key}", values)

    def said(self, phrases: Phrases) -> str:
        """The sentence in a language."""
        return self.sentence.said(phrases)


def state(key: str, **values: Value) -> Statement:
    """The statement `key` with its values."""
    return Statement(key, values)


def before_discovery(
    lot: int, nonconforming: int, confidence: Exact, sensitivity: Exact, n: int | None
) -> tuple[Statement, ...]:
    """What a discovery sample of `n` will be able to show; `n` None: why none can do it."""
    wanted, seen = given.confidence(confidence), given.sensitivity(sensitivity)
    if n is None:
        chance = percent(notice(lot, nonconforming, lot, seen))
        return (
            state(
                "discovery.no_size",
                lot=lot,
                nonconforming=nonconforming,
                chance=chance,
                confidence=percent(wanted),
            ),
        )
    plan = state(
        "discovery.plan",
        n=n,
        lot=lot,
        nonconforming=nonconforming,
        share=percent(Fraction(nonconforming, lot), up=True),
        sensitivity=plain(seen),
        confidence=percent(wanted),
    )
    return (plan, state("discovery.whole_lot")) if n == lot else (plan, _left(lot, n))


def before_each_lot(
    wanted: Mapping[str, int], share: Exact, confidence: Exact, sensitivity: Exact
) -> Statement:
    """A discovery sample of each lot by itself: so many units of each."""
    return state(
        "discovery.each_lot",
        parts=", ".join(f"{lot}: {n}" for lot, n in wanted.items()),
        share=percent(given.share(share)),
        confidence=percent(given.confidence(confidence)),
        sensitivity=plain(given.sensitivity(sensitivity)),
    )


def cartons_missed(cartons: int, opened: int, nonconforming_cartons: int) -> Statement:
    """How often opening so many cartons misses all nonconforming ones; hypergeometric, none drawn.

    >>> cartons_missed(60, 20, 3).values["chance"]
    '28.9 %'
    """
    chance = percent(none_drawn(cartons, nonconforming_cartons, opened), up=True)
    return state(
        "cartons.missed",
        cartons=cartons,
        opened=opened,
        nonconforming_cartons=nonconforming_cartons,
        chance=chance,
    )


def before_every_carton(
    cartons: int, per_carton: int, nonconforming: int, looked_at: int | None, sensitivity: Exact
) -> Statement:
    """The same number from every carton; `looked_at` None: no number can do it."""
    if looked_at is None:
        return state("discovery.every_carton_none", cartons=cartons)
    chance = every_carton_notice(cartons, per_carton, nonconforming, looked_at, sensitivity)
    return state(
        "discovery.every_carton",
        looked_at=looked_at,
        cartons=cartons,
        units=looked_at * cartons,
        nonconforming=nonconforming,
        chance=percent(chance),
        sensitivity=plain(given.sensitivity(sensitivity)),
    )


def before_cartons(
    question: CartonQuestion, plan: CartonPlan | None, chance: float, confidence: Exact
) -> tuple[Statement, ...]:
    """What a carton plan will be able to show; `chance` is that of looking at everything."""
    q = question
    if plan is None:
        return (
            state(
                "cartons.no_plan",
                cartons=q.cartons,
                nonconforming_cartons=q.nonconforming_cartons,
                chance=percent(chance),
                confidence=percent(given.confidence(confidence)),
            ),
        )
    few = concentrated(q, plan.units)
    said = [
        state(
            "cartons.plan",
            opened=plan.opened,
            cartons=q.cartons,
            looked_at=plan.looked_at,
            units=plan.units,
            nonconforming_cartons=q.nonconforming_cartons,
            nonconforming_inside=q.nonconforming,
            per_carton=q.per_carton,
            chance=percent(plan.chance),
            sensitivity=plain(given.sensitivity(q.sensitivity)),
        )
    ]
    if few.opened < plan.opened and few.chance < plan.chance:
        said.append(
            state(
                "cartons.spread",
                units=plan.units,
                few=few.opened,
                cartons=q.cartons,
                chance=percent(few.chance),
            )
        )
    said.append(_left(q.cartons * q.per_carton, plan.units))
    return tuple(said)


def about_plan(plan: Plan, lot: int) -> tuple[Statement, ...]:
    """How to use an attribute plan, and what it is not for."""
    said = [state("plan.use", letter=plan.letter, n=plan.n, accept=plan.accept, reject=plan.reject)]
    if plan.reject > plan.accept + 1:
        said.append(state("plan.between", accept=plan.accept, reject=plan.reject))
    if plan.n == lot:
        said.append(state("plan.whole_lot", n=plan.n))
    return (*said, state("plan.only_for"), state("plan.single_lot"))


def after_sample(
    looked: Looked, confidence: Exact, sensitivity: Exact = 1
) -> tuple[Statement, ...]:
    """What a sample showed and what it excludes, in the order to be read."""
    said = _shown(looked, confidence, sensitivity)
    if looked.differed:
        said.insert(0, state("after.hold", differed=looked.differed, looked_at=looked.units))
    said += _open(looked, confidence, sensitivity)
    if looked.cartons is not None and looked.opened is not None:
        closed = looked.cartons - looked.opened
        said.append(state("after.not_opened", closed=closed, cartons=looked.cartons))
    if looked.units < looked.lot:
        rest = looked.lot - looked.units
        said.append(state("after.not_looked_at", rest=rest, lot=looked.lot))
    return (*said, state("caveat"))


def after_process(
    looked_at: int, differed: int, confidence: Exact, sensitivity: Exact = 1
) -> tuple[Statement, ...]:
    """What a sample says of a source without a lot: the Clopper-Pearson bound."""
    bound = state(
        "after.process",
        confidence=percent(given.confidence(confidence)),
        share=percent(
            most_nonconforming_share(looked_at, differed, confidence, sensitivity), up=True
        ),
        sensitivity=plain(given.sensitivity(sensitivity)),
    )
    if not differed:
        return bound, state("caveat")
    return state("after.hold", differed=differed, looked_at=looked_at), bound, state("caveat")


def about_estimate(
    looked_at: int,
    flagged: int,
    sensitivity: Exact,
    specificity: Exact,
    confidence: Exact,
    result: Estimate,
) -> tuple[Statement, ...]:
    """A share corrected for both error rates; a share of 0 or less is said as such."""
    if result.share <= 0:
        return (state("estimate.no_more", flagged=flagged, looked_at=looked_at),)
    return (
        state(
            "estimate.share",
            flagged=flagged,
            looked_at=looked_at,
            sensitivity=plain(given.sensitivity(sensitivity)),
            specificity=plain(given.specificity(specificity)),
            share=percent(min(1.0, result.share)),
            low=percent(max(0.0, result.low)),
            high=percent(min(1.0, result.high), up=True),
            confidence=percent(given.confidence(confidence)),
        ),
    )


def every_carton_left(looked: Looked, confidence: Exact, sensitivity: Exact = 1) -> int | None:
    """Most nonconforming units there may be after a draw that opened every carton, else None.

    The units looked at in each carton are taken to be the average, rounded down.
    """
    cartons = looked.cartons
    if looked.design != "cartons" or cartons is None or cartons != looked.opened:
        return None
    if looked.differed or looked.open:
        return None
    fullest = -(-looked.lot // cartons)
    most = most_nonconforming_every_carton(
        cartons, fullest, looked.looked_at // cartons, confidence, sensitivity
    )
    return min(most, looked.lot)


def nonconforming_cartons_left(
    looked: Looked, confidence: Exact, sensitivity: Exact = 1
) -> int | None:
    """Most cartons that may be nonconforming throughout after a draw by carton, else None.

    The units looked at in each opened carton are taken to be the average, rounded down.
    """
    if looked.design != "cartons" or looked.cartons is None or looked.opened is None:
        return None
    if looked.differed or looked.open:
        return None
    in_each = looked.looked_at // looked.opened
    shown = 1.0 - float(1 - given.sensitivity(sensitivity)) ** in_each
    return most_nonconforming(looked.cartons, looked.opened, 0, confidence, Fraction(shown))


def _left(lot: int, n: int) -> Statement:
    return state("discovery.rest", rest=lot - n)


def _shown(looked: Looked, confidence: Exact, sensitivity: Exact) -> list[Statement]:
    """What the units show; that none differed only where each of them was told."""
    if looked.open and not looked.differed:
        values: dict[str, Value] = {"told": looked.looked_at, "open": looked.open}
        said = [state("after.open", units=looked.units, lot=looked.lot, **values)]
        return [*said, state("after.chosen", lot=looked.lot)] if looked.design == "chosen" else said
    if looked.design == "chosen":
        n, differed = looked.units, looked.differed
        return [state("after.not_random", looked_at=n, differed=differed, lot=looked.lot)]
    if looked.design == "cartons":
        return [_in_cartons(looked, confidence, sensitivity)]
    return [_in_random(looked, confidence, sensitivity)]


def _in_random(looked: Looked, confidence: Exact, sensitivity: Exact) -> Statement:
    lot, n, differed = looked.lot, looked.units, looked.differed
    wanted, seen = percent(given.confidence(confidence)), plain(given.sensitivity(sensitivity))
    most = most_nonconforming(lot, n, differed + looked.open, confidence, sensitivity)
    if differed:
        return state(
            "after.between",
            confidence=wanted,
            at_least=fewest_nonconforming(lot, n, differed, confidence, sensitivity),
            at_most=most,
            lot=lot,
            sensitivity=seen,
        )
    if n == lot and most == 0:
        return state("after.all_looked_at", lot=lot, sensitivity=seen)
    if most == lot:
        return state(
            "after.nothing_excluded",
            lot=lot,
            looked_at=n,
            seed=looked.seed,
            sensitivity=seen,
            confidence=wanted,
        )
    return state(
        "after.none_differed",
        lot=lot,
        looked_at=n,
        seed=looked.seed,
        nonconforming=most + 1,
        share=percent(Fraction(most + 1, lot), up=True),
        sensitivity=seen,
        confidence=wanted,
    )


def _in_cartons(looked: Looked, confidence: Exact, sensitivity: Exact) -> Statement:
    shared: dict[str, Value] = {
        "opened": looked.opened,
        "cartons": looked.cartons,
        "looked_at": looked.units,
    }
    if looked.differed:
        return state("after.some_in_cartons", **shared)
    shared |= {
        "seed": looked.seed,
        "sensitivity": plain(given.sensitivity(sensitivity)),
        "confidence": percent(given.confidence(confidence)),
    }
    most = every_carton_left(looked, confidence, sensitivity)
    if most is not None and most < looked.lot and looked.cartons is not None:
        shared |= {
            "in_each": looked.looked_at // looked.cartons,
            "nonconforming": most + 1,
            "lot": looked.lot,
            "share": percent(Fraction(most + 1, looked.lot), up=True),
        }
        return state("after.none_in_every_carton", **shared)
    left = nonconforming_cartons_left(looked, confidence, sensitivity)
    if left is None or left == looked.cartons:
        return state("after.none_in_cartons_excluded", **shared)
    return state("after.none_in_cartons", nonconforming_cartons=left + 1, **shared)


def _open(looked: Looked, confidence: Exact, sensitivity: Exact) -> list[Statement]:
    """Each kind of open unit by itself, then the bound that counts all of them as differing."""
    said = []
    if looked.lacking:
        said.append(state("after.lacking", lacking=looked.lacking))
    if looked.untold:
        said.append(state("after.untold", untold=looked.untold))
    if looked.set_apart:
        said.append(state("after.set_apart", set_apart=looked.set_apart))
    if looked.open and looked.design == "random":
        nonconforming = looked.differed + looked.open
        said.append(
            state(
                "after.at_worst",
                open=looked.open,
                lot=looked.lot,
                at_most=most_nonconforming(
                    looked.lot, looked.units, nonconforming, confidence, sensitivity
                ),
                confidence=percent(given.confidence(confidence)),
            )
        )
    return said
