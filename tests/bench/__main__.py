"""python -m tests.bench reading [--made NAME=FOLDER ...] [--transcribed FOLDER] [--peers ...]
python -m tests.bench page [--runs N]"""

from __future__ import annotations

import argparse
import pickle
import sys
from pathlib import Path

from . import page
from .contestants import cached, ours, plain_tesseract, retold, stock
from .score import Score, table
from .truth import SCORED, made, transcribed


def main() -> None:
    """Entry point."""
    if sys.argv[1:2] == ["page"]:
        page.main(sys.argv[2:])
        return
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    commands = parser.add_subparsers(dest="command")
    reading = commands.add_parser("reading", help="ours, the stock pipeline, plain Tesseract")
    reading.add_argument("--made", action="append", default=[], metavar="NAME=FOLDER")
    reading.add_argument("--transcribed", action="append", default=[], metavar="NAME=FOLDER")
    reading.add_argument("--peers", nargs="*", default=("stock", "tesseract"),
                         choices=("stock", "tesseract"))  # fmt: skip
    reading.add_argument("--keep", type=Path, help="keep the peers' results here")
    reading.add_argument("--every", type=int, default=1, help="only every n-th photo")
    reading.add_argument("--notes", action="store_true", help="list what is not exact")
    reading.add_argument("--no-ours", action="store_true")
    reading.add_argument("--grammars", type=Path, help=argparse.SUPPRESS)
    args = parser.parse_args()
    if args.command == "reading":
        _reading(args)
    else:
        parser.error("name a benchmark: reading or page")


def _reading(args: argparse.Namespace) -> None:
    if args.grammars:
        grammars = pickle.loads(args.grammars.read_bytes())
    else:
        from inkwitness.rulebook import load

        grammars = load().grammars
    contestants = {} if args.no_ours else {"ours": ours(grammars)}
    if "stock" in args.peers:
        contestants["stock"] = cached("stock", stock(grammars), args.keep)
    if "tesseract" in args.peers:
        contestants["tesseract"] = cached("tesseract", plain_tesseract(grammars), args.keep)
    sets = [(name, made(Path(folder), grammars)) for name, folder in _named(args.made)]
    sets += [(name, transcribed(Path(folder))) for name, folder in _named(args.transcribed)]
    for name, cases in sets:
        scores = {who: Score() for who in contestants}
        for case in cases[:: args.every]:
            for who, contestant in contestants.items():
                result = contestant(case.file)
                if who != "ours":
                    result = retold(result, grammars)
                scores[who].add(case, result)
        groups = sorted({case.group for case in cases})
        print(table(name, scores, groups, list(SCORED)))
        foreign = sum(case.no_grammar for case in cases[:: args.every])
        print(f"\nmarks without a grammar, not scored: {foreign}\n")
        if args.notes and "ours" in scores:
            print("\n".join(scores["ours"].notes))


def _named(pairs: list[str]) -> list[tuple[str, str]]:
    return [(name, folder) for name, _, folder in (pair.partition("=") for pair in pairs)]


if __name__ == "__main__":
    main()
