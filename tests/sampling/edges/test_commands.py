"""`inkwitness sample`: the answers as JSON, word for word, and as sentences."""

import json
import subprocess
import sys
from typing import Any

import pytest
from typer.testing import CliRunner

from inkwitness.cli.sample import app
from inkwitness.errors import BadInput


def _json(*arguments: str) -> dict[str, Any]:
    found = CliRunner().invoke(app, [*arguments, "--json"], catch_exceptions=False)
    assert found.exit_code == 0, found.output
    return json.loads(found.stdout)


def _said(*arguments: str, stdin: str = "") -> str:
    found = CliRunner().invoke(app, list(arguments), input=stdin, catch_exceptions=False)
    assert found.exit_code == 0, found.output
    return found.stdout


@pytest.mark.parametrize(
    ("arguments", "answer"),
    [
        (
            "plan --lot 5000 --level II --aql 1.5",
            {"letter": "L", "n": 200, "accept": 7, "reject": 8},
        ),
        (
            "plan --lot 2000 --level II --aql 0.65 --inspection reduced",
            {"letter": "K", "n": 50, "accept": 1, "reject": 3},
        ),
        (
            "discovery --lot 5000 --nonconforming-share 0.01 --confidence 0.95",
            {"n": 290, "nonconforming": 50},
        ),
        (
            "discovery --lot 20000 --nonconforming-share 0.01 --sensitivity 0.95",
            {"n": 312, "nonconforming": 200},
        ),
        (
            "discovery --lot 40000 --nonconforming 400 --cartons 100",
            {"n": 297, "nonconforming": 400, "per_carton": 3},
        ),
        (
            "bound --lot 5000 --looked-at 200 --differed 0 --confidence 0.95",
            {"at_most": 72, "share": 0.0144},
        ),
        (
            "cartons --cartons 100 --per-carton 200 --nonconforming-cartons 10",
            {"opened": 25, "looked_at": 1, "units": 25, "chance": pytest.approx(0.95211, abs=5e-6)},
        ),
    ],
)
def test_answers_as_json(arguments, answer):
    assert answer == _json(*arguments.split())


def test_no_sample_size_is_null_with_a_reason():
    answer = _json("discovery", "--lot", "100", "--nonconforming", "1", "--sensitivity", "0.9")
    assert (answer["n"], answer["nonconforming"]) == (None, 1)
    assert answer["reason"].startswith("No sample size can do it.")
    assert list(answer) == ["n", "nonconforming", "reason"]


def test_no_carton_plan_is_null_with_a_reason():
    arguments = "--cartons 100 --per-carton 1 --nonconforming-cartons 1 --sensitivity 0.9"
    answer = _json("cartons", *arguments.split())
    assert answer["opened"] is None
    assert answer["reason"].startswith("No plan can do it.")


def test_a_process_has_a_share_only():
    answer = _json("bound", "--looked-at", "125", "--differed", "0")
    # Clopper and Pearson (1934); computed by scipy
    assert answer == {"at_most": None, "share": pytest.approx(0.02368096, abs=1e-8)}


def test_an_estimate():
    # R package RSurveillance, tests (read): 25 of 200, 0.95, 0.9
    answer = _json(
        *("estimate", "--looked-at", "200", "--flagged", "25"),
        *("--sensitivity", "0.95", "--specificity", "0.9"),
    )
    assert answer["share"] == pytest.approx(0.02941176, abs=1e-8)
    assert answer["low"] == pytest.approx(-0.02052666, abs=1e-7)
    assert answer["high"] == pytest.approx(0.09291029, abs=1e-7)


def test_without_json_the_answer_is_in_sentences():
    said = _said("discovery", "--lot", "40000", "--nonconforming-share", "1 %")
    assert said.startswith("Look at 297 of the 40,000 units, drawn at random.")
    after = _said("bound", "--lot", "40000", "--looked-at", "297", "--differed", "1")
    assert "hold the consignment" in after
    assert "39,703 of the 40,000 units were not looked at." in after


SEED = "consignment 2026-117;dice 4 1 6 2 5 3 3 6 1 2"


def test_a_draw_from_names_from_a_file_and_from_standard_input_is_the_same(tmp_path):
    written = [f"LOT-A/C{c:03}/U{u:02}" for c in range(1, 6) for u in range(1, 11)]
    frame = tmp_path / "units.txt"
    frame.write_text("\n".join(written) + "\n", encoding="utf-8")
    rest = ["--n", "3", "--seed", SEED]
    named = _json("draw", "--units", "LOT-A/C001..C005/U01..U10", *rest)
    assert named == _json("draw", "--units", str(frame), *rest)
    found = CliRunner().invoke(
        app, ["draw", "--units", "-", *rest, "--json"], input=frame.read_text()
    )
    assert named == json.loads(found.stdout)
    # draw_vectors.csv
    assert [unit["unit"] for unit in named["units"]] == [
        "LOT-A/C005/U02",
        "LOT-A/C002/U01",
        "LOT-A/C002/U05",
    ]
    assert (named["seed"], named["n"], named["frame"]) == (SEED, 3, 50)


def test_a_draw_is_a_list_to_tick_off():
    said = _said("draw", "--units", "C001..C020", "--n", "2", "--seed", SEED, "--reserve", "1")
    lines = said.splitlines()
    assert [line.split()[3] for line in lines if line.startswith("[ ]")] == ["C008", "C017"]
    assert lines[-1].split()[:2] == ["next", "C001"]
    assert "SHA-256 of the UTF-8 text seed|unit" in said


def test_draws_by_lot_and_by_carton():
    lots = _json("draw", "--units", "A/U1..U9,B/U1..U2", "--lots", "--n", "3", "--seed", "s")
    assert {unit["group"] for unit in lots["units"]} == {"A", "B"}
    arguments = ["--units", "C001..C020/U1..U9", "--cartons", "5", "--per-carton", "1"]
    cartons = _json("draw", *arguments, "--seed", SEED)
    assert cartons["cartons"] == ["C008", "C017", "C001", "C019", "C016"]


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        ("bound --lot 10 --looked-at 11 --differed 0", "Look at 10 or fewer"),
        (
            "discovery --lot 10 --nonconforming-share 0",
            "Give the smallest share you want to notice",
        ),
        ("discovery --lot 10 --nonconforming-share -0.1", "cannot be negative"),
        ("discovery --lot 10 --nonconforming-share 0.1 --confidence 1", "above 0 and below 1"),
        ("draw --units no-such-file.txt --n 1 --seed s", "Give a text file, one unit a line"),
    ],
)
def test_bad_input_says_what_to_change(arguments, sentence):
    with pytest.raises(BadInput) as caught:
        CliRunner().invoke(app, arguments.split(), catch_exceptions=False)
    assert sentence in caught.value.message


def test_a_file_that_is_no_text_cannot_be_read(tmp_path):
    picture = tmp_path / "units.png"
    picture.write_bytes(b"\x89PNG\xff\xfe")
    with pytest.raises(BadInput, match="Give a text file"):
        _said("draw", "--units", str(picture), "--n", "1", "--seed", "s")


def test_the_sampling_stage_needs_no_scipy():
    code = (
        "import sys; import inkwitness.sampling.answers, inkwitness.cli.sample;"
        "sys.exit('scipy' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
