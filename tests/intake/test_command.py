"""`inkwitness papers check`: papers in a file beside typed print. All names are invented."""

import json
from pathlib import Path

from typer.testing import CliRunner

from inkwitness.cli.main import app
from inkwitness.errors import BadInput

PAPER = {
    "kind": "type_certificate",
    "title": "EU Type-Examination Certificate",
    "body_number": "9871",
    "product": "HR-F2",
    "standard": "EN 149:2001+A1:2009",
    "expires": "2034-05-31",
}
PRINT = "MODEL HR-F3 / EN 149:2001+A1:2009 / FFP2 NR / CE 9862"


def test_a_paper_in_json_lies_beside_typed_print(tmp_path: Path) -> None:
    """Job map, scenario 4: two bodies are explained; a number of another product is a conflict."""
    file = tmp_path / "paper.json"
    file.write_text(json.dumps(PAPER), encoding="utf-8")
    done = CliRunner().invoke(
        app, ["papers", "check", str(file), "--print", PRINT, "--on", "2031-03-18"]
    )
    assert done.exit_code == 1, done.output
    assert "Contradicts: “EU Type-Examination Certificate” names the product HR-F2" in done.output
    assert "Note: “EU Type-Examination Certificate” names the body 9871" in done.output


def test_a_field_that_there_is_not_is_named(tmp_path: Path) -> None:
    file = tmp_path / "paper.yaml"
    file.write_text("{kind: type_certificate, titel: x}", encoding="utf-8")
    done = CliRunner().invoke(app, ["papers", "check", str(file)])
    assert isinstance(done.exception, BadInput)
    assert "titel" in done.exception.message
