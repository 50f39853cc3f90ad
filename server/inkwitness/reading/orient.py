"""Which way is up: decided from all lines together, by reading a few of them both ways.

One upside-down line can read as other, plausible print (NIOSH N99 as 66N HSOIN); a whole photo of
lines does not.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from inkwitness.photo.values import Pixels
from inkwitness.reading.readers.engines import Recogniser
from inkwitness.reading.values import View

#: How much the other places' evidence counts for one place against its own.
_SHARED = 0.5
#: Photos are more often held upright: worth this many certain letters against a half turn.
_HELD_UPRIGHT = 0.4
#: A line that is sure one way and says this much more that way (certain letters) is enough.
_PLAIN = 2.5
_PLAIN_FROM = 0.9
#: What a letter of another script counts beside a Latin one: as much would let letters that the
#: reader made up outvote Latin print, nothing would leave such print without a say.
_OTHER_SCRIPT = 0.4
#: A line no surer than this says nothing of its direction.
_GUESSED = 0.3
#: A line this sure as it stands, with so many letters that are none when turned, is not turned.
_CERTAIN, _LEAST_UPRIGHT = 0.97, 4
_TURNABLE = frozenset("HINOSXZMWoscnuxzdpbql|0125689")
#: No line is plain and the mean confidence is below this: looked at in the mirror too.
_MIRROR_BELOW = 0.8
#: The mirror is believed where it says so many times as much, and at least this (certain letters):
#: less would turn a photo of poor print over.
_MIRROR_GAIN, _MIRROR_LEAST = 1.6, 4.5


@dataclass(frozen=True, slots=True, eq=False)
class OrientationVote:
    """A line that is read both ways: its place, its direction in the photo (radians)."""

    place: int
    direction: float
    image: Pixels


@dataclass(frozen=True, slots=True, eq=False)
class Upright:
    """What the votes said. `evidence`: for each place its direction (radians) and how much more
    its lines say as they stand than turned by half a turn (in certain letters).
    """

    evidence: dict[int, tuple[float, float]]
    mirrored: bool

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


def decide(votes: Sequence[OrientationVote], recogniser: Recogniser) -> Upright:
    """Read the votes both ways (one where that is plain), in the mirror where neither says much.

    A place that is plain from its first votes (they come the most promising first) is not asked
    further.
    """
    asked, both = _asked(votes, recogniser)
    mirrored = False
    if asked and not any(_is_plain(*read) for read in both) and _sureness(both) < _MIRROR_BELOW:
        seen = [np.ascontiguousarray(vote.image[:, ::-1]) for vote in asked]
        other = _read_both(seen, recogniser)
        # Mirrored print reads again once flipped; anything less clear stays as it is.
        if _best(other) > max(_MIRROR_GAIN * _best(both), _MIRROR_LEAST):
            both, mirrored = other, True
    return Upright(_evidence(asked, both), mirrored)


def _asked(
    votes: Sequence[OrientationVote], recogniser: Recogniser
) -> tuple[list[OrientationVote], list[tuple[View, View]]]:
    """The votes that were read, one of each place at a time, and what they say both ways."""
    asked: list[OrientationVote] = []
    both: list[tuple[View, View]] = []
    waiting = list(votes)
    plain: set[int] = set()
    while waiting:
        turn = list({vote.place: vote for vote in reversed(waiting)}.values())
        answers = _read_both([vote.image for vote in turn], recogniser)
        asked += turn
        both += answers
        plain |= {p.place for p, read in zip(turn, answers, strict=True) if _is_plain(*read)}
        waiting = [p for p in waiting if p not in turn and p.place not in plain]
    return asked, both


def _is_plain(forward: View, backward: View) -> bool:
    """Whether a line says so much more one way than the other that it needs no second."""
    difference = abs(_strength(forward) - _strength(backward))
    return difference > _PLAIN and max(forward.confidence, backward.confidence) > _PLAIN_FROM


def _evidence(
    asked: Sequence[OrientationVote], both: Sequence[tuple[View, View]]
) -> dict[int, tuple[float, float]]:
    evidence: dict[int, tuple[float, float]] = {}
    for vote, (forward, backward) in zip(asked, both, strict=True):
        direction, strength = evidence.get(vote.place, (vote.direction, 0.0))
        more = _strength(forward) - _strength(backward)
        evidence[vote.place] = (direction, strength + more)
    return evidence


def _read_both(images: Sequence[Pixels], recogniser: Recogniser) -> list[tuple[View, View]]:
    if not images:
        return []
    forward = recogniser.recognise(images)
    open_ = [i for i, view in enumerate(forward) if not _stands_upright(view)]
    turned = [np.ascontiguousarray(images[i][::-1, ::-1]) for i in open_]
    backward = dict(zip(open_, recogniser.recognise(turned), strict=True))
    return [(view, backward.get(i, replace(view, text=""))) for i, view in enumerate(forward)]


def _stands_upright(view: View) -> bool:
    """Whether a line need not be turned to know that it stands upright."""
    only = sum(letter.isascii() and letter.isalnum() and letter not in _TURNABLE
               for letter in view.text)  # fmt: skip
    return view.confidence > _CERTAIN and only >= _LEAST_UPRIGHT and _strength(view) > _PLAIN


def _strength(view: View) -> float:
    """Letters read, each for as much as it is sure; letters of other scripts count less."""
    plain = sum(letter.isascii() and letter.isalnum() for letter in view.text)
    other = sum(not letter.isascii() for letter in view.text)
    return (plain + _OTHER_SCRIPT * other) * max(0.0, view.confidence - _GUESSED) ** 2


def _best(both: Sequence[tuple[View, View]]) -> float:
    forward = sum(_strength(f) for f, _ in both)
    return max(forward, sum(_strength(b) for _, b in both))


def _sureness(both: Sequence[tuple[View, View]]) -> float:
    return max(_mean([forward for forward, _ in both]), _mean([backward for _, backward in both]))


def _mean(views: Sequence[View]) -> float:
    letters = sum(len(view.text) for view in views)
    return sum(view.confidence * len(view.text) for view in views) / max(1, letters)
