"""`inkwitness check`: photographs in, one report (or one JSON line) each out."""

import datetime as dt
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.progress import track

from inkwitness import rulebook
from inkwitness.check.pipeline import Checker, check_bytes
from inkwitness.cli.report import report_text
from inkwitness.errors import BadInput
from inkwitness.findings.values import Circumstances, Surface, Whole
from inkwitness.holders.importing import read_csv
from inkwitness.reading.engines import load_readers


def check(
    photos: Annotated[list[Path], typer.Argument(help="Photographs: JPEG, PNG, WebP or HEIC.")],
    surface: Annotated[Surface, typer.Option(help="What the photo shows.")] = "facepiece",
    whole: Annotated[Whole, typer.Option(help="Is all of it in the photo?")] = "unknown",
    holders: Annotated[Path | None, typer.Option(help="Your list of holders, as CSV.")] = None,
    on: Annotated[str | None, typer.Option(help="Date of the check, YYYY-MM-DD.")] = None,
    max_age: Annotated[int, typer.Option(help="Days after which your list is too old.")] = 30,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object a line.")] = False,
) -> None:
    """Read the print of each photo: what it says, what is missing, what contradicts what.

    Exit code 0: no conflict found in any; 1: some other outcome; 2: bad usage, or a file that is
    no photo (the others are still checked).
    """
    circumstances = Circumstances(on=date_of(on), surface=surface, whole=whole)
    checker = Checker(
        readers=load_readers(),
        rulebook=rulebook.load(),
        holder_list=read_csv(holders) if holders else None,
        max_age_days=max_age,
    )
    outcomes: list[str] = []
    no_photo = False
    for path in _in_turn(photos, quiet=as_json):
        try:
            checked = check_bytes(_bytes_of(path), path.name, checker, circumstances).out
        except BadInput as problem:
            no_photo = True
            print(f"inkwitness: {path}: {problem.message}", file=sys.stderr, flush=True)
            continue
        outcomes.append(checked.outcome)
        print(checked.model_dump_json() if as_json else report_text(checked), flush=True)
    if no_photo:
        raise typer.Exit(2)
    raise typer.Exit(0 if all(outcome == "no_conflict_found" for outcome in outcomes) else 1)


def date_of(text: str | None) -> dt.date:
    """The date given as YYYY-MM-DD, or today where none is given: only the edge asks the clock."""
    if text is None:
        return dt.datetime.now().astimezone().date()
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise BadInput(f"'{text}' is no date. Write YYYY-MM-DD, for example 2026-11-25.") from None


def _bytes_of(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as problem:
        raise BadInput(f"{problem.strerror}. Name a photo file that can be opened.") from problem


def _in_turn(photos: list[Path], *, quiet: bool) -> Iterable[Path]:
    console = Console(stderr=True)
    if quiet or len(photos) < 2 or not console.is_terminal:
        return photos
    return track(photos, description="Reading", console=console)
