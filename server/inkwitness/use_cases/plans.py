"""Plans of what to look at in a consignment: the question, its answer and the draw, kept whole.

A further draw is added to those before it. It takes their place only with a reason, which stays to
be seen: on the page of the consignment, in its report, in the records.
"""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any, Literal

from sqlalchemy import Connection

from inkwitness.consignment.draws import SHORTEST_REASON, first_that_counts
from inkwitness.errors import BadInput
from inkwitness.phrases import Phrases
from inkwitness.records import chain, consignments
from inkwitness.records.chain import Entry, WriteContext
from inkwitness.records.tables import plans as plans_table
from inkwitness.sampling import answers
from inkwitness.sampling.answers import DrawAnswer
from inkwitness.sampling.cartons import CartonQuestion
from inkwitness.sampling.draw import Draw, draw_each_lot
from inkwitness.sampling.frame import by_lot, names
from inkwitness.sampling.statements import Statement, before_each_lot, cartons_missed, state

#: More than people look at, and than an answer can hold; a table of ISO 2859-1 ends at 2,000.
MOST_DRAWN = 10_000
PlanKind = Literal["discovery", "by_carton", "attribute"]


@dataclass(frozen=True, slots=True)
class Question:
    """What a person asks of a plan. Shares and confidences are text, so that they stay exact.

    `units` is the list of everything that could be drawn, ranges allowed; empty: made from what
    the consignment declares. Which other fields count depends on `kind`. With `each_lot` a
    discovery is asked of each declared lot by itself, with `open_cartons` from so many of all
    cartons only; it is then told how often all of `nonconforming_cartons` are missed.
    """

    kind: PlanKind
    seed: str
    confidence: str = "0.95"
    sensitivity: str = "1"
    nonconforming_share: str | None = None
    nonconforming: int | None = None
    nonconforming_cartons: int = 1
    nonconforming_inside: int | None = None
    level: str = "II"
    aql: str = "1.5"
    inspection: str = "normal"
    units: tuple[str, ...] = ()
    reserve: int = 10
    each_lot: bool = False
    open_cartons: int | None = None


@dataclass(frozen=True, slots=True)
class Made:
    """A plan that was made. `counts`: what it drew is still to be looked at."""

    entry: Entry
    counts: bool

    @property
    def instead_because(self) -> str:
        """Why the draws before it no longer held; empty where it was added to them."""
        return str(self.entry.content.get("instead_because", ""))


def made(conn: Connection, consignment_id: str) -> tuple[Made, ...]:
    """Every plan of a consignment, in order. A reason shorter than three letters, as they were
    once taken, is none: the draws before it count as well.
    """
    kept = chain.entries(conn, plans_table, consignment_id=consignment_id)
    first = first_that_counts([entry.content.get("instead_because", "") for entry in kept])
    return tuple(Made(entry, place >= first) for place, entry in enumerate(kept))


def drawn_alike(counting: Sequence[Entry]) -> set[str]:
    """The places that a statement on the newest of these draws rests on.

    Random draws of one kind from one list are together a random draw from it. What was drawn from
    another list, or in another way, is left out of the statement, and out of nothing else.
    """
    if not counting:
        return set()

    def kind(plan: Entry) -> tuple[str, str]:
        return plan.content["draw"]["kind"], plan.content["draw"]["frame_sha256"]

    alike = [plan for plan in counting if kind(plan) == kind(counting[-1])]
    return {one["unit"] for plan in alike for one in plan.content["draw"]["units"]}


def keep(
    conn: Connection,
    id_: str,
    consignment_id: str,
    plan: Mapping[str, object],
    instead_because: str,
    context: WriteContext,
) -> tuple[Entry, bool]:
    """Keep a plan and its draw. Raises BadInput where it would take the place of earlier ones
    without a reason that says something; NotFound; Differs.
    """
    why = instead_because.strip()
    if why and len(why) < SHORTEST_REASON and chain.find(conn, plans_table, id_) is None:
        raise BadInput("plan_reason_short")
    content = {**plan, "instead_because": why}
    return consignments.keep_plan(conn, id_, consignment_id, content, context)


def frame_of(consignment: Mapping[str, Any]) -> tuple[str, ...]:
    """Names of all units, as ranges, from the declared lots, cartons and units.

    `LOT/C001..C020/U001..U400` where numbers are declared for every lot, else `C001../U001..`,
    else `U0001..`. Raises BadInput where the cartons do not hold equally many units.
    """
    lots = consignment["lots"]
    if lots and all(lot["units"] for lot in lots):
        return tuple(f"{lot['code']}/{_inside(lot['units'], lot['cartons'])}" for lot in lots)
    units = consignment["units_declared"]
    if not units:
        raise BadInput("units_not_known")
    return (_inside(units, consignment["cartons_declared"]),)


def make(question: Question, consignment: Mapping[str, Any]) -> dict[str, object]:
    """Answer the question and draw; everything needed to repeat it. Raises BadInput."""
    written = question.units or frame_of(consignment)
    frame = names(list(written))
    # only names that begin with a lot tell lots apart: else cartons would be taken for them
    sized = all(lot["units"] for lot in consignment["lots"])
    lots = len(consignment["lots"]) > 1 and sized and not question.units
    made: dict[str, object] = {
        "question": {**asdict(question), "units": list(written)},
        "kind": question.kind,
        "lot": len(frame),
        "frame_cartons": cartons_of(frame),
        "accept": 0,
        "reject": 1,
    }
    said: tuple[Statement, ...]
    if question.each_lot:
        made_of_lots, said, drawn = _each_lot(question, frame)
        made |= made_of_lots
    elif question.kind == "discovery":
        discovery = answers.answer_discovery(
            len(frame),
            nonconforming_share=question.nonconforming_share
            if question.nonconforming is None
            else None,
            nonconforming=question.nonconforming,
            confidence=question.confidence,
            sensitivity=question.sensitivity,
        )
        if discovery.n is None:
            raise BadInput("plan_impossible", why=discovery.statements[0].sentence)
        said = discovery.statements
        made |= {
            "n": discovery.n,
            "nonconforming": discovery.nonconforming,
            "chance": discovery.chance,
        }
        drawn = answers.answer_draw(
            list(written), question.seed, n=discovery.n, lots=lots, reserve=question.reserve
        )
    elif question.kind == "by_carton":
        cartons, per_carton = _cartons(frame)
        asked = CartonQuestion(
            cartons,
            per_carton,
            question.nonconforming_cartons,
            question.nonconforming_inside,
            question.sensitivity,
        )
        by_carton = answers.answer_cartons(asked, question.confidence)
        if by_carton.plan is None:
            raise BadInput("plan_impossible", why=by_carton.statements[0].sentence)
        plan = by_carton.plan
        said = by_carton.statements
        made |= {
            "n": plan.units,
            "chance": plan.chance,
            "cartons_opened": plan.opened,
            "per_carton": plan.looked_at,
        }
        drawn = answers.answer_draw(
            list(written),
            question.seed,
            cartons=plan.opened,
            per_carton=plan.looked_at,
            reserve=question.reserve,
        )
    else:
        attribute = answers.answer_plan(
            len(frame), question.level, question.aql, question.inspection
        )
        said = attribute.statements
        n = min(attribute.plan.n, len(frame))
        made |= {
            "n": n,
            "letter": attribute.plan.letter,
            "accept": attribute.plan.accept,
            "reject": attribute.plan.reject,
        }
        drawn = answers.answer_draw(list(written), question.seed, n=n, reserve=question.reserve)
    checked_length(len(drawn.draw.units) + len(drawn.draw.reserve))
    made["draw"] = _draw(drawn.draw)
    made["statements"] = [_statement(one) for one in (*said, *drawn.statements)]
    return made


def _each_lot(
    question: Question, frame: tuple[str, ...]
) -> tuple[dict[str, object], tuple[Statement, ...], DrawAnswer]:
    """A discovery sample of each lot by itself."""
    if question.kind != "discovery" or question.nonconforming_share is None:
        raise BadInput("each_lot_needs_share")
    sizes = {lot: len(members) for lot, members in by_lot(frame).items()}
    wanted: dict[str, int] = {}
    for lot, size in sizes.items():
        answer = answers.answer_discovery(
            size,
            nonconforming_share=question.nonconforming_share,
            confidence=question.confidence,
            sensitivity=question.sensitivity,
        )
        if answer.n is None:
            raise BadInput("plan_impossible", why=answer.statements[0].sentence)
        wanted[lot] = answer.n
    terms = (question.nonconforming_share, question.confidence, question.sensitivity)
    said = [before_each_lot(wanted, *terms)]
    draw = draw_each_lot(
        frame, wanted, question.seed, cartons=question.open_cartons, reserve=question.reserve
    )
    n, opened = len(draw.units), len(draw.cartons)
    rule = state("draw.rule_lots", n=n)
    made: dict[str, object] = {"n": n, "per_lot": wanted}
    if question.open_cartons is not None:
        cartons = cartons_of(frame) or 0
        said += [
            state("discovery.from_cartons", opened=opened, cartons=cartons),
            cartons_missed(cartons, opened, question.nonconforming_cartons),
        ]
        rule = state("draw.rule_lot_cartons", cartons=opened, n=n)
        made["cartons_opened"] = opened
    return made, tuple(said), DrawAnswer(draw, (rule,))


def cartons_of(frame: tuple[str, ...]) -> int | None:
    """How many cartons the names of a frame tell of; None where they tell of none."""
    if any("/" not in name for name in frame):
        return None
    return len({name.rpartition("/")[0] for name in frame})


def checked_length(drawn: int) -> None:
    """Raises BadInput where more is drawn than can be listed and looked at."""
    if drawn > MOST_DRAWN:
        raise BadInput("draws_too_many", drawn=drawn, limit=MOST_DRAWN)


def _inside(units: int, cartons: int | None) -> str:
    if not cartons:
        width = max(2, len(str(units)))
        return f"U{1:0{width}}..U{units:0{width}}"
    if units % cartons:
        raise BadInput("cartons_not_equal", units=units, cartons=cartons)
    each = units // cartons
    carton, unit = max(3, len(str(cartons))), max(2, len(str(each)))
    return f"C{1:0{carton}}..C{cartons:0{carton}}/U{1:0{unit}}..U{each:0{unit}}"


def _cartons(frame: tuple[str, ...]) -> tuple[int, int]:
    sizes: dict[str, int] = {}
    for name in frame:
        carton, slash, _ = name.rpartition("/")
        if not slash:
            raise BadInput("cartons_missing")
        sizes[carton] = sizes.get(carton, 0) + 1
    if len(set(sizes.values())) > 1:
        raise BadInput("cartons_differ")
    return len(sizes), next(iter(sizes.values()))


def _draw(draw: Draw) -> dict[str, object]:
    return {
        "kind": draw.kind,
        "seed": draw.seed,
        "frame": draw.frame,
        "frame_sha256": draw.frame_sha256,
        "cartons": list(draw.cartons),
        "units": [asdict(unit) for unit in draw.units],
        "reserve": [asdict(unit) for unit in draw.reserve],
    }


def said(stored: Mapping[str, Any], say: Phrases) -> str:
    """The sentence of a stored statement; one stored as a sentence keeps it, in English."""
    if say.language == "en" and "text" in stored:
        return str(stored["text"])
    return Statement(stored["key"], stored["values"]).said(say)


def _statement(statement: Statement) -> dict[str, object]:
    return {"key": statement.key, "values": dict(statement.values)}
