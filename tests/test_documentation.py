"""What README.md and DEVELOPERS.md tell a reader to type works, and the files they name are there.

Commands that only ask are run; of those that set something up or take an hour, every target,
module and option that the documents name must exist.
"""

import doctest
import importlib
import itertools
import json
import re
import runpy
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
import yaml
from PIL import Image
from typer.testing import CliRunner

from inkwitness.cli.main import app

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "server" / "inkwitness"
DOCUMENTS = (
    "README.md",
    "DEVELOPERS.md",
    "rules/README.md",
    "sample_images/README.md",
    "server/OPERATING.md",
    "server/NETWORK.md",
    "server/USE.md",
    "tests/bench/RESULTS.md",
    ".github/CHANGELOG.md",
    ".github/CONTRIBUTING.md",
)
_BLOCK = re.compile(r"```sh\n(.*?)```", re.DOTALL)
_FENCED = re.compile(r"```.*?```", re.DOTALL)
_SPAN = re.compile(r"`([^`]+)`")
_LINK = re.compile(r"\]\(([^)#]+)[^)]*\)")


def _typed() -> list[str]:
    """Every line of a shell block and every code span, on one line each and without comments."""
    found: list[str] = []
    for name in DOCUMENTS:
        text = (ROOT / name).read_text("utf-8")
        for block in _BLOCK.findall(text):
            found += re.sub(r"\n +", " ", re.sub(r" +#.*", "", block)).splitlines()
        found += [" ".join(span.split()) for span in _SPAN.findall(_FENCED.sub("", text))]
    return [line.replace("\\|", "|") for line in dict.fromkeys(found)]


TYPED = _typed()
MAKE = [line for line in TYPED if line.startswith("make ")]
PROGRAM = [line for line in TYPED if re.match(r"(\.venv/bin/)?inkwitness ", line)]
MODULES = [line for line in TYPED if line.startswith("python -m ")]
PATHS = [line for line in TYPED if re.fullmatch(r"[\w.*-]+(/[\w.*-]+)*/?", line) and "/" in line]
#: Where a path in a document starts.
FROM = (ROOT, PACKAGE, ROOT / "rules")
#: What exists only after it was made.
MADE_LATER = ("bench-out", "dist/", "DATA/", "screens/", "data/", "demo-data/", "photos/")
EXAMPLES = [
    ".".join(file.relative_to(PACKAGE.parent).with_suffix("").parts)
    for file in sorted(PACKAGE.rglob("*.py"))
    if ">>>" in file.read_text("utf-8")
]


def test_the_documents_hold_commands_of_each_kind() -> None:
    """So that a change of their layout does not leave the tests below without work."""
    assert min(map(len, (MAKE, PROGRAM, MODULES, PATHS, EXAMPLES))) >= 4


@pytest.mark.parametrize("line", MAKE)
def test_a_target_of_make_that_is_named_can_be_made(line: str) -> None:
    done = subprocess.run(
        ["make", "--dry-run", *line.split()[1:]], cwd=ROOT, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr


def test_make_help_lists_what_a_reader_may_use() -> None:
    said = subprocess.run(["make", "help"], cwd=ROOT, capture_output=True, text=True, check=True)
    listed = {line.split()[0] for line in said.stdout.splitlines()}
    assert {line.split()[1] for line in MAKE} - {"help"} <= listed


def _ways(line: str) -> Iterator[tuple[list[str], list[str]]]:
    """The sub-commands that a line of usage stands for, each with the options that it names."""
    words = line.split()[1:]
    named = list(itertools.takewhile(lambda word: re.fullmatch(r"[a-z|]+", word), words))
    for way in itertools.product(*(word.split("|") for word in named)):
        yield list(way), re.findall(r"--[a-z-]+", line)


@pytest.mark.parametrize("line", PROGRAM)
def test_a_command_that_is_named_exists_with_its_options(line: str) -> None:
    for words, options in _ways(line):
        said = CliRunner().invoke(app, [*words, "--help"], env={"COLUMNS": "200"})
        assert said.exit_code == 0, words
        assert [one for one in options if one not in said.stdout] == [], words


@pytest.mark.parametrize("line", MODULES)
def test_a_module_that_is_named_runs_with_its_options(
    line: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    words = line.split()[2:]
    module, *rest = itertools.takewhile(lambda word: re.fullmatch(r"[a-z._]+", word), words)
    monkeypatch.setattr(sys, "argv", [module, *rest, "--help"])
    with pytest.raises(SystemExit) as ended:
        runpy.run_module(module, run_name="__main__", alter_sys=True)
    assert ended.value.code in (0, None)
    said = capsys.readouterr().out
    assert [one for one in re.findall(r"--[a-z-]+", line) if one not in said] == []


@pytest.mark.parametrize("path", PATHS)
def test_a_file_that_is_named_is_there(path: str) -> None:
    if not path.startswith(MADE_LATER):
        found = [there for where in FROM for there in where.glob(path.rstrip("/"))]
        assert found, f"{path} is named in a document and is not there"


@pytest.mark.parametrize("name", DOCUMENTS)
def test_a_link_leads_to_a_file(name: str) -> None:
    for link in _LINK.findall((ROOT / name).read_text("utf-8")):
        assert link.startswith("https://") or ((ROOT / name).parent / link).exists(), link


@pytest.mark.parametrize("form", sorted((ROOT / ".github/ISSUE_TEMPLATE").glob("[!c]*.yml")))
def test_a_form_for_an_issue_asks_for_no_personal_data(form: Path) -> None:
    """Fields as GitHub's documentation of issue forms lists them (from memory)."""
    told = yaml.safe_load(form.read_text("utf-8"))
    assert {"name", "description", "body"} <= set(told)
    fields = [part for part in told["body"] if part["type"] != "markdown"]
    assert {part["type"] for part in fields} <= {"input", "textarea", "dropdown", "checkboxes"}
    assert len({part["id"] for part in fields}) == len(fields)
    assert all(part["attributes"]["label"] for part in fields)
    assert "no personal data" in told["body"][0]["attributes"]["value"]
    assert fields[-1]["attributes"]["options"][0]["required"] is True


@pytest.mark.parametrize("module", EXAMPLES)
def test_the_examples_of_a_module_are_true(module: str) -> None:
    done = doctest.testmod(importlib.import_module(module))
    assert done.attempted > 0
    assert done.failed == 0


@pytest.mark.parametrize(("names", "code"), [(["blank.png"], 1), (["notes.txt", "blank.png"], 2)])
def test_the_exit_codes_are_those_that_the_readme_tells(
    names: list[str], code: int, tmp_path: Path
) -> None:
    """1: an outcome other than no_conflict_found; 2: a file that is no photo, the others are still
    checked.
    """
    (tmp_path / "notes.txt").write_text("no photo", encoding="utf-8")
    Image.new("RGB", (200, 160), "white").save(tmp_path / "blank.png")
    files = [str(tmp_path / name) for name in names]
    done = CliRunner().invoke(app, ["check", *files, "--on", "2026-11-25", "--json"])
    assert done.exit_code == code
    assert [json.loads(line)["photo"] for line in done.stdout.splitlines()] == ["blank.png"]
