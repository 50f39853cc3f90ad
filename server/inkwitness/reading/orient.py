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
_MIRROR_LEAST = 4.5


@dataclass(frozen=True, slots=True, eq=False)
class Probe:
    """A line that is read both ways: its place, its direction in the photo (radians)."""

    place: int
    direction: float
    strip: Pixels


@dataclass(frozen=True, slots=True, eq=False)
class Upright:
    """What the probes said. `evidence`: for each place its direction (radians) and how much more
    its lines say as they stand than turned by half a turn (in certain letters). `read`: what each
    probe said as it stood and turned, in the mirror where the photo is mirrored.
    """

    evidence: dict[int, tuple[float, float]]
    mirrored: bool
    read: tuple[tuple[RawView, RawView], ...] = ()

    def flipped(self, place: int, direction: float) -> bool:
        """Whether the lines of a place that run in this direction stand on their heads."""
        own = self.evidence.get(place, (direction, 0.0))[1]
        shared = sum(
            strength * math.cos(other - direction)
            for number, (other, strength) in self.evidence.items()
            if number != place
        )
        return own + _SHARED * shared + _HELD_UPRIGHT * math.cos(direction) < 0

    @property
    def turn(self) -> float:
        """Clockwise turn in degrees that brings the clearest print upright."""
        if not self.evidence:
            return 0.0
        place = max(self.evidence, key=lambda number: abs(self.evidence[number][1]))
        direction = self.evidence[place][0]
        angle = math.degrees(direction) + (180 if self.flipped(place, direction) else 0)
        return round(-angle % 360, 1) % 360


def decide(probes: Sequence[Probe], recogniser: Recogniser) -> Upright:
    """Read the probes both ways, and in the mirror where neither says much."""
    strips = [probe.strip for probe in probes]
    both = _read_both(strips, recogniser)
    mirrored = False
    if probes and max(_mean([f for f, _ in both]), _mean([b for _, b in both])) < _MIRROR_BELOW:
        seen = [np.ascontiguousarray(strip[:, ::-1]) for strip in strips]
        other = _read_both(seen, recogniser)
        # Mirrored print reads again once flipped; anything less clear stays as it is.
        if _best(other) > max(_MIRROR_GAIN * _best(both), _MIRROR_LEAST):
            both, mirrored = other, True
    evidence: dict[int, tuple[float, float]] = {}
    for probe, (forward, backward) in zip(probes, both, strict=True):
        direction, strength = evidence.get(probe.place, (probe.direction, 0.0))
        more = _strength(forward) - _strength(backward)
        evidence[probe.place] = (direction, strength + more)
    return Upright(evidence, mirrored, tuple(both))


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
