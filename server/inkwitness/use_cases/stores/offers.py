"""Records without a consignment: goods refused at the door, and print that was typed.

Neither is a unit. Nothing of them is part of a sample, and nothing is released on them.
"""

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal, get_args

from sqlalchemy import Connection

from inkwitness import phrases
from inkwitness.check.protocols import Judge
from inkwitness.check.typed import typed_reading
from inkwitness.check.values import Check
from inkwitness.errors import BadInput, NotFound
from inkwitness.findings.values import Circumstances, Surface, Whole
from inkwitness.holders.values import HolderList
from inkwitness.records import chain, stored
from inkwitness.records.chain import Entry, WriteContext
from inkwitness.records.tables import offers as offers_table
from inkwitness.rulebook import Rulebook

#: How goods were offered; who offered them is not asked.
Channel = Literal["at_the_door", "shop", "online", "call", "letter", "donation", "other"]
Why = Literal[
    "papers_missing", "print_conflict", "no_print", "condition", "terms", "not_needed", "other"
]
# an address or a telephone number names a person, whatever the page says beside the field
_NAMES_A_PERSON = re.compile(r"[\w.+-]+@[\w-]+\.\w|\+\d[\d ()/-]{6,}\d")


@dataclass(frozen=True, slots=True)
class Refused:
    """Goods that were offered and not taken: what, how, and why; never who."""

    channel: Channel
    goods: str
    why: tuple[Why, ...]
    pieces: int | None = None
    typed_id: str | None = None


def refuse(conn: Connection, id_: str, said: Refused, context: WriteContext) -> tuple[Entry, bool]:
    """Keep that goods were refused at the door (D0). Raises BadInput."""
    if len(said.goods.strip()) < 2:
        raise BadInput("offer_goods_missing")
    if not said.why:
        raise BadInput("offer_why_missing", allowed=", ".join(get_args(Why)))
    if _NAMES_A_PERSON.search(said.goods):
        raise BadInput("offer_names_person")
    if said.typed_id is not None:
        typed_entry(conn, said.typed_id)
    content = {
        "kind": "refused",
        "channel": said.channel,
        "goods": " ".join(said.goods.split()),
        "why": sorted(set(said.why)),
        "pieces": said.pieces,
        "typed_id": said.typed_id,
    }
    return chain.append(conn, offers_table, id_, content, context)


def typed_check(
    lines: Sequence[str],
    by: str,
    about: Circumstances,
    judge: Judge,
    rulebook: Rulebook,
    holder_list: HolderList | None,
) -> Check:
    """Typed print judged by the same rules. No word confirms it: there is no ink to compare."""
    said = phrases.shipped().of("en")("typed.by", name=by)
    reading = typed_reading(lines, said, rulebook)
    return Check(reading, judge.judge(reading, (), about, holder_list))


def keep_typed(
    conn: Connection, id_: str, check: Check, about: Circumstances, context: WriteContext
) -> tuple[Entry, bool]:
    """Keep typed print with what it was judged to be. A repeat of the same lines changes nothing,
    whatever the rules have become since.
    """
    asked = {
        "kind": "typed",
        "lines": [line.text for item in check.reading.items for line in item.lines],
        "surface": about.surface,
        "whole": about.whole,
        "declared": sorted(about.declared),
        "on": about.on.isoformat(),
        "typed_by": context.actor.name,
    }
    kept = chain.find(conn, offers_table, id_)
    if kept is not None and all(kept.content.get(key) == value for key, value in asked.items()):
        return kept, False
    content: dict[str, Any] = {
        **asked,
        "reading": stored.reading_content(check.reading),
        **stored.judgement_content(check.judgement, check.reading),
    }
    return chain.append(conn, offers_table, id_, content, context)


def load(entry: Entry) -> Check:
    """Typed print as it was judged when it was kept."""
    reading = stored.reading_of(entry.content["reading"])
    return Check(reading, stored.judgement_of(entry.content, reading))


def typed_entry(conn: Connection, id_: str) -> Entry:
    """One typed print; raises NotFound."""
    entry = chain.get(conn, offers_table, id_)
    if entry.content["kind"] != "typed":
        raise NotFound("offer_not_typed", id=id_)
    return entry


def every(conn: Connection, kind: Literal["refused", "typed"]) -> list[Entry]:
    """Records of a kind, the newest first."""
    found = chain.entries(conn, offers_table)
    return [entry for entry in reversed(found) if entry.content["kind"] == kind]


def about(
    surface: Surface, whole: Whole, on: dt.date, declared: Sequence[str] = ()
) -> Circumstances:
    """What is said beside typed print."""
    return Circumstances(on, surface, whole, frozenset(declared))
