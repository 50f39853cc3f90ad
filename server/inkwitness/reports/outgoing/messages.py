"""Neutral messages to supplier, authority, holder and certifying body: plain text to copy or print.

Each says what was read and what differs, and asks. None says why, and none is about a person or a
firm. Nothing is sent from here.
"""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from sqlalchemy import Connection

from inkwitness.consignment.papers.judge import says
from inkwitness.phrases import Phrases, capital
from inkwitness.records.integrity.heads import head_of
from inkwitness.reports.document import as_said, shown
from inkwitness.reports.goods.noted import noted, prints
from inkwitness.reports.outgoing import wording
from inkwitness.reports.papers import papers_needed
from inkwitness.rulebook import Rulebook
from inkwitness.rulebook.papers import PaperField
from inkwitness.use_cases.intake import papers
from inkwitness.use_cases.overview import Overview

#: For whom there is a message.
Addressee = Literal["supplier", "authority", "holder", "body"]
#: What a body is told of a paper that names it.
_OF_A_PAPER: tuple[PaperField, ...] = (
    "title",
    "number",
    "body_number",
    "holder",
    "product",
    "standard",
    "issued",
    "expires",
)


@dataclass(frozen=True, slots=True)
class Message:
    """A message as it can be copied: plain text in paragraphs.

    `address` tells whoever sends it where to take the address from; it is no part of the text.
    """

    subject: str
    text: str
    address: str


def message(
    conn: Connection,
    found: Overview,
    rulebook: Rulebook,
    to: Addressee,
    say: Phrases,
    *,
    by: str,
    on: dt.date,
    note: str = "",
    name_supplier: bool = False,
) -> Message:
    """The message about a consignment to one of them; `note` is a paragraph of the person's own.

    The holder learns who offered the goods only with `name_supplier`. Raises BadInput where the
    note has a word that judges.
    """
    wording.check(say.language, note)
    content = found.entry.content
    label = shown(content["label"])
    if to == "holder":
        parts = _to_holder(conn, found, say)
    elif to == "body":
        parts = _to_body(conn, found, say)
    else:
        writer = _to_supplier if to == "supplier" else _to_authority
        parts = writer(conn, found, rulebook, say, on)
    if to == "holder" and name_supplier and content["supplier"]:
        parts.insert(2, say("message.holder.offered", supplier=shown(content["supplier"])))
        parts[3] += f"\n– {say('message.holder.ask.sold')}"
    if note.strip():
        parts.append(shown(note.strip()))
    parts.append(say("message.written", name=shown(by), day=on.isoformat()))
    if content["reference"]:
        parts.append(say("message.reference", reference=shown(content["reference"])))
    subject = say(f"message.subject.{to}", label=label)
    return Message(subject, "\n\n".join(parts) + "\n", say(f"message.address.{to}"))


def _to_supplier(
    conn: Connection, found: Overview, rulebook: Rulebook, say: Phrases, on: dt.date
) -> list[str]:
    schemes = list(dict.fromkeys(unit.scheme for unit in found.units))
    papers = papers_needed(schemes, rulebook, say, titles=True).papers
    return [
        say("message.supplier.thanks", label=shown(found.entry.content["label"])),
        _looked(found, say, on),
        *_noted(conn, found, rulebook, "supplier", say),
        _list(say("message.supplier.papers"), [capital(one) for one in papers]),
        say("message.supplier.held" if found.held else "message.supplier.open"),
    ]


def _to_authority(
    conn: Connection, found: Overview, rulebook: Rulebook, say: Phrases, on: dt.date
) -> list[str]:
    photos = sum(len(unit.state.photos) for unit in found.units)
    return [
        say("message.authority.open"),
        _looked(found, say, on),
        _list(say("message.authority.read"), _prints(conn, found, say)),
        *_noted(conn, found, rulebook, "authority", say),
        say("message.authority.held" if found.held else "message.authority.not_held"),
        f"{say('report.not.tested')} {say('report.not.origin')}",
        say("message.authority.photos", n=photos),
        say("message.authority.head", head=head_of(conn).head),
    ]


def _to_holder(conn: Connection, found: Overview, say: Phrases) -> list[str]:
    asked = [say(f"message.holder.ask.{one}") for one in ("print", "lots", "storage")]
    return [
        say("message.holder.open"),
        _list(say("message.holder.read"), _prints(conn, found, say)),
        _list(say("message.holder.ask"), asked),
        say("message.holder.photos"),
        say("message.holder.answer"),
    ]


def _to_body(conn: Connection, found: Overview, say: Phrases) -> list[str]:
    """What papers name the body, and what is printed; it can say whether both are its own."""
    kept = papers.in_force(papers.of_goods(conn, consignment_id=found.entry.id))
    told = []
    for paper in (papers.paper_of(entry) for entry in kept):
        if paper.body_number or paper.kind in ("type_certificate", "control"):
            fields = [
                f"{say(f'paper_field.{name}')} “{say.apart(shown(text))}”"
                for name in _OF_A_PAPER
                for text in paper.texts(name)
            ]
            told.append("; ".join(fields))
    asked = [say(f"message.body.ask.{one}") for one in ("issued", "scope", "goods")]
    return [
        say("message.body.open"),
        *([_list(say("message.body.papers"), told)] if told else []),
        _list(say("message.holder.read"), _prints(conn, found, say)),
        _list(say("message.holder.ask"), asked),
        say("message.holder.photos"),
        say("message.holder.answer"),
    ]


def _looked(found: Overview, say: Phrases, on: dt.date) -> str:
    declared = found.content["units_declared"]
    n = sum(unit.outcome is not None for unit in found.units)
    if declared is None:
        return say("message.looked", n=n, day=on.isoformat())
    return say("message.looked_of", n=n, day=on.isoformat(), declared=declared)


def _noted(
    conn: Connection,
    found: Overview,
    rulebook: Rulebook,
    to: Addressee,
    say: Phrases,
) -> list[str]:
    """What is open; to an authority also what was set aside, by whom and why.

    A source may have a title that reads as an accusation: a supplier gets none.
    """
    every = noted(conn, found.units, rulebook, say)
    open_ = [
        say("message.point", says=one.says if to == "authority" else one.plain, n=len(one.units))
        for one in every
        if not one.aside
    ]
    open_ += [
        as_said(says(one, say))
        for one in found.papers.findings
        if one.severity in ("conflict", "missing") and not one.question
    ]
    aside = [
        f"{say('message.point', says=one.plain, n=len(one.units))} {one.aside}"
        for one in every
        if one.aside
    ]
    nothing = say("message.nothing_open" if aside else "message.nothing")
    told = [_list(say("message.noted"), open_)] if open_ else [nothing]
    if aside and to == "authority":
        told.append(_list(say("message.aside"), aside))
    if any(unit.basis == "reading" for unit in found.units):
        told.append(say("report.to_be_confirmed"))
    return told


def _prints(conn: Connection, found: Overview, say: Phrases) -> list[str]:
    read = [unit for unit in found.units if unit.outcome is not None]
    return [
        say(
            "message.print",
            number=one.number,
            holder=one.holder,
            model=one.model,
            lots=", ".join(one.lots),
            n=one.units,
        )
        for one in prints(conn, read, say)
    ]


def _list(head: str, points: Sequence[str]) -> str:
    return "\n".join([head, *(f"– {one}" for one in points)])
