"""From signs of evidence to a probability that holds, and from that to `read` or `doubtful`.

The weights and thresholds are data (`calibration.json`, with how they were made); they were fitted
on made lines by `python -m tests.bench calibrate` and checked on others. Nothing of a holder list
is among the signs.
"""

import json
import math
from dataclasses import asdict, dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal


@dataclass(frozen=True, slots=True)
class Signs:
    """What is known of the likeliest value of a mark.

    `share` of the evidence (0-1); `agreeing` share of views that give it more than half; its
    probability in the `worst_view`; whether the second reader agrees, or says something else;
    mean probability of the line's best view; x-height in photo pixels.
    """

    share: float
    agreeing: float
    worst_view: float
    second_agrees: bool
    second_differs: bool
    line_confidence: float
    x_height_px: float


#: Letters of an x-height below this (photo pixels) count as this small.
_SMALLEST = 3.0
NO_SIGNS = Signs(0.0, 0.0, 0.0, False, False, 0.0, 0.0)


def features(signs: Signs) -> tuple[float, ...]:
    """What the weights apply to: a constant, three log-odds, agreement (0 or 1), log of the size.

    The second reader is in the share already, yet its agreement and the size of the letters let an
    eighth more numbers be shown at the same risk (made lines, ten-fold); the share of agreeing
    views does not.
    """
    return (
        1.0,
        _log_odds(signs.share, 1e-4),
        _log_odds(signs.worst_view, 1e-3),
        _log_odds(signs.line_confidence, 1e-3),
        float(signs.second_agrees),
        math.log(max(signs.x_height_px, _SMALLEST)),
    )


def _log_odds(share: float, least: float) -> float:
    inside = min(max(share, least), 1 - least)
    return math.log(inside / (1 - inside))


def probability(mark: str, signs: Signs) -> float:
    """How often a mark with these signs is right (0-1)."""
    group = _group(mark)
    if group is None:
        return signs.share
    total = sum(w * f for w, f in zip(group["weights"], features(signs), strict=True))
    return 1 / (1 + math.exp(-max(-30.0, min(30.0, total))))


def standing(mark: str, likely: float) -> Literal["read", "doubtful"]:
    """Whether a mark of this probability is shown as read."""
    group = _group(mark)
    return "read" if likely >= (0.95 if group is None else group["read_from"]) else "doubtful"


def as_record(signs: Signs) -> dict[str, float]:
    """The signs as plain numbers, for the file that the weights are fitted from."""
    return {name: float(value) for name, value in asdict(signs).items()}


def _group(mark: str) -> dict[str, Any] | None:
    groups: dict[str, dict[str, Any]] = _table()["groups"]
    return next((group for group in groups.values() if mark in group["marks"]), groups.get("other"))


@cache
def _table() -> dict[str, Any]:
    text = (files(__package__) / "calibration.json").read_text(encoding="utf-8")
    table: dict[str, Any] = json.loads(text)
    return table


def reload() -> None:
    """Read the weights anew (they were fitted again)."""
    _table.cache_clear()
