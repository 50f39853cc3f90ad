"""python -m tests.renderer photos|lines|samples"""

from __future__ import annotations

import argparse
import json
from pathlib import Path

import cv2

from tests.renderer.printed.faces import check_faces
from tests.renderer.printed.kinds import compose_kind, kinds
from tests.renderer.printed.schemes import SCHEMES

from .photo import DIFFICULTIES, in_turn, render_kind, render_photo
from .samples import make_samples
from .writing import write_photo


def _photos(args: argparse.Namespace) -> None:
    args.out.mkdir(parents=True, exist_ok=True)
    wishes = in_turn(args.mix)
    for index in range(args.count):
        seed = args.first_seed + index
        wish = args.difficulty or (wishes[index % len(wishes)] if wishes else None)
        if args.kind:
            made = render_kind(seed, compose_kind(kinds()[args.kind], seed), wish)
        else:
            made = render_photo(seed, wish, args.scheme)
        write_photo(made, args.out / f"m{seed}.jpg")


def _lines(args: argparse.Namespace) -> None:
    from .line import render_line

    args.out.mkdir(parents=True, exist_ok=True)
    with (args.out / "lines.jsonl").open("w", encoding="utf-8") as file:
        for seed in range(args.first_seed, args.first_seed + args.count):
            strip, text = render_line(seed)
            name = f"l{seed}.png"
            cv2.imwrite(str(args.out / name), strip)
            file.write(json.dumps({"file": name, "text": text, "seed": seed}, ensure_ascii=False))
            file.write("\n")


def main() -> None:
    """Entry point."""
    parser = argparse.ArgumentParser(prog="python -m tests.renderer", description=__doc__)
    commands = parser.add_subparsers(dest="command", required=True)
    for name in ("photos", "lines"):
        sub = commands.add_parser(name)
        sub.add_argument("--count", type=int, default=10)
        sub.add_argument("--first-seed", type=int, default=1)
        sub.add_argument("--out", type=Path, required=True)
        if name == "photos":
            sub.add_argument("--difficulty", choices=DIFFICULTIES)
            sub.add_argument("--scheme", choices=SCHEMES)
            drawable = [name for name, kind in kinds().items() if kind.latin]
            sub.add_argument("--kind", choices=drawable, help="a kind of layout")
            sub.add_argument("--mix", type=int, nargs=3, default=(0, 0, 0),
                             metavar=("EASY", "MEDIUM", "HARD"),
                             help="wish these difficulties in turn, e.g. 6 5 4")  # fmt: skip
    samples = commands.add_parser("samples")
    samples.add_argument("--out", type=Path, default=Path("sample_images"))
    samples.add_argument("--only", nargs="*", default=())
    args = parser.parse_args()
    check_faces()
    if args.command == "photos":
        _photos(args)
    elif args.command == "lines":
        _lines(args)
    else:
        make_samples(args.out, args.only)


if __name__ == "__main__":
    main()
