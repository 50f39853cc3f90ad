"""python -m tests.bench holders: looking numbers up, and judging stock again, side by side.

Against 100,000 invented numbers: an exact and a near look-up of one number, beside one
`rapidfuzz.process.extract` over the same numbers, in one run, in turn. Then 5,000 confirmed units
judged against a new edition through the real pipeline. Nothing here is a test: numbers depend on
the machine; ratios within one run are what is to be read.
"""

import argparse
import datetime as dt
import random
import statistics
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from rapidfuzz import process
from rapidfuzz.distance import OSA, Levenshtein

from inkwitness.holders.lookup import index_of
from inkwitness.holders.match import match
from inkwitness.holders.search import search
from inkwitness.holders.values import HolderEntry, HolderList
from inkwitness.marks.values import Mark
from inkwitness.records import lists
from inkwitness.records.database import open_database
from inkwitness.records.store import new_id
from inkwitness.use_cases.judged import rechecks
from tests.holders import stock
from tests.holders.make_pairs import _OWN

DAY = dt.date(2031, 3, 12)
KEYS = {"us-niosh": ("approval_number",)}


def made_list(size: int, dice: random.Random) -> HolderList:
    """A list of invented numbers: four and five digits, and certificate-like ones."""
    numbers: set[str] = set()
    while len(numbers) < size:
        kind = dice.random()
        if kind < 0.1:
            numbers.add(f"TC-84A-{dice.randrange(10_000):04d}")
        elif kind < 0.6:
            numbers.add(f"TC-84A-{dice.randrange(10_000_000):07d}")
        else:
            letters = "".join(dice.choice("ABCDKRSTXZ") for _ in range(2))
            numbers.add(f"{letters}/{dice.randrange(20, 34)}/{dice.randrange(1_000_000):06d}")
    entries = tuple(
        HolderEntry(
            "us-niosh",
            dice.choice(_OWN),
            number,
            models=(f"M-{i}",),
            filter_classes=("N95",),
            status="current",
            checked_on=DAY,
        )
        for i, number in enumerate(sorted(numbers))
    )
    return HolderList("bench", entries, None, DAY)


def median(work: Callable[[str], object], queries: list[str]) -> float:
    """Median milliseconds a query."""
    spent = []
    for query in queries:
        started = time.perf_counter()
        work(query)
        spent.append(1000 * (time.perf_counter() - started))
    return statistics.median(spent)


def look_ups(size: int, count: int) -> None:
    dice = random.Random(5)
    held = made_list(size, dice)
    started = time.perf_counter()
    index = index_of(held)
    scheme = index.scheme("us-niosh")
    assert scheme is not None
    scheme.near("approval_number")
    print(f"index of {size} entries made once in {time.perf_counter() - started:.2f} s")
    numbers = [entry.approval_number for entry in held.entries]
    listed = dice.sample(numbers, count)
    misread = [number[:-1] + dice.choice("OISBG") for number in listed]

    def ours(number: str) -> object:
        mark = Mark("approval_number", number, number, "read", 1.0)
        return match([mark], ["us-niosh"], held, on=DAY, list_keys=KEYS)

    peers: dict[str, Callable[[str], object]] = {
        "process.extract, its default scorer": lambda q: process.extract(q, numbers, limit=5),
        "process.extract, Levenshtein, limit 5": lambda q: process.extract(
            q, numbers, scorer=Levenshtein.distance, limit=5
        ),
        "process.extract, OSA, cutoff 2": lambda q: process.extract(
            q, numbers, scorer=OSA.distance, score_cutoff=2, limit=5
        ),
    }
    exact, near = median(ours, listed), median(ours, misread)
    print(f"ours, exact look-up         {exact:9.3f} ms")
    print(f"ours, exact then near       {near:9.3f} ms")
    for name, peer in peers.items():
        spent = median(peer, misread[: max(5, count // 10)])
        print(f"{name:38s} {spent:9.3f} ms   exact+near is {near / spent:.4f} of it")
    typed = [number[:7] for number in listed[:20]]
    search(held, "TC")
    print(f"search as you type          {median(lambda q: search(held, q), typed):9.3f} ms")


def re_check(count: int) -> None:
    dice = random.Random(6)
    held = made_list(2000, dice)
    with tempfile.TemporaryDirectory() as folder:
        database = open_database(Path(folder) / "bench.sqlite")
        with database.writing() as conn:
            proposal, _ = lists.propose(conn, new_id(), held, stock.CONTEXT)
            lists.accept(conn, new_id(), proposal.id, stock.KEEPER)
            first = lists.current(conn)
        for _ in range(count // 100):
            with database.writing() as conn:
                for entry in dice.sample(held.entries, 100):
                    values = (entry.approval_number, entry.holder, entry.models[0], "N95")
                    stock.add(conn, first, values)
        ended = tuple(replace(one, status="rescinded") for one in dice.sample(held.entries, 50))
        with database.writing() as conn:
            proposal, _ = lists.propose(conn, new_id(), replace(held, entries=ended), stock.CONTEXT)
            edition, _ = lists.accept(conn, new_id(), proposal.id, stock.KEEPER)
            now = lists.current(conn)
        assert now is not None
        started = time.perf_counter()
        done = rechecks.recheck_all(
            database, stock.judge(), edition.id, now, stock.KEEPER, today=DAY
        )
        spent = time.perf_counter() - started
        with database.reading() as conn:
            changed = len(rechecks.changed_stock(conn, edition.id))
        database.close()
    print(f"re-check of {done} confirmed units: {spent:.1f} s, {changed} changed")


def main(argv: Sequence[str] | None = None) -> None:
    """Entry point."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench holders", description=__doc__)
    parser.add_argument("--entries", type=int, default=100_000)
    parser.add_argument("--queries", type=int, default=200)
    parser.add_argument("--units", type=int, default=5000)
    args = parser.parse_args(argv)
    look_ups(args.entries, args.queries)
    re_check(args.units)


if __name__ == "__main__":
    main()
