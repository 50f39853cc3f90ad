"""What was declared of a consignment, put together from all that was said of it, in order.

Each declaration adds to those before it or replaces part of them; all of them are kept. What nobody
answered stays to be seen. Signals are facts about an offer and questions to ask, never a score.
"""

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Literal

from inkwitness.findings.outcome import aspect_of
from inkwitness.findings.values import AspectState, Finding

#: How goods came to be offered.
GoodsFrom = Literal["purchase", "walk_in", "donation"]
#: Whether a person could confirm who offers them, through an address found by themselves.
Identity = Literal["confirmed", "not_confirmed", "not_tried"]
SupplyCondition = Literal["conventional", "contingency", "crisis"]
YesNo = Literal["yes", "no"]


@dataclass(frozen=True, slots=True)
class DeclaredLot:
    """A lot as declared: its code, units and cartons, None where nobody said."""

    code: str
    units: int | None = None
    cartons: int | None = None


@dataclass(frozen=True, slots=True)
class Declared:
    """Everything that was declared, None or empty where nobody said.

    `condition_by` is the declaration that `supply_condition` rests on, `condition_until` its last
    day. `supplied` counts who got some of the goods already; `supplied_list` says where the list of
    them is kept, outside these records.
    `seals` were counted on arrival. `use` is a setting of the site's policy. `valve` and
    `fluid_resistant` are what whoever offers the goods says of them. `answers` are those to the
    questions of intake, word for word; `signals` say whether each was noted, and a note.
    """

    goods_from: GoodsFrom | None = None
    product: str = ""
    filter_class: str = ""
    use: str = ""
    region: str = ""
    supply_condition: SupplyCondition | None = None
    condition_by: str = ""
    condition_until: dt.date | None = None
    units: int | None = None
    cartons: int | None = None
    pallets: int | None = None
    seals: int | None = None
    first_offer: dt.date | None = None
    identity: Identity | None = None
    valve: YesNo | None = None
    fluid_resistant: YesNo | None = None
    supplied: int | None = None
    supplied_list: str = ""
    lots: tuple[DeclaredLot, ...] = ()
    answers: Mapping[str, str] = field(default_factory=dict)
    signals: Mapping[str, tuple[YesNo, str]] = field(default_factory=dict)


_DAYS = frozenset({"first_offer", "condition_until"})
#: What a declaration may say, besides lots, answers and signals.
FIELDS = tuple(name for name in Declared.__slots__ if name not in ("lots", "answers", "signals"))


def together(first: Declared, steps: Iterable[Mapping[str, Any]]) -> Declared:
    """The declarations put together. A step has `fields` (those it says), `lots`, `answers` and
    `signals`; what it does not say stays as it was. Lots are replaced as a whole.
    """
    declared = first
    for step in steps:
        said = {name: value for name, value in step.get("fields", {}).items() if name in FIELDS}
        for name in _DAYS & said.keys():
            if isinstance(said[name], str):
                said[name] = dt.date.fromisoformat(said[name])
        lots = step.get("lots")
        declared = replace(
            declared,
            **said,
            lots=declared.lots if lots is None else tuple(DeclaredLot(**lot) for lot in lots),
            answers={**declared.answers, **step.get("answers", {})},
            signals={
                **declared.signals,
                **{
                    name: (one["seen"], one["note"])
                    for name, one in step.get("signals", {}).items()
                },
            },
        )
    return declared


def supplier(declared: Declared) -> tuple[AspectState, tuple[Finding, ...]]:
    """The aspect `supplier`: each signal that was noted is a question; nothing is added up.

    It was looked at once somebody tried to confirm who offers the goods, or went through signals.
    """
    noted = [name for name, (seen, _) in declared.signals.items() if seen == "yes"]
    unsure = ["identity"] if declared.identity == "not_confirmed" else []
    found = tuple(
        Finding(
            rule=f"s-{name}",
            scheme="",
            severity="caution",
            aspect="supplier",
            values=(("note", declared.signals.get(name, ("yes", ""))[1]),),
            cannot_tell=True,
        )
        for name in (*unsure, *noted)
    )
    looked = declared.identity in ("confirmed", "not_confirmed") or bool(declared.signals)
    return aspect_of(found, "supplier", looked=looked), found
