"""Photo -> areas -> lines -> character probabilities. The path, in the order of the calls:

`find.places_of`       first pass: where print is, on the reduced photo
`find.lines_at`        second pass: the lines of each place, at the size the reader likes
`straighten.strip_of`  each line cut out straight, along its curve
`orient.decide`        which way is up, from all lines together
`engines.recognise`    per-step character probabilities; more renderings for unsure lines
`second.read_lines`    the independent reader, one call for all lines
`group.areas_of`       lines that belong to one unit or box
"""

from dataclasses import dataclass, replace

import numpy as np

from inkwitness.photo.quality import photo_facts
from inkwitness.photo.values import Photo, Pixels
from inkwitness.reading.ctc import RawView
from inkwitness.reading.engines import STRIP_HEIGHT, Readers
from inkwitness.reading.find import FIRST_SIDE, FoundLine, Place, apart, lines_at, places_of
from inkwitness.reading.group import areas_of
from inkwitness.reading.orient import Probe, Upright, decide
from inkwitness.reading.renderings import MARGIN, TALL, rendered
from inkwitness.reading.straighten import Pyramid, outline, strip_of
from inkwitness.reading.values import Line, Reading, SecondReading, View

ONE_READER_ONLY = "one_reader_only"
_MOST_PLACES = 14
_MOST_LINES = 60
#: Fewer line heights of print than this, all lines end to end: look at the photo more closely.
_LITTLE = 9.0
_CLOSER_SIDE = 1152
_PROBES = 8
_PROBES_A_PLACE = 3
_UNSURE = 0.85
_MOST_UNSURE = 10
_FIRST_AID = ("local_contrast", "closer")
_LEAST_CONFIDENCE = 0.45
_MOST_SECOND = 24


@dataclass(frozen=True, slots=True, eq=False)
class _Cut:
    """A line found, the place it stands in, and its straight strip (TALL high)."""

    place: int
    found: FoundLine
    strip: Pixels

    @property
    def direction(self) -> float:
        """Direction of the line in the photo (radians), as it was cut."""
        along = self.found.middle[-1] - self.found.middle[0]
        return float(np.arctan2(along[1], along[0]))


def read(photo: Photo, readers: Readers) -> Reading:
    """Read all print of a photo. The result holds what was seen, never what it should be."""
    pyramid = Pyramid(photo.pixels)
    places = places_of(photo.pixels, pyramid, readers.detector, FIRST_SIDE)
    cuts = _cuts(places, pyramid, readers)
    if sum(cut.strip.shape[1] / TALL for cut in cuts) < _LITTLE:
        places = places_of(photo.pixels, pyramid, readers.detector, _CLOSER_SIDE)
        cuts = _cuts(places, pyramid, readers)
    upright = decide(_probes(cuts), readers.recogniser)
    lines, weak = _read_lines([_uprighted(cut, upright) for cut in cuts], readers)
    lines = _second(lines, readers)
    return Reading(
        photo_sha256=photo.sha256,
        turn=upright.turn,
        mirrored=upright.mirrored,
        areas=areas_of(lines, photo.pixels),
        readers=readers.ids,
        quality=photo_facts(photo, [(line.polygon, line.x_height_px) for line in lines]),
        unread=tuple(line.polygon for line in weak),
        notes=(ONE_READER_ONLY,) if readers.second.id is None else (),
    )


def _cuts(places: list[Place], pyramid: Pyramid, readers: Readers) -> list[_Cut]:
    """The lines of all places, cut out straight, the most promising first."""
    found: list[FoundLine] = []
    owner: dict[int, int] = {}
    for number, place in enumerate(places[:_MOST_PLACES]):
        for line in lines_at(place, pyramid, readers.detector):
            found.append(line)
            owner[id(line)] = number
    cuts = []
    for line in apart(found):
        strip = strip_of(
            pyramid,
            line.middle,
            line.height,
            strip_height=TALL,
            margin=MARGIN * TALL / STRIP_HEIGHT,
        )
        # Lines at a quarter turn to their place are a place of their own: which way up is theirs.
        number = owner[id(line)] + (_MOST_PLACES if line.across else 0)
        cuts.append(_Cut(number, line, strip))
    return sorted(cuts, key=_promise, reverse=True)[:_MOST_LINES]


def _promise(cut: _Cut) -> float:
    """How much a line is worth reading: certain and long."""
    return float(cut.found.score * min(cut.strip.shape[1] / TALL, 12.0))


def _probes(cuts: list[_Cut]) -> list[Probe]:
    probes: list[Probe] = []
    for cut in cuts:
        of_place = sum(probe.place == cut.place for probe in probes)
        if len(probes) < _PROBES and of_place < _PROBES_A_PLACE:
            probes.append(Probe(cut.place, cut.direction, rendered(cut.strip, "colour")))
    return probes


def _uprighted(cut: _Cut, upright: Upright) -> _Cut:
    strip = cut.strip
    middle = cut.found.middle
    if upright.mirrored:
        strip, middle = strip[:, ::-1], middle[::-1]
    if upright.flipped(cut.place, cut.direction):
        strip, middle = strip[::-1, ::-1], middle[::-1]
    found = replace(cut.found, middle=middle)
    return _Cut(cut.place, found, np.ascontiguousarray(strip))


def _read_lines(cuts: list[_Cut], readers: Readers) -> tuple[list[Line], list[Line]]:
    """Lines that say something, in reading order, and those that nobody could make out."""
    first = readers.recogniser.recognise([rendered(cut.strip, "colour") for cut in cuts])
    views = [[_view("colour", view)] for view in first]
    unsure = [i for i, view in enumerate(first) if 0.3 < view.confidence < _UNSURE][:_MOST_UNSURE]
    wanted = [(i, name) for i in unsure for name in _FIRST_AID]
    again = readers.recogniser.recognise([rendered(cuts[i].strip, name) for i, name in wanted])
    for (i, name), view in zip(wanted, again, strict=True):
        views[i].append(_view(name, view))
    lines: list[Line] = []
    weak: list[Line] = []
    for cut, of_line in zip(cuts, views, strict=True):
        ordered = sorted(of_line, key=lambda view: -view.confidence)
        line = Line(
            index=0,
            polygon=outline(cut.found.middle, cut.found.height, 1.25),
            x_height_px=round(cut.found.x_height, 1),
            strip=cut.strip,
            views=tuple(ordered),
        )
        says = any(letter.isalnum() for letter in line.text)
        (lines if says and line.confidence >= _LEAST_CONFIDENCE else weak).append(line)
    return lines, weak


def _view(rendering: str, raw: RawView) -> View:
    return View(rendering, raw.text, raw.spans, raw.confidence, raw.steps)


def _second(lines: list[Line], readers: Readers) -> list[Line]:
    asked = lines[:_MOST_SECOND]
    answers: list[SecondReading | None] = readers.second.read_lines(
        [rendered(line.strip, "colour") for line in asked]
    )
    answers += [None] * (len(lines) - len(asked))
    return [
        line if answer is None else replace(line, second=(answer,))
        for line, answer in zip(lines, answers, strict=True)
    ]
