"""python -m tests.bench stock: where a lot is, and finding units again, over many rows.

20,000 movements of 2,000 lots in 400 consignments, a tenth of which were released: how long
"where is lot X?" takes, a page of the stock list, the whole list, and who received what. Nothing
here is a test: numbers depend on the machine.
"""

import argparse
import datetime as dt
import json
import random
import statistics
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path

from inkwitness.consignment.gate import Terms
from inkwitness.records import chain, consignments
from inkwitness.records.database import Database, open_database
from inkwitness.records.finding.finder import Finder
from inkwitness.records.finding.found import Asked
from inkwitness.records.store import new_id
from inkwitness.records.tables import checks, decisions, photos, readings, units
from inkwitness.records.tables import stock as stock_table
from inkwitness.use_cases.stores import stock
from tests.holders import stock as made_units
from tests.holders.stock import CONTEXT

DAY = dt.date(2031, 3, 18)
TERMS = Terms(on=DAY)


def fill(database: Database, rows: int, dice: random.Random) -> list[str]:
    """Invented goods: consignments, a release of every tenth, and `rows` movements; the lots."""
    lots = [f"L{number:05d}" for number in range(max(1, rows // 10))]
    with database.writing() as conn:
        goods = []
        for number in range(max(1, rows // 50)):
            declared = {
                "label": f"FICTIONAL {number}",
                "supplier": "Kestrane",
                "lots": [],
                "units_declared": 400,
            }
            goods.append(new_id())
            consignments.make(conn, goods[-1], declared, CONTEXT)
            if number % 10 == 0:
                decided = {
                    "unit_id": None,
                    "consignment_id": goods[-1],
                    "disposition": "release",
                    "reason": "bench",
                    "limits": "",
                }
                chain.append(conn, decisions, new_id(), decided, CONTEXT)
        for number in range(rows):
            lot = lots[number % len(lots)]
            owner = goods[hash(lot) % len(goods)]
            out = number >= len(lots) and dice.random() < 0.5
            row = {
                "consignment_id": owner,
                "unit_id": None,
                "lot": lot,
                "carton": f"C{number // len(lots):03d}",
                "kind": "handed_out" if out else "received",
                "pieces": dice.randrange(10, 400),
                "place": f"Store {dice.randrange(9)}",
                "to_place": "",
                "recipient": f"Ward {dice.randrange(40)}" if out else "",
                "purpose": "protection",
                "recall": "",
                "notice": "recall",
                "words": "",
                "on": DAY.isoformat(),
            }
            chain.append(conn, stock_table, new_id(), row, CONTEXT)
    return lots


def fill_units(database: Database, count: int, dice: random.Random) -> list[str]:
    """Invented units, each with a photo, a reading of four marks and its check; their numbers."""
    held = None
    with database.writing() as conn:
        photo_id = made_units.add(conn, held, ("TC-84A-9981", "Vexholm", "VX-910", "N95"))
        whole = chain.entries(conn, readings, photo_id=photo_id)[0].content
        check = chain.entries(conn, checks, photo_id=photo_id)[-1].content
        photo = chain.get(conn, photos, photo_id).content
    numbers = []
    for start in range(0, count, 500):
        with database.writing() as conn:
            for number in range(start, min(count, start + 500)):
                numbers.append(f"TC-84A-{number:05d}")
                ids = [new_id() for _ in range(4)]
                label = f"shelf {dice.randrange(40)}"
                unit = {"label": label, "count": 1, "consignment_id": None}
                chain.append(conn, units, ids[0], unit, CONTEXT)
                mine = {**photo, "unit_id": ids[0]}
                chain.append(conn, photos, ids[1], mine, CONTEXT)
                text = json.dumps(whole).replace("TC-84A-9981", numbers[-1])
                read = {**json.loads(text), "photo_id": ids[1]}
                chain.append(conn, readings, ids[2], read, CONTEXT)
                judged = {**check, "photo_id": ids[1], "reading_id": ids[2]}
                judged["approval_number"] = numbers[-1]
                chain.append(conn, checks, ids[3], judged, CONTEXT)
    return numbers


def spent(work: Callable[[], object], times: int) -> str:
    """Median and longest of some runs, in seconds."""
    seconds = []
    for _ in range(times):
        started = time.perf_counter()
        work()
        seconds.append(time.perf_counter() - started)
    return f"median {statistics.median(seconds):.3f} s, longest {max(seconds):.3f} s"


def main(argv: Sequence[str] | None = None) -> None:
    """Entry point."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench stock", description=__doc__)
    parser.add_argument("--rows", type=int, default=20_000)
    parser.add_argument("--units", type=int, default=20_000)
    parser.add_argument("--times", type=int, default=100)
    args = parser.parse_args(argv)
    dice = random.Random(7)
    with tempfile.TemporaryDirectory() as folder:
        database = open_database(Path(folder) / "bench.sqlite")
        lots = fill(database, args.rows, dice)

        def where() -> object:
            with database.reading() as conn:
                return stock.where(conn, dice.choice(lots), TERMS)

        def page() -> object:
            with database.reading() as conn:
                return stock.page(conn, TERMS, limit=50, after=dice.choice(lots))

        def whole() -> object:
            with database.reading() as conn:
                return stock.page(conn, TERMS, limit=1_000_000)

        def received() -> object:
            with database.reading() as conn:
                return stock.received_by(conn, f"Ward {dice.randrange(40)}")

        print(f"{args.rows} movements of {len(lots)} lots")
        print(f"where is lot X        {spent(where, args.times)} (aim: 0.3 s)")
        print(f"a page of 50 lots     {spent(page, max(1, args.times // 5))}")
        print(f"who received what     {spent(received, max(1, args.times // 10))}")
        print(f"the whole list        {spent(whole, 1)}")
        if args.units:
            find(database, Path(folder), args.units, args.times, dice)
        database.close()


def find(database: Database, folder: Path, count: int, times: int, dice: random.Random) -> None:
    """How long it takes to find one of many units again, and to take up all that is new."""
    numbers = fill_units(database, count, dice)
    finder = Finder(folder)
    started = time.perf_counter()
    with database.reading() as conn:
        finder.catch_up(conn, seconds=float("inf"))
    print(f"{count} units taken up once in {time.perf_counter() - started:.1f} s")

    def ask(asked: Callable[[], Asked]) -> str:
        def work() -> object:
            with database.reading() as conn:
                finder.catch_up(conn)
            return finder.find(asked(), limit=50)

        return spent(work, times)

    print(f"by a number           {ask(lambda: Asked(words=dice.choice(numbers)))}")
    print(f"by what most have     {ask(lambda: Asked(words='vexholm'))}")
    print(f"by what none has      {ask(lambda: Asked(words='brisdaal'))}")
    print(f"by state and day      {ask(lambda: Asked(state='not_read', since=DAY))}")
    finder.close()
