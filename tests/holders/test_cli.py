"""`inkwitness holders`: import, export, diff, check, as a list keeper types them."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from inkwitness.cli.holders import app
from inkwitness.errors import BadInput, BadList, NotFound
from inkwitness.holders.files.exporting import export
from tests.holders.house_list import HOUSE_LIST


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "list.csv").write_bytes(export(HOUSE_LIST, "csv"))
    return tmp_path


def run(folder: Path, *words: str) -> Result:
    day = ["--on", "2031-03-18"] if words[0] == "import" else []
    return CliRunner().invoke(app, [*words, *day, "--data", str(folder / "data")])


def stored(folder: Path) -> None:
    done = run(folder, "import", str(folder / "list.csv"), "--accept", "--name", "HOUSE-LIST")
    assert done.exit_code == 0, done.output
    assert "Stored as edition 1 of HOUSE-LIST" in done.output


def test_a_dry_run_stores_nothing_not_even_a_folder(folder: Path) -> None:
    done = run(folder, "import", str(folder / "list.csv"), "--dry-run")
    assert "Rows: 8; entries: 8" in done.output
    assert "Nothing was stored" in done.output
    assert not (folder / "data").exists()


def test_without_accept_nothing_is_stored(folder: Path) -> None:
    assert "--accept" in run(folder, "import", str(folder / "list.csv")).output
    assert not (folder / "data").exists()


def test_an_error_names_row_and_column_and_leaves_the_list_as_it_was(folder: Path) -> None:
    stored(folder)
    bad = folder / "bad.csv"
    bad.write_bytes((folder / "list.csv").read_bytes().replace(b"rescinded", b"odd"))
    done = run(folder, "import", str(bad), "--accept")
    assert done.exit_code == 2
    assert "Row 5, column 'status' (K)" in done.output
    assert "The list is as it was" in done.output
    assert "edition 1" in run(folder, "check", "TC-84A-9981").output


def test_a_table_of_others_is_mapped_on_the_command_line(folder: Path) -> None:
    table = folder / "table.csv"
    table.write_text("Some title;;\nNo.;Who;Which\nTC-84A-9981;Vexholm;VX-910\n")
    done = run(
        folder, "import", str(table), "--json", "--dry-run", "--map", "approval_number=No.",
        "--map", "holder=Who", "--map", "models=#C", "--set", "scheme=us-niosh",
    )  # fmt: skip
    told = json.loads(done.output)
    assert told["columns"] == {
        "approval_number": "'No.' (A)",
        "holder": "'Who' (B)",
        "models": "'Which' (C)",
    }
    assert [change["after"]["models"] for change in told["changes"]] == [["VX-910"]]


@pytest.mark.parametrize("kind", ["csv", "xlsx", "json"])
def test_an_export_is_the_same_list(folder: Path, kind: str) -> None:
    stored(folder)
    out = folder / f"out.{kind}"
    assert "Entries of HOUSE-LIST, edition 1" in run(folder, "export", str(out)).output
    done = run(folder, "diff", "1", str(out))
    assert (done.exit_code, done.output.strip()) == (0, "No difference.")


def test_a_difference_is_said_and_is_exit_code_1(folder: Path) -> None:
    stored(folder)
    changed = folder / "changed.csv"
    changed.write_bytes((folder / "list.csv").read_bytes().replace(b"VX-940", b"VX-941"))
    done = run(folder, "diff", "1", str(changed))
    assert done.exit_code == 1
    assert "models: VX-940 -> VX-941" in done.output


def test_a_number_that_is_listed_one_that_is_near_and_one_that_is_neither(folder: Path) -> None:
    stored(folder)
    listed = run(folder, "check", "tc 84a 9981")
    assert (listed.exit_code, "Vexholm Filtration Works" in listed.output) == (0, True)
    assert "Not proof of authenticity" in listed.output
    near = run(folder, "check", "TC-84A-99B1", "TC-84A-1111")
    assert near.exit_code == 1
    assert "TC-84A-99[B|8]1 (Vexholm Filtration Works); never a match" in near.output
    assert near.output.count("not on the list") == 2
    told = json.loads(run(folder, "check", "TC-84A-9890", "--json").output)
    assert told["answers"][0]["entries"][0]["status"] == "rescinded"


def test_what_cannot_be_done_says_why(folder: Path) -> None:
    assert isinstance(run(folder, "check", "TC-84A-9981").exception, NotFound)
    assert isinstance(run(folder, "export", str(folder / "x.pdf")).exception, BadInput)
    no_field = run(folder, "import", str(folder / "list.csv"), "--map", "holder")
    assert isinstance(no_field.exception, BadInput)
    (folder / "empty.csv").write_text("")
    assert isinstance(run(folder, "import", str(folder / "empty.csv")).exception, BadList)


def test_fictional_rows_do_not_enter_the_live_list(folder: Path) -> None:
    stored(folder)
    marked = folder / "marked.csv"
    marked.write_bytes(
        (folder / "list.csv").read_bytes().replace(b"Pellanor Industrial", b"FICTIONAL Pellanor")
    )
    done = run(folder, "import", str(marked), "--accept")
    assert isinstance(done.exception, BadList)
    assert "FICTIONAL" in done.exception.message
