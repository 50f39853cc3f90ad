"""The sample pictures against what is printed on them and what a careful check should come to.

The truth stands in `sample_images/NAME.json`, written by the renderer that drew the picture. What
is missed is named in MISSES: a miss that is not named there fails, and so does one that is named
and no longer missed. `sample_images/README.md` says why each picture is in the set.
"""

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from inkwitness import rulebook
from inkwitness.check.contract import CheckOut, MarkOut
from inkwitness.cli.serving.demo import SAMPLES, circumstances_of, demo_list
from inkwitness.reading.readers.engines import load_readers
from tests.real import Checker

#: What comes instead: an outcome, a list state, or every mark of that kind with its standing. Where
#: the outcome alone is missed, maker and model are named by their place and a person is asked.
MISSES: dict[str, dict[str, str]] = {
    "en-complete": {"outcome": "cannot_tell", "list": "nothing_to_look_up"},
    "en-far-away": {"outcome": "cannot_tell", "list": "nothing_to_look_up"},
    "en-reuse-missing": {"list": "nothing_to_look_up"},
    "en-short-number-upside-down": {"outcome": "cannot_tell", "list": "nothing_to_look_up"},
    "us-complete": {"outcome": "cannot_tell"},
    "us-foreign-class": {"lot": "none"},
    "us-model-differs": {
        "outcome": "cannot_tell",
        "list": "listed_agrees",
        "model": "0V-77 doubtful",
    },
    "us-near-number": {"manufacturer": "AQUARRIMOND doubtful"},
    "us-number-missing-sideways": {"manufacturer": "HALCYRA doubtful"},
    "us-orange-small": {
        "outcome": "cannot_tell",
        "list": "nothing_to_look_up",
        "model": "05-11 doubtful",
        "lot": "01195218 doubtful",
        "manufacturer": "ORSRMELE doubtful",
    },
    "us-private-label": {"outcome": "cannot_tell"},
    "us-rescinded": {"manufacturer": "PELANOR doubtful"},
}
NAMES = sorted(file.stem for file in SAMPLES.glob("*.jpg"))


@pytest.fixture(scope="module")
def checker() -> Checker:
    return Checker(load_readers(), rulebook.load(), demo_list())


def test_every_named_miss_is_of_a_sample() -> None:
    assert len(NAMES) == 14
    assert set(MISSES) < set(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_a_sample_comes_to_what_is_printed_on_it(name: str, checker: Checker) -> None:
    file = SAMPLES / f"{name}.jpg"
    out = checker.out(file.read_bytes(), file.name, circumstances_of(file))
    assert dict(_missed(out, file.with_suffix(".json"))) == MISSES.get(name, {})


def _missed(out: CheckOut, truth_file: Path) -> Iterator[tuple[str, str]]:
    """Outcome, list state and legible marks that are not as the truth says, and what came."""
    truth = json.loads(truth_file.read_text("utf-8"))
    if out.outcome != truth["expected_outcome"]:
        yield "outcome", out.outcome
    if out.holder_match.state != truth["expected_list_state"]:
        yield "list", out.holder_match.state
    seen = [mark for item in out.items for mark in item.marks]
    for kind, printed in truth["marks"].items():
        if printed is not None and truth["legible"][kind]:
            told = [mark for mark in seen if mark.mark == kind]
            if not any(_is(mark, printed) for mark in told):
                yield kind, "; ".join(f"{mark.value} {mark.standing}" for mark in told) or "none"


def _is(mark: MarkOut, printed: str) -> bool:
    return _bare(printed) in (_bare(mark.value), _bare(mark.printed))


def _bare(text: str) -> str:
    return "".join(letter for letter in text.upper() if letter.isalnum())
