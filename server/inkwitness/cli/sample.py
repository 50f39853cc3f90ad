"""`inkwitness sample`: how many to look at, which ones, and what that can show."""

import json
import sys
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Annotated, Any

import typer

from inkwitness import phrases
from inkwitness.cli.speaking import Lang
from inkwitness.errors import BadInput
from inkwitness.phrases import Language, Phrases
from inkwitness.sampling import answers
from inkwitness.sampling.answers import DrawAnswer
from inkwitness.sampling.arguments import Looked
from inkwitness.sampling.cartons import CartonQuestion
from inkwitness.sampling.statements import Statement

app = typer.Typer(no_args_is_help=True)

Lot = Annotated[int, typer.Option(help="Units in the lot.")]
Confidence = Annotated[str, typer.Option(help="Above 0, below 1, such as 0.95.")]
Sensitivity = Annotated[
    str, typer.Option(help="Share of nonconforming units that the check notices.")
]
Json = Annotated[bool, typer.Option("--json", help="One JSON object instead of sentences.")]


@app.command()
def plan(
    lot: Lot,
    aql: Annotated[str, typer.Option(help="0.010 to 10, as printed in the standard.")],
    level: Annotated[str, typer.Option(help="S-1 to S-4, I, II or III.")] = "II",
    inspection: Annotated[str, typer.Option(help="normal, tightened or reduced.")] = "normal",
    lang: Lang = "en",
    as_json: Json = False,
) -> None:
    """MIL-STD-105E single plan, for ordinary print and pack faults in a contract series."""
    answer = answers.answer_plan(lot, level, aql, inspection)
    found = answer.plan
    _show(
        {"letter": found.letter, "n": found.n, "accept": found.accept, "reject": found.reject},
        answer.statements,
        as_json,
        lang,
    )


@app.command()
def discovery(
    lot: Lot,
    nonconforming_share: Annotated[
        str | None, typer.Option(help="Smallest share to notice: 0.01 or '1 %'.")
    ] = None,
    nonconforming: Annotated[
        int | None, typer.Option(help="The same as a number of units.")
    ] = None,
    confidence: Confidence = "0.95",
    sensitivity: Sensitivity = "1",
    cartons: Annotated[int | None, typer.Option(help="Cartons in the lot, if known.")] = None,
    lang: Lang = "en",
    as_json: Json = False,
) -> None:
    """Smallest sample that shows at least one nonconforming unit, if there are so many."""
    answer = answers.answer_discovery(
        lot,
        nonconforming_share=nonconforming_share,
        nonconforming=nonconforming,
        confidence=confidence,
        sensitivity=sensitivity,
        cartons=cartons,
    )
    result: dict[str, Any] = {"n": answer.n, "nonconforming": answer.nonconforming}
    if cartons is not None:
        result["per_carton"] = answer.per_carton
    if answer.n is None:
        result["reason"] = answer.statements[0].said(_say(lang))
    _show(result, answer.statements, as_json, lang)


@app.command()
def cartons(
    cartons: Annotated[int, typer.Option(help="Cartons in the lot.")],
    per_carton: Annotated[int, typer.Option(help="Units in each.")],
    nonconforming_cartons: Annotated[
        int, typer.Option(help="Nonconforming cartons to notice.")
    ] = 1,
    nonconforming_inside: Annotated[
        int | None,
        typer.Option(help="Nonconforming units in a nonconforming carton; all, if not given."),
    ] = None,
    confidence: Confidence = "0.95",
    sensitivity: Sensitivity = "1",
    lang: Lang = "en",
    as_json: Json = False,
) -> None:
    """How many cartons to open, and how many units to look at in each."""
    question = CartonQuestion(
        cartons, per_carton, nonconforming_cartons, nonconforming_inside, sensitivity
    )
    answer = answers.answer_cartons(question, confidence)
    found = answer.plan
    result: dict[str, Any] = {
        "opened": found.opened if found else None,
        "looked_at": found.looked_at if found else None,
        "units": found.units if found else None,
        "chance": found.chance if found else None,
    }
    if found is None:
        result["reason"] = answer.statements[0].said(_say(lang))
    _show(result, answer.statements, as_json, lang)


@app.command()
def bound(
    looked_at: Annotated[int, typer.Option(help="Units looked at and told.")],
    differed: Annotated[int, typer.Option(help="Units confirmed to differ.")],
    lot: Annotated[
        int | None, typer.Option(help="Units in the lot; without it, a process is meant.")
    ] = None,
    confidence: Confidence = "0.95",
    sensitivity: Sensitivity = "1",
    seed: Annotated[str, typer.Option(help="Seed of the draw, for the sentence.")] = "",
    lacking: Annotated[int, typer.Option(help="Units on which a mark was not seen.")] = 0,
    untold: Annotated[int, typer.Option(help="Units that cannot be told.")] = 0,
    set_apart: Annotated[int, typer.Option(help="Units that a person set apart.")] = 0,
    design: Annotated[
        str, typer.Option(help="How they were chosen: random, cartons (drawn whole), chosen.")
    ] = "random",
    cartons: Annotated[int | None, typer.Option(help="Cartons in the lot.")] = None,
    opened: Annotated[int | None, typer.Option(help="Cartons opened.")] = None,
    lang: Lang = "en",
    as_json: Json = False,
) -> None:
    """Most nonconforming units that the lot may hold after this sample."""
    if lot is None:
        answer = answers.answer_process(looked_at, differed, confidence, sensitivity)
    else:
        looked = Looked(
            lot, looked_at, differed, untold, seed, design, cartons, opened, lacking, set_apart
        )
        answer = answers.answer_bound(looked, confidence, sensitivity)
    _show({"at_most": answer.at_most, "share": answer.share}, answer.statements, as_json, lang)


@app.command()
def estimate(
    looked_at: Annotated[int, typer.Option(help="Units looked at.")],
    flagged: Annotated[int, typer.Option(help="Units flagged, not confirmed one by one.")],
    sensitivity: Annotated[
        str, typer.Option(help="Share of nonconforming units that are flagged.")
    ],
    specificity: Annotated[str, typer.Option(help="Share of others that are left alone.")],
    confidence: Confidence = "0.95",
    lang: Lang = "en",
    as_json: Json = False,
) -> None:
    """Nonconforming share behind unconfirmed flags, where both error rates are known."""
    answer = answers.answer_estimate(looked_at, flagged, sensitivity, specificity, confidence)
    _show(asdict(answer.estimate), answer.statements, as_json, lang)


@app.command()
def draw(
    units: Annotated[
        str,
        typer.Option(
            help="Names, as C001..C100/U01..U40 or with commas; or a text file, one a line; or -."
        ),
    ],
    seed: Annotated[str, typer.Option(help="Made in public after the list was fixed.")],
    n: Annotated[int | None, typer.Option("--n", help="Units to draw.")] = None,
    lots: Annotated[
        bool, typer.Option("--lots", help="Spread over lots: the name before the first /.")
    ] = False,
    cartons: Annotated[int | None, typer.Option(help="Cartons to open first.")] = None,
    per_carton: Annotated[int | None, typer.Option(help="Units to draw in each.")] = None,
    reserve: Annotated[int, typer.Option(help="Next units to list, for replacements.")] = 10,
    lang: Lang = "en",
    as_json: Json = False,
) -> None:
    """Which units to look at, in an order that anyone can repeat from the record."""
    answer = answers.answer_draw(
        _names(units),
        seed,
        n=n,
        lots=lots,
        cartons=cartons,
        per_carton=per_carton,
        reserve=reserve,
    )
    if as_json:
        _show(_record(answer), answer.statements, as_json, lang)
        return
    drawn = answer.draw
    _show({}, answer.statements, as_json, lang)
    say = _say(lang)
    print(say("terminal.draw", seed=drawn.seed))
    print(say("terminal.drawn_from", n=drawn.frame, sha256=drawn.frame_sha256))
    for unit in drawn.units:
        print(f"[ ] {unit.rank:>4}  {unit.unit}  {unit.sha256[:12]}")
    for unit in drawn.reserve:
        print(f"    {say('terminal.next')}  {unit.unit}  {unit.sha256[:12]}")


def _record(answer: DrawAnswer) -> dict[str, Any]:
    drawn = answer.draw
    return {
        "seed": drawn.seed,
        "n": len(drawn.units),
        "kind": drawn.kind,
        "frame": drawn.frame,
        "frame_sha256": drawn.frame_sha256,
        "cartons": list(drawn.cartons),
        "units": [asdict(unit) for unit in drawn.units],
        "reserve": [asdict(unit) for unit in drawn.reserve],
    }


def _names(units: str) -> list[str]:
    """Names given on the line, in a file, or on standard input."""
    if units == "-":
        return sys.stdin.read().splitlines()
    if not Path(units).is_file() and ("," in units or ".." in units):
        return [name.strip() for name in units.split(",")]
    try:
        return Path(units).read_text(encoding="utf-8-sig").splitlines()
    except (OSError, UnicodeDecodeError):
        raise BadInput("sample_file", value=units) from None


def _say(lang: Language) -> Phrases:
    return phrases.shipped().of(lang)


def _show(
    result: dict[str, Any], statements: Sequence[Statement], as_json: bool, lang: Language
) -> None:
    if as_json:
        print(json.dumps(result, ensure_ascii=False))
        return
    for statement in statements:
        print(statement.said(_say(lang)))
