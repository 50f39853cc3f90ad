"""`inkwitness papers`: papers typed into a file, compared with typed print. Nothing is kept."""

import datetime as dt
from pathlib import Path

import typer
from pydantic import TypeAdapter, ValidationError

from inkwitness import phrases
from inkwitness.consignment.papers.examples import beside_of
from inkwitness.consignment.papers.judge import judge, next_step, says, source_of
from inkwitness.consignment.papers.values import PapersJudged
from inkwitness.errors import BadInput
from inkwitness.phrases import Phrases
from inkwitness.rulebook import Rulebook, load
from inkwitness.rulebook.papers import Paper, PaperExample
from inkwitness.yaml_text import read_yaml

app = typer.Typer(no_args_is_help=True, add_completion=False)
_PAPERS = TypeAdapter(list[Paper])


@app.callback()
def papers() -> None:
    """Papers beside the print."""


@app.command("check")
def check(
    file: Path = typer.Argument(..., help="YAML or JSON: one paper by its fields, or a list."),
    print_: str = typer.Option(
        "", "--print", help="Print of the goods, typed, lines parted by ' / '."
    ),
    box: str = typer.Option("", help="Print of the box, typed, lines parted by ' / '."),
    on: str = typer.Option("", help="Day to look for, YYYY-MM-DD; without it, today."),
    lang: str = typer.Option("en", help="Language of the sentences: en, es, fr, pt, hi, ar."),
) -> None:
    """Say what papers raise, by themselves, beside each other and beside typed print.

    Exit code 1 where something is missing, does not agree or cannot be told.
    """
    first, *others = _read(file)
    rulebook, say = load(), phrases.shipped().of(lang)
    example = PaperExample(first, tuple(others), print=print_, box=box, on=_day(on))
    found = judge(beside_of(example, rulebook), rulebook)
    _show(found, rulebook, say)
    if found.state != "no_conflict_found":
        raise typer.Exit(1)


def _show(found: PapersJudged, rulebook: Rulebook, say: Phrases) -> None:
    print(phrases.capital(say(f"state.{found.state}")))
    for finding in found.findings:
        kind = "question" if finding.question else finding.severity
        print(f"- {say(f'kind.{kind}')}: {says(finding, say)}")
        if step := next_step(finding, rulebook, say):
            print(f"  {step}")
        print(f"  {finding.rule}  [{source_of(finding, rulebook)}]")


def _read(file: Path) -> list[Paper]:
    if not file.is_file():
        raise BadInput("paper_no_file", file=str(file))
    content = read_yaml(file).content
    rows = content if isinstance(content, list) else [content]
    if not rows:
        raise BadInput("file_no_paper", file=str(file))
    try:
        return _PAPERS.validate_python(rows)
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"])
        raise BadInput("paper_file_field", file=str(file), field=where, why=first["msg"]) from error


def _day(text: str) -> dt.date:
    try:
        return dt.date.fromisoformat(text) if text else dt.datetime.now(dt.UTC).date()
    except ValueError as error:
        raise BadInput("on_no_day") from error
