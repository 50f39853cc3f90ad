"""render_photo: a seeded photograph of printed units, with the truth of what is printed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from tests.renderer.printed.content import Print
from tests.renderer.printed.kinds import kinds
from tests.renderer.printed.schemes import FAULTS, SCHEME_WEIGHTS, SCHEMES, compose

from .plan import make_plan, nudge
from .scene import render

DIFFICULTIES = ("easy", "medium", "hard")
ATTEMPTS = 7


def in_turn(mix: Sequence[int]) -> list[str]:
    """Difficulties to wish for one after the other: so many easy, medium and hard ones."""
    return [level for level, share in zip(DIFFICULTIES, mix, strict=True) for _ in range(share)]


@dataclass(frozen=True, slots=True)
class Made:
    """A photograph as a viewer shows it (BGR, uint8) and what is true of it."""

    image: npt.NDArray[np.uint8]
    truth: dict[str, Any]


def render_photo(
    seed: int, difficulty: str | None = None, scheme: str | None = None,
    fault: str | None = None, what: Print | None = None, **choices: Any,
) -> Made:  # fmt: skip
    """A photograph for a seed: the same arguments always give the same bytes.

    difficulty: easy, medium, hard or None (drawn); it is a wish, met by trying again with the
    next sub-seed, and `truth["difficulty"]` is what was measured. scheme and fault as in
    `content`; fault "" forces none. `what` fixes the print, `choices` any field of `Plan`.
    """
    rng = np.random.default_rng([seed, 0])
    wish = difficulty or str(rng.choice(DIFFICULTIES, p=[0.35, 0.35, 0.30]))
    if wish not in DIFFICULTIES:
        raise ValueError(f"difficulty is one of {', '.join(DIFFICULTIES)}, not {wish!r}")
    if what is None:
        name = scheme or str(rng.choice(SCHEMES, p=SCHEME_WEIGHTS))
        planted = fault or None
        if fault is None and rng.random() < 0.25:
            planted = str(rng.choice(FAULTS[name]))
        what = compose(rng, name, planted)
    best: Made | None = None
    for attempt in range(ATTEMPTS):
        plan = make_plan(np.random.default_rng([seed, 1, attempt]), wish, what, (seed, attempt))
        if attempt:
            plan = nudge(plan, wish, np.random.default_rng([seed, 2, attempt]))
        if choices:
            plan = replace(plan, **choices)
        made = Made(*render(plan))
        seen = [v for k, v in made.truth["legible"].items() if k in made.truth["mark_info"]]
        inside = all(e["inside"] for e in made.truth["lines"] if e["unit"] == 0)
        # Pictures with nothing to read teach nothing; a few cut prints are wanted.
        useful = (inside or attempt > 3) and (any(seen) or attempt > 4)
        if made.truth["difficulty"] == wish and useful:
            return made
        if best is None or (useful and best.truth["difficulty"] != wish):
            best = made
    assert best is not None
    return best


def render_kind(seed: int, what: Print, difficulty: str | None = None, **choices: Any) -> Made:
    """A photograph of a print that was made of a kind of layout, on what carries such print."""
    surface = kinds()[what.kind].surface
    packs = {"pouch": "pouch", "inner_box": "carton", "carton": "carton"}
    fixed: dict[str, Any] = {"second": None}
    if surface in packs:
        fixed |= {"shape": packs[surface], "process": "flexo", "head": False}
    return render_photo(seed, difficulty, what=what, **{**fixed, **choices})
