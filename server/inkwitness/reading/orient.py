"""Which way is up: decided from all lines together, by reading a few of them both ways.

One upside-down line can read as other, plausible print (NIOSH N99 as 66N HSOIN); a whole photo of
lines does not.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inkwitness.photo.values import Pixels
from inkwitness.reading.ctc import RawView
from inkwitness.reading.engines import Recogniser

#: How much the other places' evidence counts for one place against its own.
_SHARED = 0.5
#: Photos are more often held upright: worth this many certain letters against a half turn.
_HELD_UPRIGHT = 0.4
_MIRROR_BELOW = 0.72
_MIRROR_GAIN = 1.6
_MIRROR_LEAST = 3.0


@dataclass(frozen=True, slots=True, eq=False)
class Probe:
    """A line that is read both ways: its place, its direction (radians, up to half a turn)."""

    place: int
    direction: float
    strip: Pixels


@dataclass(frozen=True, slots=True)
class Upright:
    """For each place whether its lines have to be turned by half a turn; and the mirror."""

    flipped: tuple[bool, ...]
    mirrored: bool
    turn: float


def decide(probes: Sequence[Probe], directions: Sequence[float], recogniser: Recogniser) -> Upright:
    """Decide for every place (`directions`: one a place, radians up to half a turn)."""
    strips = [probe.strip for probe in probes]
    both = _read_both(strips, recogniser)
    mirrored = False
    if probes and max(_mean([f for f, _ in both]), _mean([b for _, b in both])) < _MIRROR_BELOW:
        seen = [np.ascontiguousarray(strip[:, ::-1]) for strip in strips]
        other = _read_both(seen, recogniser)
        # Mirrored print reads again once flipped; anything less clear stays as it is.
        if _best(other) > max(_MIRROR_GAIN * _best(both), _MIRROR_LEAST):
            both, mirrored = other, True
    evidence = [0.0] * len(directions)
    for probe, (forward, backward) in zip(probes, both, strict=True):
        evidence[probe.place] += _strength(forward) - _strength(backward)
    flipped = []
    for place, direction in enumerate(directions):
        shared = sum(
            evidence[other] * math.cos(directions[other] - direction)
            for other in range(len(directions))
            if other != place
        )
        upright = _HELD_UPRIGHT * math.cos(direction)
        flipped.append(evidence[place] + _SHARED * shared + upright < 0)
    return Upright(tuple(flipped), mirrored, _turn(directions, evidence, flipped))


def _turn(directions: Sequence[float], evidence: Sequence[float], flipped: Sequence[bool]) -> float:
    """Clockwise turn in degrees that brings the clearest print upright."""
    if not directions:
        return 0.0
    clearest = max(range(len(directions)), key=lambda i: abs(evidence[i]))
    angle = math.degrees(directions[clearest]) + (180 if flipped[clearest] else 0)
    return round(-angle % 360, 1) % 360


def _read_both(strips: Sequence[Pixels], recogniser: Recogniser) -> list[tuple[RawView, RawView]]:
    if not strips:
        return []
    turned = [np.ascontiguousarray(strip[::-1, ::-1]) for strip in strips]
    views = recogniser.recognise([*strips, *turned])
    return list(zip(views[: len(strips)], views[len(strips) :], strict=True))


def _strength(view: RawView) -> float:
    """Letters read, each for as much as it is sure; letters of other scripts count less."""
    plain = sum(letter.isascii() and letter.isalnum() for letter in view.text)
    other = sum(not letter.isascii() for letter in view.text)
    return (plain + 0.4 * other) * max(0.0, view.confidence - 0.3) ** 2


def _best(both: Sequence[tuple[RawView, RawView]]) -> float:
    forward = sum(_strength(f) for f, _ in both)
    return max(forward, sum(_strength(b) for _, b in both))


def _mean(views: Sequence[RawView]) -> float:
    letters = sum(len(view.text) for view in views)
    return sum(view.confidence * len(view.text) for view in views) / max(1, letters)
