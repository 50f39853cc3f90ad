"""Look-ups that rest on a paper kept with the goods: for schemes of which no list is public.

The paper must count, be of the same goods, and agree with the print in maker, model and number of
the body. It is looked at when the look-up is kept, and again whenever a release is asked about.
"""

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from sqlalchemy import Connection

from inkwitness.consignment.papers.compare import alike, same_model_on_list
from inkwitness.consignment.values import LookUp, PaperLack, Source
from inkwitness.errors import BadInput
from inkwitness.holders.numbers import normal_form
from inkwitness.holders.values import HolderEntry
from inkwitness.phrases import Sentence
from inkwitness.records import chain, lists, units
from inkwitness.records.chain import Entry
from inkwitness.records.tables import documents, official_look_ups
from inkwitness.records.units import UnitSummary
from inkwitness.rulebook.papers import Paper, PaperField, PaperKind
from inkwitness.use_cases.intake import papers
from inkwitness.use_cases.look_ups import Answer, Asked
from inkwitness.use_cases.prints import marks_of_unit

_KINDS: Mapping[Source, tuple[PaperKind, ...]] = {
    "certificate": ("type_certificate", "control"),
    "declaration": ("declaration",),
}
#: What must stand on the paper, and the mark that it must agree with.
_NEEDED: tuple[tuple[PaperField, str], ...] = (("holder", "manufacturer"), ("product", "model"))
#: On these papers the body is that beside CE; a type certificate's may be another: Regulation (EU)
#: 2016/425, Article 17(3).
_OF_PRODUCTION: tuple[PaperKind, ...] = ("control", "declaration")


def check(
    conn: Connection,
    asked: Asked,
    answer: Answer,
    *,
    unit_id: str | None,
    consignment_id: str | None,
) -> None:
    """Raises NotFound or BadInput where a look-up cannot rest on the paper that it names."""
    entry = chain.get(conn, documents, asked.document_id)
    paper = papers.paper_of(entry)
    if paper.kind not in _KINDS.get(asked.source, ()):
        raise BadInput("look_up_paper_kind")
    if not _same_goods(conn, entry, unit_id, consignment_id):
        raise BadInput("look_up_paper_elsewhere")
    if not _counts(conn, entry):
        raise BadInput("look_up_paper_gone")
    if answer != "listed_same":
        return
    if any(not paper.texts(name) for name, _ in _NEEDED):
        raise BadInput("look_up_paper_lacks")
    members = _looked_up(_units(conn, unit_id, consignment_id), asked.looked_up)
    if not members:
        raise BadInput("look_up_paper_no_unit", looked_up=asked.looked_up)
    for name, on_paper, printed in _differences(conn, paper, members):
        field = Sentence(f"paper_field.{name}", {})
        raise BadInput("look_up_paper_differs", field=field, paper=on_paper, printed=printed)


def for_release(
    conn: Connection, *, unit_id: str | None = None, consignment_id: str | None = None
) -> list[LookUp]:
    """Look-ups as the gate of a release of these goods asks for them, in the order they were kept.

    A look-up on a paper counts for the goods that the paper came with; of each it is said whether
    it was made for these goods.
    """
    members: list[UnitSummary] | None = None
    found = []
    for entry in chain.entries(conn, official_look_ups):
        content = entry.content
        lack: PaperLack = ""
        title = ""
        here = True
        if content.get("source", "official_list") != "official_list":
            if members is None:
                members = _units(conn, unit_id, consignment_id)
            here = _here(content, members, consignment_id)
        if content.get("document_id"):
            if members is None:
                members = _units(conn, unit_id, consignment_id)
            kept = chain.get(conn, documents, content["document_id"])
            paper = papers.paper_of(kept)
            title = paper.title or paper.kind
            mine = _looked_up(members, content["looked_up"])
            lack = _lack(conn, kept, paper, mine, unit_id, consignment_id)
            here = here or _same_goods(conn, kept, unit_id, consignment_id)
        found.append(
            LookUp(
                looked_up=content["looked_up"],
                answer=content["answer"],
                by=entry.context.actor.name,
                on=dt.date.fromisoformat(content["looked_up_at"][:10]),
                source=content.get("source", "official_list"),
                paper=title,
                paper_lack=lack,
                here=here,
            )
        )
    return found


def _here(
    look_up: Mapping[str, Any], members: Sequence[UnitSummary], consignment_id: str | None
) -> bool:
    """Whether a look-up was made for these goods, for one of their units, or what they are of."""
    of = {consignment_id, *(unit.consignment_id for unit in members)} - {None}
    units_here = {unit.unit_id for unit in members}
    return look_up["consignment_id"] in of or look_up["unit_id"] in units_here


def _lack(
    conn: Connection,
    entry: Entry,
    paper: Paper,
    members: Sequence[UnitSummary],
    unit_id: str | None,
    consignment_id: str | None,
) -> PaperLack:
    """Why the paper carries no look-up of these goods now; empty where it does."""
    if not _same_goods(conn, entry, unit_id, consignment_id) or not _counts(conn, entry):
        return "gone"
    return "differs" if any(_differences(conn, paper, members)) else ""


def _counts(conn: Connection, entry: Entry) -> bool:
    """Whether no later paper corrects it, and it was not withdrawn."""
    content = entry.content
    kept = papers.of_goods(
        conn, consignment_id=content["consignment_id"], unit_id=content["unit_id"]
    )
    return any(one.id == entry.id for one in papers.in_force(kept))


def _same_goods(
    conn: Connection, entry: Entry, unit_id: str | None, consignment_id: str | None
) -> bool:
    content: Mapping[str, Any] = entry.content
    if content["unit_id"] is not None:
        (unit,) = units.summaries(conn, [content["unit_id"]])
        return content["unit_id"] == unit_id or (
            consignment_id is not None and unit.consignment_id == consignment_id
        )
    if consignment_id is None and unit_id is not None:
        (unit,) = units.summaries(conn, [unit_id])
        consignment_id = unit.consignment_id
    return consignment_id is not None and content["consignment_id"] == consignment_id


def _units(conn: Connection, unit_id: str | None, consignment_id: str | None) -> list[UnitSummary]:
    if unit_id is not None:
        return units.summaries(conn, [unit_id])
    return units.of_consignment(conn, consignment_id) if consignment_id is not None else []


def _looked_up(members: Iterable[UnitSummary], key: str) -> list[UnitSummary]:
    """The units that are looked up by this key."""
    wanted = normal_form(key)
    return [unit for unit in members if any(normal_form(k) == wanted for k in unit.state.list_keys)]


def _differences(
    conn: Connection, paper: Paper, members: Sequence[UnitSummary]
) -> Iterable[tuple[PaperField, str, str]]:
    """Field, paper, print where a unit bears another maker, model or number of the body."""
    held = lists.current(conn)
    entries: Sequence[HolderEntry] = held.entries if held is not None else ()
    fields = list(_NEEDED)
    if paper.kind in _OF_PRODUCTION:
        fields.append(("body_number", "body_number"))
    for unit in members:
        marks = marks_of_unit(conn, unit)
        for name, mark in fields:
            for on_paper in paper.texts(name):
                printed = marks.get(mark, ())
                if printed and not any(_agrees(name, on_paper, one, entries) for one in printed):
                    yield name, on_paper, "; ".join(printed)


def _agrees(name: PaperField, paper: str, printed: str, entries: Sequence[HolderEntry]) -> bool:
    if alike(name, paper, printed) != "differs":
        return True
    if name == "holder":
        return alike(name, paper, printed, entries) != "differs"
    return name == "product" and same_model_on_list(paper, printed, entries)
