"""`inkwitness typed`: print that a person typed, where no photo can be taken."""

from pathlib import Path
from typing import Annotated

import typer

from inkwitness import phrases, rulebook
from inkwitness.check.judge import Criteria, judge
from inkwitness.check.outward import check_out
from inkwitness.check.typed import typed_reading
from inkwitness.check.values import Check
from inkwitness.cli.check import date_of
from inkwitness.cli.report import report_text
from inkwitness.findings.values import Circumstances, Surface, Whole
from inkwitness.holders.files.importing import read_csv
from inkwitness.phrases import Language


def typed(
    lines: Annotated[list[str], typer.Argument(help="What is printed, a line an argument.")],
    by: Annotated[str, typer.Option(help="Who typed it.")],
    surface: Annotated[Surface, typer.Option(help="Where it is printed.")] = "facepiece",
    whole: Annotated[Whole, typer.Option(help="Was all print of it typed?")] = "unknown",
    holders: Annotated[Path | None, typer.Option(help="Your list of holders, as CSV.")] = None,
    on: Annotated[str | None, typer.Option(help="Date of the check, YYYY-MM-DD.")] = None,
    max_age: Annotated[int, typer.Option(help="Days after which your list is too old.")] = 30,
    lang: Annotated[Language, typer.Option(help="Language of what is said.")] = "en",
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object.")] = False,
) -> None:
    """Judge typed print by the same rules as a photo. It is never more than a reading.

    Exit code 0: no conflict found; 1: some other outcome; 2: bad usage.
    """
    say = phrases.shipped().of(lang)
    rules = rulebook.load()
    reading = typed_reading(lines, say("typed.by", name=by), rules)
    criteria = Criteria(rules, read_csv(holders) if holders else None, max_age)
    check = Check(reading, judge(reading, criteria, Circumstances(date_of(on), surface, whole)))
    shown = check_out(check, rules, lang)
    print(shown.model_dump_json() if as_json else report_text(shown, say))
    raise typer.Exit(0 if shown.outcome == "no_conflict_found" else 1)
