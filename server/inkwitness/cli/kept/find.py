"""`inkwitness find` and `inkwitness stock`: units, consignments and lots, from the data folder."""

import datetime as dt
import sys
from contextlib import closing
from pathlib import Path
from typing import Annotated

import typer
from sqlalchemy import Connection

from inkwitness import phrases, rulebook
from inkwitness.api.routes.stores.find import FoundState, says
from inkwitness.api.settings import Settings
from inkwitness.cli.check import date_of
from inkwitness.consignment.gate import Terms
from inkwitness.errors import BadInput
from inkwitness.holders.ended import ended_on
from inkwitness.phrases import Language
from inkwitness.records import lists
from inkwitness.records.finding.finder import Finder
from inkwitness.records.finding.found import Asked
from inkwitness.records.store import look_at_store
from inkwitness.reports import stores as sheets
from inkwitness.use_cases.stores import stock

app = typer.Typer(no_args_is_help=True, add_completion=False)
Data = Annotated[Path, typer.Option(help="Folder with database and photos.")]
AsCsv = Annotated[bool, typer.Option("--csv", help="As CSV, for a spreadsheet.")]
Lang = Annotated[Language, typer.Option(help="Language of what is said.")]


def find(
    words: Annotated[list[str] | None, typer.Argument(help="Words, each anywhere.")] = None,
    number: Annotated[str, typer.Option(help="Approval number, or a part of it.")] = "",
    lot: Annotated[str, typer.Option(help="Lot, or a part of it.")] = "",
    maker: Annotated[str, typer.Option(help="Holder or supplier.")] = "",
    person: Annotated[str, typer.Option(help="Who wrote or decided.")] = "",
    state: Annotated[FoundState | None, typer.Option(help="How it stands.")] = None,
    since: Annotated[str, typer.Option(help="First day, YYYY-MM-DD.")] = "",
    until: Annotated[str, typer.Option(help="Last day, YYYY-MM-DD.")] = "",
    most: Annotated[int, typer.Option(min=1, help="Rows at most.")] = 50,
    as_csv: AsCsv = False,
    data: Data = Path("data"),
    lang: Lang = "en",
) -> None:
    """Find units and consignments again, the newest first.

    Exit code 0: something was found; 1: nothing; 2: bad usage.
    """
    asked = Asked(
        words=" ".join(words or []),
        number=number,
        lot=lot,
        maker=maker,
        person=person,
        state=state or "",
        since=_day(since),
        until=_day(until),
    )
    with (
        closing(look_at_store(data)) as store,
        closing(Finder(data)) as finder,
        store.database.reading() as conn,
    ):
        finder.catch_up(conn, seconds=float("inf"))
        found, more = finder.find(asked, limit=most)
    say = phrases.shipped().of(lang)
    if as_csv:
        sys.stdout.write(sheets.found_csv(found, lambda one: says(one, say)).decode("utf-8-sig"))
    else:
        for one in found:
            told = (one.number, one.maker, ", ".join(one.lots), one.label)
            what = " · ".join(text for text in told if text)
            print(f"{one.at.date()}  {one.kind:11}  {one.id}  {says(one, say)}  {what}")
        if more:
            print(say("find.more", most=most))
    raise typer.Exit(0 if found else 1)


@app.command("where")
def where(
    lot: Annotated[str, typer.Argument(help="The lot, as it is printed.")],
    on: Annotated[str | None, typer.Option(help="Day to say it for, YYYY-MM-DD.")] = None,
    data: Data = Path("data"),
    lang: Lang = "en",
) -> None:
    """Say where a lot is, who has pieces of it, and how it stands.

    Exit code 0: it was in store once; 1: it was not; 2: bad usage.
    """
    say = phrases.shipped().of(lang)
    with closing(look_at_store(data)) as store, store.database.reading() as conn:
        found, alike = stock.where(conn, lot, _terms(conn, date_of(on)))
    for one in found:
        print(one.lot)
        for line in one.lines:
            pile = line.pile
            box = f", {pile.carton}" if pile.carton else ""
            print(f"  {pile.pieces:>7}  {pile.place}{box}  {say(f'stock.status.{line.status}')}")
        for hand in one.stock.hands:
            print(f"  {hand.pieces:>7}  {hand.recipient}  {say('stock.move.handed_out')}")
        for gone in one.stock.gone:
            print(f"  {gone.pieces:>7}  {say(f'stock.move.{gone.how}')}")
        for notice in one.stock.recalls:
            print(
                say(
                    "recall.count",
                    day=notice.on.isoformat(),
                    out=notice.out,
                    back=notice.recovered,
                    used=notice.used_up,
                    left=notice.unaccounted,
                )
            )
    if not found:
        print(say("find.no_lot", alike=", ".join(alike) or "–"))
    raise typer.Exit(0 if found else 1)


@app.command("list")
def list_stock(
    like: Annotated[str, typer.Option(help="Letters of the lot.")] = "",
    on: Annotated[str | None, typer.Option(help="Day to say it for, YYYY-MM-DD.")] = None,
    data: Data = Path("data"),
    lang: Lang = "en",
) -> None:
    """Write the stock list as CSV: lot, carton, place, pieces, and how they stand."""
    with closing(look_at_store(data)) as store, store.database.reading() as conn:
        found, _ = stock.page(conn, _terms(conn, date_of(on)), limit=1_000_000, like=like)
    sys.stdout.write(sheets.stock_csv(found, phrases.shipped().of(lang)).decode("utf-8-sig"))


def _terms(conn: Connection, on: dt.date) -> Terms:
    """What a release waits for, by the settings of this machine and the list of the data folder."""
    return Settings().terms(rulebook.shipped().schemes, on, ended_on(lists.current(conn), on))


def _day(text: str) -> dt.date | None:
    try:
        return dt.date.fromisoformat(text) if text else None
    except ValueError as error:
        raise BadInput("no_date", text=text) from error
