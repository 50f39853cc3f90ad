"""The sentence on a sample, over random outcomes: who lacks, who cannot be told, who was set apart.

Decision of this project: a sentence on a sample counts what lacks a mark and what cannot be told
apart from what agrees, and says that none differed only where all were looked at and told.
"""

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inkwitness import phrases
from inkwitness.consignment.dispositions import set_apart
from inkwitness.consignment.sample import counted, told
from inkwitness.findings.outcome import WORST_FIRST, Outcome
from inkwitness.sampling.answers import answer_bound
from inkwitness.sampling.arguments import Looked

SAY = phrases.shipped().of("en")
units = st.tuples(st.sampled_from(WORST_FIRST), st.booleans())
samples = st.lists(units, min_size=1, max_size=30)
#: A sentence that says it of all: of the server, and of the page (its key is the same).
SAYS_NONE = {
    "after.none_differed",
    "after.nothing_excluded",
    "after.all_looked_at",
    "after.none_in_every_carton",
    "after.none_in_cartons",
    "after.none_in_cartons_excluded",
}


def looked(sample: list[tuple[Outcome, bool]], rest: int, design: str) -> Looked:
    found = counted(sample)
    return Looked(
        len(sample) + rest,
        found.differed + found.agreeing,
        found.differed,
        found.untold,
        "dice 4 1",
        design,
        3 if design == "cartons" else None,
        1 if design == "cartons" else None,
        found.lacking,
        found.set_apart,
    )


def test_a_person_setting_a_unit_apart_is_no_agreement_and_hides_no_conflict() -> None:
    assert told("no_conflict_found", apart=True) == "set_apart"
    assert told("conflict", apart=True) == "differed"


@pytest.mark.parametrize(
    ("taken", "apart"),
    [
        ([], False),
        (["hold"], True),
        (["hold", "lift_hold"], False),
        (["hold", "return"], True),
        (["destroy"], True),
        (["refuse"], True),
        (["hold_conflict", "keep_in"], False),
    ],
)
def test_a_unit_is_set_apart_by_what_people_decided_on_it(taken: list[str], apart: bool) -> None:
    assert set_apart(taken) is apart


@given(samples, st.integers(2, 500), st.sampled_from(["random", "cartons", "chosen"]))
def test_each_unit_counts_once_and_none_differed_only_where_all_were_told(
    sample: list[tuple[Outcome, bool]], rest: int, design: str
) -> None:
    kinds = Counter(told(outcome, apart=apart) for outcome, apart in sample)
    said = {one.key: one for one in answer_bound(looked(sample, rest, design)).statements}
    for kind in ("lacking", "untold", "set_apart"):
        assert (f"after.{kind}" in said) == bool(kinds[kind])
        if kinds[kind]:
            assert said[f"after.{kind}"].values[kind] == kinds[kind]
    everything_told = kinds["agreeing"] == len(sample)
    assert bool(SAYS_NONE & set(said)) == (everything_told and design != "chosen")
    assert ("none" in " ".join(one.said(SAY) for one in said.values())) <= everything_told
    assert ("after.hold" in said) == bool(kinds["differed"])
    if kinds["differed"]:
        assert said["after.hold"].values["differed"] == kinds["differed"]
        assert said["after.hold"].values["looked_at"] == len(sample)
    assert said["after.not_looked_at"].values["rest"] == rest


@given(samples, st.integers(1, 500), st.data())
def test_a_unit_that_does_not_agree_never_lowers_the_bound(
    sample: list[tuple[Outcome, bool]], rest: int, data: st.DataObject
) -> None:
    before = answer_bound(looked(sample, rest, "random"))
    at = data.draw(st.integers(0, len(sample) - 1))
    changed = [*sample[:at], data.draw(units), *sample[at + 1 :]]
    agreeing = [*sample[:at], ("no_conflict_found", False), *sample[at + 1 :]]
    after = answer_bound(looked(changed, rest, "random"))
    assert after.at_most is not None
    assert before.at_most is not None
    assert (answer_bound(looked(agreeing, rest, "random")).at_most or 0) <= after.at_most
