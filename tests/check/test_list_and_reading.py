"""The user's list comes in after the reading: no list makes a number more likely to be read."""

import datetime as dt
import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from inkwitness.check.contract import CheckOut
from inkwitness.findings.values import Circumstances
from inkwitness.holders.files.importing import read_csv
from inkwitness.holders.values import HolderList
from inkwitness.reading.readers.engines import load_readers
from inkwitness.rulebook import load
from tests.real import Checker

SAMPLES = Path(__file__).parents[2] / "sample_images"
ON = Circumstances(dt.date(2026, 11, 20), "facepiece", "yes")
HEADER, *ROWS = (SAMPLES / "holders.csv").read_text(encoding="utf-8").splitlines()


@pytest.fixture(scope="module")
def checker() -> Checker:
    """The real readers and rules, no list."""
    return Checker(load_readers(), load())


def printed(name: str) -> str:
    """The approval number that is printed there."""
    truth = json.loads((SAMPLES / f"{name}.json").read_text(encoding="utf-8"))
    return str(truth["marks"]["approval_number"])


def list_with(
    number: str, folder: Path, holder: str = "Aldrenne", model: str = "QX-1"
) -> HolderList:
    """A list of one holder with this number."""
    file = folder / "list.csv"
    row = f"us-niosh,{number},,{holder},,,N95,{model},,,current,,FICTIONAL,2026-11-10,A. Keeper"
    file.write_text(f"{HEADER}\n{row}\n", encoding="utf-8")
    return read_csv(file)


def ink(out: CheckOut) -> list[dict[str, Any]]:
    """Everything that was read, with its probabilities."""
    marks = [mark.model_dump() for item in out.items for mark in item.marks]
    return [line.model_dump() for line in out.lines] + marks


def one_off(number: str) -> str:
    """The number with its last digit replaced by one that looks like it."""
    return number[:-1] + {"8": "3", "3": "8", "1": "7", "6": "8"}.get(number[-1], "8")


@pytest.mark.parametrize("name", ["us-near-number", "us-orange-small"])
def test_changing_the_list_changes_no_reading(name: str, checker: Checker, tmp_path: Path) -> None:
    data = (SAMPLES / f"{name}.jpg").read_bytes()
    number = printed(name)
    outs = [
        replace(checker, holder_list=holders).out(data, name, ON)
        for holders in (None, list_with(number, tmp_path), list_with(one_off(number), tmp_path))
    ]
    assert ink(outs[0])
    assert ink(outs[0]) == ink(outs[1]) == ink(outs[2])


def test_searching_the_lines_for_what_the_list_says_changes_no_reading(
    checker: Checker, tmp_path: Path
) -> None:
    """The list may search, never read: even a name and a model that stand there letter for letter,
    or differ by a look-alike, move no letter, no probability and no standing."""
    name = "us-near-number"
    data = (SAMPLES / f"{name}.jpg").read_bytes()
    alone = checker.out(data, name, ON)
    words = [word for line in alone.lines for word in line.text.split() if len(word) > 4]
    number = printed(name)
    for holder, model in ((words[0], words[-1]), ("Aldrenne", words[0].replace("O", "0"))):
        held = list_with(number, tmp_path, holder, model)
        out = replace(checker, holder_list=held).out(data, name, ON)
        assert out.holder_match.looked_up == number
        assert ink(out) == ink(alone)
