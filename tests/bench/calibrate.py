"""Fit the weights and thresholds in `marks/scores/calibration.json` on made lines; check on others.

A group of marks gets a logistic regression on the signs (no weight may go against its sign: more
agreement never makes a mark less likely) and the lowest threshold that keeps the marks shown as
read right. Source of the exact bound: Clopper and Pearson, Biometrika 26 (1934) 404-413.
"""

from __future__ import annotations

import argparse
import datetime as dt
import json
import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from inkwitness.marks.scores import calibration
from inkwitness.sampling.bounds import most_nonconforming_share
from tests.bench.scored.score import reliability, reliability_table

from .made_lines import NUMBER, Judged, chunks, judged
from .pictures import reliability_svg
from .reading import OUT

#: First seed, lines with a number and others, about. Lines that a check has looked at are fitted
#: on next time, and the next check takes new ones.
FIT_ON = (
    (1_000_000, 8000, 2880), (3_000_000, 5000, 1800),
    (4_000_000, 3000, 1800), (5_000_000, 12_000, 2400),
)  # fmt: skip
CHECK_ON = ((6_000_000, 12_000, 2400),)
TABLE = Path(calibration.__file__).with_name("calibration.json")

#: Marks that are printed alike and fail alike; what is in none of them goes with `other`.
GROUPS = {
    "number": (NUMBER,),
    "class": ("filter_class", "efficiency", "particle_type"),
    "standard": ("standard", "body_number"),
    "code": ("lot", "manufacture_date", "expiry_date", "shelf_life"),
    "model": ("model",),
    "other": (),
}
#: Share of wrong marks among those shown as read that the fit stays below, group by group. Of all
#: marks together 0.5 % is promised. Numbers: a third below their 0.1 %. Codes and models may miss
#: the 0.5 %: their letters are told apart by nothing but their shape, and they are few.
AIM = {"number": 0.0007, "code": 0.015, "model": 0.02}
_AIM_OTHERS = 0.005
#: Never shown as read below this, however few errors the made lines had there. A class says whom
#: the respirator protects from what, and lines spoilt in a photo are worse than made lines are.
_LEAST = 0.9
_LEAST_OF = {"class": 0.97}
#: No sign may count against its direction (see calibration.features; the constant is free).
_DIRECTION: tuple[tuple[float | None, float | None], ...] = (
    (None, None), (0, None), (0, None), (0, None), (0, None), (0, None),
)  # fmt: skip
_PULL = 1.0

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Shown:
    """Of `marks` with a truth, `read` are shown as read, and `wrong` of these are wrong."""

    marks: int
    read: int
    wrong: int

    @property
    def bound(self) -> float:
        """Exact upper 95 % bound of the wrong share (one-sided)."""
        return most_nonconforming_share(self.read, self.wrong, "0.95") if self.read else 1.0

    def row(self, name: str) -> str:
        """A row of the table in Markdown."""
        share = self.wrong / self.read if self.read else 0.0
        covered = self.read / self.marks if self.marks else 0.0
        return (f"| {name} | {self.marks} | {covered:.1%} | {self.wrong} of {self.read} "
                f"| {1 - share:.3%} | {1 - self.bound:.3%} |")  # fmt: skip


def fit(found: Sequence[Judged]) -> dict[str, dict[str, object]]:
    """Weights and threshold of each group."""
    fitted: dict[str, dict[str, object]] = {}
    for name, marks in GROUPS.items():
        # What is held back is doubtful whatever its letters say: it teaches nothing about them.
        own = [one for one in of_group(found, name) if not one.held_back]
        signs = np.array([calibration.features(one.seen) for one in own])
        right = np.array([one.right for one in own], float)
        weights = _weights(signs, right)
        likely = 1 / (1 + np.exp(-np.clip(signs @ weights, -30, 30)))
        threshold = max(
            _threshold(likely, right, AIM.get(name, _AIM_OTHERS)), _LEAST_OF.get(name, _LEAST)
        )
        fitted[name] = {
            "marks": list(marks),
            "weights": [round(float(weight), 4) for weight in weights],
            "read_from": threshold,
        }
    return fitted


def of_group(found: Sequence[Judged], name: str) -> list[Judged]:
    """The judged marks of a group."""
    listed = {mark for marks in GROUPS.values() for mark in marks}
    wanted = set(GROUPS[name])
    return [one for one in found if one.mark in wanted or (not wanted and one.mark not in listed)]


def _weights(signs: Floats, right: Floats) -> Floats:
    """Logistic regression, slightly pulled to zero (but for the constant)."""

    def loss(weights: Floats) -> tuple[float, Floats]:
        total = signs @ weights
        pull = np.r_[0.0, weights[1:]]
        error = np.logaddexp(0, total) - right * total
        slope = signs.T @ (1 / (1 + np.exp(-total)) - right) + _PULL * pull
        return float(error.sum() + _PULL * (pull**2).sum() / 2), slope

    found = minimize(loss, np.zeros(signs.shape[1]), jac=True, method="L-BFGS-B",
                     bounds=_DIRECTION)  # fmt: skip
    if not found.success:
        raise ArithmeticError(f"the fit did not settle: {found.message}")
    return np.asarray(found.x, np.float64)


def _threshold(likely: Floats, right: Floats, aim: float) -> float:
    """The lowest probability from which on at most a share `aim` of the marks is wrong."""
    order = np.argsort(-likely)
    wrong = np.cumsum(1 - right[order])
    kept = np.flatnonzero(wrong <= aim * np.arange(1, len(order) + 1))
    if not len(kept):
        return 1.0
    last = kept[-1]
    below = likely[order[last + 1]] if last + 1 < len(order) else 0.0
    # Half-way to the next mark below, so that a rounding does not decide.
    return round(math.sqrt(likely[order[last]] * max(below, 1e-6)), 4)


def shown(found: Sequence[Judged]) -> Shown:
    """How the marks stand with the weights and thresholds of the table in use."""
    read = [one for one in found if _read(one)]
    return Shown(len(found), len(read), sum(not one.right for one in read))


def _likely(one: Judged) -> float:
    return calibration.probability(one.mark, one.seen)


def _read(one: Judged) -> bool:
    return not one.held_back and calibration.standing(one.mark, _likely(one)) == "read"


def standings(found: Sequence[Judged]) -> str:
    """Per group and mark: coverage, wrong as read, share right and its exact bound."""
    rows = ["| | marks | shown as read | wrong | right | at least (95 %) |", "|---" * 6 + "|"]
    rows.append(shown(found).row("all marks"))
    rows += [shown(of_group(found, name)).row(f"**{name}**") for name in GROUPS]
    for mark, count in Counter(one.mark for one in found).most_common():
        if count >= 50:
            rows.append(shown([one for one in found if one.mark == mark]).row(mark))
    return "\n".join(rows)


def predicted(found: Sequence[Judged]) -> list[tuple[float, bool]]:
    """Probability and truth of the marks that are not held back."""
    return [(_likely(one), one.right) for one in found if not one.held_back]


def risk_coverage(found: Sequence[Judged]) -> list[tuple[float, float]]:
    """Share shown and share wrong of these, from the surest mark down (held-back marks last)."""
    order = sorted(found, key=lambda one: (one.held_back, -_likely(one)))
    wrong = np.cumsum([not one.right for one in order])
    count = np.arange(1, len(order) + 1)
    return [(float(n / len(order)), float(w / n)) for n, w in zip(count, wrong, strict=True)]


def _printed(found: Sequence[Judged]) -> str:
    rows = [
        reliability_table(predicted(found)),
        "",
        "| coverage | wrong among these |",
        "|---|---|",
    ]
    curve = risk_coverage(found)
    for share in (0.3, 0.5, 0.6, 0.7, 0.75, 0.8, 0.85, 0.9, 0.95, 1.0):
        covered, wrong = curve[min(len(curve), max(1, round(share * len(curve)))) - 1]
        rows.append(f"| {covered:.1%} | {wrong:.3%} |")
    return "\n".join(rows)


def main(args: list[str]) -> None:
    """Entry point of `calibrate` and `reliability`."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    parser.add_argument("command", choices=("calibrate", "reliability"))
    parser.add_argument("--numbers", type=int, help="lines with an approval number, about")
    parser.add_argument("--others", type=int, help="other lines, about")
    parser.add_argument("--jobs", type=int, default=1, help="processes")
    parser.add_argument("--keep", type=Path, default=OUT / "lines", help="kept lines")
    parser.add_argument("--picture", type=Path, help="write the two curves here (SVG)")
    parser.add_argument("--dry", action="store_true", help="calibrate without writing the table")
    given = parser.parse_args(args)
    calibrating = given.command == "calibrate"
    sets = FIT_ON if calibrating else CHECK_ON
    wanted = [
        chunk
        for first, numbers, others in sets
        for chunk in chunks(first, given.numbers or numbers, given.others or others)
    ]
    found = judged(wanted, given.keep, given.jobs)
    if calibrating:
        groups = fit(found)
        if not given.dry:
            _write(groups, found)
    print(
        f"### {'fitted' if calibrating else 'checked'} on made lines, seeds from {_seeds(sets)}\n"
    )
    print(f"{standings(found)}\n\n#### all marks\n\n{_printed(found)}\n")
    print(f"#### approval numbers\n\n{_printed(of_group(found, 'number'))}")
    if given.picture:
        given.picture.write_text(
            reliability_svg(reliability(predicted(found)), risk_coverage(found)), encoding="utf-8"
        )


def _seeds(sets: Sequence[tuple[int, int, int]]) -> str:
    return ", ".join(str(first) for first, _, _ in sets)


def _write(groups: dict[str, dict[str, object]], found: Sequence[Judged]) -> None:
    made = (f"python -m tests.bench calibrate, {dt.date.today().isoformat()}: {len(found)} marks "
            f"of made lines, seeds from {_seeds(FIT_ON)}")  # fmt: skip
    TABLE.write_text(json.dumps({"made": made, "groups": groups}, indent=1) + "\n", "utf-8")
    calibration.reload()
