"""From signs of evidence to a probability that holds, and from that to `read` or `doubtful`.

The weights and thresholds are data (`calibration.json`, with how they were made); they were fitted
on made lines by `python -m tests.bench calibrate` and checked on others. Nothing of a holder list
is among the signs.
"""

import json
import math
from dataclasses import dataclass
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
#: Shares of evidence, and probabilities, nearer to 0 or 1 than this count as this near: their
#: log-odds would outweigh all other signs. The weights were fitted with these values.
_LEAST_SHARE, _LEAST_PROBABILITY = 1e-4, 1e-3
#: Log-odds (natural logarithm) are cut here: beyond, the probability is within 1e-13 of 0 or 1, and
#: `exp` of a far larger one overflows.
_MOST_LOG_ODDS = 30.0
#: A mark that has no fitted group is read from this probability on.
_READ_FROM = 0.95


def features(signs: Signs) -> tuple[float, ...]:
    """What the weights apply to: a constant, three log-odds, agreement (0 or 1), log of the size.

    The second reader is in the share already, yet its agreement and the size of the letters let an
    eighth more numbers be shown at the same risk (made lines, ten-fold); the share of agreeing
    views does not.
    """
    return (
        1.0,
        _log_odds(signs.share, _LEAST_SHARE),
        _log_odds(signs.worst_view, _LEAST_PROBABILITY),
        _log_odds(signs.line_confidence, _LEAST_PROBABILITY),
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
    return 1 / (1 + math.exp(-max(-_MOST_LOG_ODDS, min(_MOST_LOG_ODDS, total))))


def standing(mark: str, likely: float) -> Literal["read", "doubtful"]:
    """Whether a mark of this probability is shown as read."""
    group = _group(mark)
    read_from = _READ_FROM if group is None else group["read_from"]
    return "read" if likely >= read_from else "doubtful"


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
