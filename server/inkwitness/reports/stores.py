"""Sheets of the store: the stock list as CSV, messages of a recall, the hand-over of bins."""

import csv
import datetime as dt
import io
from collections.abc import Callable, Iterable, Sequence

from inkwitness.consignment.stock import Recall
from inkwitness.holders.files.cells import guarded
from inkwitness.phrases import Phrases
from inkwitness.records.chain import Entry
from inkwitness.records.finding.found import Found
from inkwitness.reports import words
from inkwitness.reports.document import Document, Section, Table, shown
from inkwitness.use_cases.stores.bins import Sorting
from inkwitness.use_cases.stores.stock import Where

_COLUMNS = (
    *("lot", "carton", "where", "pieces", "status", "status_says"),
    *("limits", "until", "goods_id"),
)


def stock_csv(found: Iterable[Where], say: Phrases) -> bytes:
    """The stock list: piles, then what is in hands, then what left, a row each."""
    rows: list[tuple[object, ...]] = []
    for lot in found:
        rows += [
            (
                *(line.pile.lot, line.pile.carton, line.pile.place, line.pile.pieces),
                *(line.status, say(f"stock.status.{line.status}"), line.standing.limits),
                *(line.standing.until or "", line.pile.goods),
            )
            for line in lot.lines
        ]
        rows += [
            (
                *(one.lot, one.carton, one.recipient, one.pieces, "handed_out"),
                *(say("stock.move.handed_out"), "", "", one.goods),
            )
            for one in lot.stock.hands
        ]
        rows += [
            (
                *(one.lot, one.carton, "", one.pieces, one.how),
                *(say(f"stock.move.{one.how}"), "", "", one.goods),
            )
            for one in lot.stock.gone
        ]
    return as_csv(_COLUMNS, rows)


def as_csv(columns: Sequence[str], rows: Iterable[Sequence[object]]) -> bytes:
    """CSV (RFC 4180) in UTF-8 with a byte order mark; no cell of it can run as a formula."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    writer.writerow(columns)
    writer.writerows([guarded(str(cell)) for cell in row] for row in rows)
    return out.getvalue().encode("utf-8-sig")


def found_csv(found: Iterable[Found], says: Callable[[Found], str]) -> bytes:
    """What was found, a row each; a thing with several lots has them in one cell."""
    columns = (
        *("kind", "id", "made_at", "label", "number", "maker", "lots"),
        *("outcome", "basis", "says", "people", "consignment_id"),
    )
    rows = (
        (
            *(one.kind, one.id, one.at.isoformat(timespec="seconds"), one.label, one.number),
            *(one.maker, "; ".join(one.lots), one.outcome, one.basis, says(one)),
            *("; ".join(one.people), one.consignment_id or ""),
        )
        for one in found
    )
    return as_csv(columns, rows)


def offers_csv(entries: Iterable[Entry], say: Phrases) -> bytes:
    """Refused offers, a row each."""
    rows = (
        (
            *(entry.at.date().isoformat(), say(f"offer.channel.{entry.content['channel']}")),
            *(entry.content["goods"], entry.content["pieces"] or ""),
            "; ".join(say(f"offer.why.{one}") for one in entry.content["why"]),
            *(entry.context.actor.name, entry.id),
        )
        for entry in entries
    )
    return as_csv(("day", "channel", "goods", "pieces", "why", "by", "offer_id"), rows)


def recall_message(found: Recall, recipient: str, pieces: int, say: Phrases) -> str:
    """What a recipient is told: what to do, with no word on why and no finding about anyone."""
    parts = [
        say("recall.to", recipient=shown(recipient)),
        say("recall.had", pieces=pieces, lot=shown(found.lot)),
        say(f"recall.do.{found.notice}"),
        say("recall.notice", words=shown(found.words)) if found.words else "",
        say("recall.answer") if found.notice != "information" else "",
        say("recall.no_finding"),
    ]
    return "\n".join(part for part in parts if part)


def hand_over_sheet(sorting: Sorting, made_at: dt.datetime, head: str, say: Phrases) -> Document:
    """The sheet that goes with the bins; a competent person signs it on paper."""
    rows = tuple(
        (say(f"bin.{name}"), say(f"bin.do.{name}"), str(count))
        for name, count in sorted(sorting.counts.items())
        if count
    )
    headings = _headings(say, "bin", "to_do", "pieces")
    groups = tuple(
        (
            words.moment(one.at),
            say(f"bin.{one.bin}"),
            str(one.count),
            shown(one.by),
            say("bins.photo_kept" if one.unit_id else "bins.no_photo"),
        )
        for one in sorting.groups
    )
    handed = tuple(
        say(
            "bins.handed",
            to=shown(one.received_by),
            by=shown(one.by),
            at=words.moment(one.at),
            pieces=sum(one.counts.values()),
        )
        + (f" {shown(one.words)}" if one.words else "")
        for one in sorting.handed_over
    )
    late = (say("bins.late", groups=sorting.late),) if sorting.late else ()
    sections = (
        Section(
            say("bins.section.counts"),
            (say("bins.never_released"), say("bins.all", pieces=sorting.pieces)),
            Table(headings, rows),
        ),
        Section(say("bins.section.sign"), (*handed, *late, say("bins.sign"), say("bins.line"))),
        Section(
            say("bins.section.groups"),
            (),
            Table(_headings(say, "when", "bin", "pieces", "by", "photo"), groups),
        ),
    )
    title = say("bins.title", place=f": {shown(sorting.place)}" if sorting.place else "")
    return Document("bins", title, made_at, (), sections, head, say.language)


def donor_note(sorting: Sorting | None, made_at: dt.datetime, say: Phrases) -> tuple[str, ...]:
    """The note for whoever brought goods: thanks, what may happen to them, and no promise."""
    told = [say("donor.thanks", day=made_at.date().isoformat())]
    if sorting is not None and sorting.pieces:
        told.append(say("donor.counted", pieces=sorting.pieces))
    return (*told, say("donor.checked"), say("donor.may_be"), say("donor.no_promise"))


def _headings(say: Phrases, *keys: str) -> tuple[str, ...]:
    return tuple(say(f"stores.column.{key}") for key in keys)
