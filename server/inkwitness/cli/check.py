"""`inkwitness check`: photographs in, one report (or one JSON line) each out.

With `--unit` the photographs are of one unit: after them comes one report (or JSON line) more, on
what they come to together.
"""

import datetime as dt
import json
import os
import sys
import traceback
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Annotated, cast, get_args

import typer
from pydantic import BaseModel
from rich.console import Console
from rich.progress import track

from inkwitness import rulebook
from inkwitness.check.judge import Criteria
from inkwitness.check.outward import check_out, unit_check_out
from inkwitness.check.pipeline import check_bytes
from inkwitness.check.reader import PhotoReader
from inkwitness.check.unit import judge_unit
from inkwitness.check.values import UnitPhoto
from inkwitness.cli.report import report_text, unit_text
from inkwitness.cli.speaking import Lang, spoken
from inkwitness.errors import BadInput, TooLarge
from inkwitness.findings.looks import pairs, words_of
from inkwitness.findings.values import Circumstances, Surface, Whole
from inkwitness.holders.files.importing import read_csv
from inkwitness.photo.containers import KINDS_SAID
from inkwitness.photo.decode import MAX_BYTES
from inkwitness.phrases import Phrases


def check(
    photos: Annotated[
        list[str],
        typer.Argument(
            help=f"Photographs: {KINDS_SAID}. With --unit each may say what it shows: "
            "PHOTO:SURFACE or PHOTO:SURFACE:WHOLE.",
            metavar="PHOTO...",
        ),
    ],
    surface: Annotated[Surface, typer.Option(help="What the photo shows.")] = "facepiece",
    whole: Annotated[Whole, typer.Option(help="Is all of it in the photo?")] = "unknown",
    holders: Annotated[Path | None, typer.Option(help="Your list of holders, as CSV.")] = None,
    on: Annotated[str | None, typer.Option(help="Date of the check, YYYY-MM-DD.")] = None,
    max_age: Annotated[int, typer.Option(help="Days after which your list is too old.")] = 30,
    unit: Annotated[
        bool, typer.Option("--unit", help="The photos are of one unit: check them together too.")
    ] = False,
    look: Annotated[
        list[str] | None,
        typer.Option(
            "--look",
            help="What you saw beside the print, NAME=ANSWER, such as fastening=ear_loops; "
            "again for each. What is not named was not looked at.",
        ),
    ] = None,
    lang: Lang = "en",
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object a line.")] = False,
) -> None:
    """Read the print of each photo: what it says, what is missing, what contradicts what.

    Exit code 0: no conflict found in any (with --unit: in the unit); 1: some other outcome;
    2: bad usage, or a file that is no photo (the others are still checked); 3: a fault, so that
    what was printed may not be all.
    """
    day = date_of(on)
    seen = words_of(pairs(look or []))
    asked = [_asked(text, Circumstances(day, surface, whole, seen), placed=unit) for text in photos]
    rules = rulebook.load()
    criteria = Criteria(rules, read_csv(holders) if holders else None, max_age)
    reader = PhotoReader(rulebook=rules)
    reader.load()
    say = spoken()
    made: list[UnitPhoto] = []
    faults = 0
    for path, circumstances in _in_turn(asked, say, quiet=as_json):
        name = _printable(path.name)
        try:
            made_of = check_bytes(_bytes_of(path), name, reader, criteria, circumstances)
        except BadInput as problem:
            _tell(f"{_printable(str(path))}: {problem.said(say)}")
            continue
        except Exception as fault:
            # one photo's fault is told and the others are still checked
            traceback.print_exception(fault)
            told = say("terminal.fault", fault=type(fault).__name__)
            _tell(f"{_printable(str(path))}: {told}")
            faults += 1
            continue
        made.append(UnitPhoto(made_of, circumstances))
        shown = check_out(made_of, rules, lang)
        print(_json(shown) if as_json else report_text(shown, say), flush=True)
    if len(made) < len(asked):
        left = len(asked) - len(made)
        _tell(say("terminal.not_checked", left=left, all=len(asked)))
        if unit:
            _tell(say("terminal.unit_not_checked"))
        raise typer.Exit(3 if faults else 2)
    outcomes = [one.check.judgement.outcome for one in made]
    if unit:
        together = unit_check_out(judge_unit(made, criteria, day), rules, lang)
        print(_json(together) if as_json else unit_text(together, say), flush=True)
        outcomes = [together.outcome]
    raise typer.Exit(0 if all(outcome == "no_conflict_found" for outcome in outcomes) else 1)


def _asked(text: str, about: Circumstances, *, placed: bool) -> tuple[Path, Circumstances]:
    """The file, and what is said of it: `face.jpg:facepiece:yes` with --unit, else the file alone.

    A colon that is followed by no surface belongs to the file's name.
    """
    if not placed:
        return Path(text), about
    name, _, last = text.rpartition(":")
    whole: Whole = about.whole
    if last in get_args(Whole):
        whole = cast(Whole, last)
        name, _, last = name.rpartition(":")
    if not name or last not in get_args(Surface):
        return Path(text), about
    return Path(name), replace(about, surface=cast(Surface, last), whole=whole)


def date_of(text: str | None) -> dt.date:
    """The date given as YYYY-MM-DD, or today where none is given: only the edge asks the clock."""
    if text is None:
        return dt.datetime.now().astimezone().date()
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise BadInput("no_date", text=text) from None


def _bytes_of(path: Path) -> bytes:
    """The file's bytes; one over the limit is not read whole to be refused."""
    try:
        with path.open("rb") as file:
            data = file.read(MAX_BYTES + 1)
            size = os.fstat(file.fileno()).st_size
    except (OSError, ValueError) as problem:
        why = problem.strerror if isinstance(problem, OSError) else str(problem)
        raise BadInput("photo_not_opened", why=why) from problem
    if len(data) > MAX_BYTES:
        raise TooLarge(
            "file_too_large", size=f"{max(size, len(data)) / 2**20:.1f}", limit=MAX_BYTES // 2**20
        )
    return data


def _printable(name: str) -> str:
    """A file's name in letters: bytes of it that are none are written as escapes."""
    return name.encode("utf-8", "surrogateescape").decode("utf-8", "backslashreplace")


def _json(out: BaseModel) -> str:
    """One line of JSON that any output takes: letters it may not have are JSON's own escapes."""
    if (sys.stdout.encoding or "").lower().replace("-", "") in ("utf8", "utf8sig"):
        return out.model_dump_json()
    return json.dumps(out.model_dump(mode="json"), separators=(",", ":"))


def _tell(what: str) -> None:
    print(f"inkwitness: {what}", file=sys.stderr, flush=True)


def _in_turn(
    photos: list[tuple[Path, Circumstances]], say: Phrases, *, quiet: bool
) -> Iterable[tuple[Path, Circumstances]]:
    console = Console(stderr=True)
    if quiet or len(photos) < 2 or not console.is_terminal:
        return photos
    return track(photos, description=say("terminal.reading"), console=console)
