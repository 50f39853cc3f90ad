"""The fit behind the standings, on a few marks that one can count."""

from dataclasses import asdict
from itertools import pairwise

import numpy as np
import pytest
from scipy.stats import beta

from inkwitness.marks.scores import calibration
from inkwitness.marks.scores.calibration import Signs

from . import calibrate
from .calibrate import Shown, fit
from .made_lines import Judged, chunks


def judged(seed: int, share: float, *, right: bool, held_back: bool = False) -> Judged:
    signs = asdict(Signs(share, 1.0, share, True, False, 0.98, 15.0))
    return Judged(seed, "approval_number", signs, held_back, 0.0, "", right, "", "", 15.0, 0.5, 1.0)


def many(share: float, right: int, wrong: int) -> list[Judged]:
    return [judged(n, share, right=n < right) for n in range(right + wrong)]


OTHERS = [
    Judged(n, mark, asdict(Signs(0.99, 1.0, 0.9, True, False, 0.99, 15.0)), False, 0.0, "",
           True, "", "", 15.0, 0.5, 1.0)
    for n, mark in enumerate(("filter_class", "standard", "lot", "model", "agency"))
]  # fmt: skip


def read_from(found: list[Judged]) -> float:
    return float(fit([*found, *OTHERS])["number"]["read_from"])


def test_the_threshold_lies_above_what_is_wrong_too_often() -> None:
    groups = fit([*many(0.995, 400, 0), *many(0.8, 90, 10), *OTHERS])
    weights = np.array(groups["number"]["weights"])
    signs = calibration.features(Signs(0.8, 1.0, 0.8, True, False, 0.98, 15.0))
    doubtful = 1 / (1 + np.exp(-float(weights @ np.array(signs))))
    assert doubtful < float(groups["number"]["read_from"])


def test_more_errors_never_lower_the_threshold() -> None:
    clean = read_from([*many(0.995, 400, 0), *many(0.9, 100, 0)])
    spoilt = read_from([*many(0.995, 400, 0), *many(0.9, 95, 5)])
    assert spoilt >= clean


def test_what_is_held_back_teaches_nothing() -> None:
    found = [*many(0.995, 400, 0), *many(0.8, 90, 10)]
    held = [judged(n, 0.995, right=False, held_back=True) for n in range(50)]
    assert fit([*found, *held, *OTHERS]) == fit([*found, *OTHERS])


@pytest.mark.parametrize(("read", "wrong"), [(3000, 0), (2900, 3), (174, 3)])
def test_the_bound_is_the_exact_one(read: int, wrong: int) -> None:
    """Clopper and Pearson 1934, by the beta quantile."""
    assert Shown(read, read, wrong).bound == pytest.approx(
        beta.ppf(0.95, wrong + 1, read - wrong), rel=1e-6
    )


def test_no_seed_is_used_twice() -> None:
    sets = (*calibrate.FIT_ON, *calibrate.CHECK_ON)
    spans = sorted((chunk.first, chunk.last) for one in sets for chunk in chunks(*one))
    assert all(last <= first for (_, last), (first, _) in pairwise(spans))
