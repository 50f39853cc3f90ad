"""Photo -> areas -> lines -> character probabilities. The path, in the order of the calls:

`find.places_of`       first pass: where print is, on the reduced photo
`find.lines_at`        second pass: the lines of each place, at the size the reader likes
`straighten.strip_of`  each line cut out straight, along its curve
`orient.decide`        which way is up, from all lines together
`engines.recognise`    per-step character probabilities; more renderings for unsure lines
                       (all of this again on a larger copy where little was read)
`views.looked_at_again` still more renderings for lines with codes
`second.read_lines`    the independent reader, one call for all lines
`group.areas_of`       lines that belong to one unit or box
"""

from dataclasses import dataclass, replace
from operator import add

import numpy as np

from inkwitness.photo.quality import photo_facts
from inkwitness.photo.values import Photo, Pixels, Polygon
from inkwitness.reading.borders import crossed_ends
from inkwitness.reading.engines import STRIP_HEIGHT, Readers, Remembering
from inkwitness.reading.find import (
    FIRST_SIDE,
    FoundLine,
    apart,
    covered,
    cut_off,
    lines_at,
    only_first,
    places_of,
    runs_into,
)
from inkwitness.reading.group import areas_of
from inkwitness.reading.orient import Probe, Upright, decide
from inkwitness.reading.renderings import MARGIN, TALL, rendered
from inkwitness.reading.straighten import Pyramid, outline, strip_of
from inkwitness.reading.values import Line, Reading, SecondReading, View
from inkwitness.reading.views import looked_at_again, view_of

ONE_READER_ONLY = "one_reader_only"
_MOST_PLACES = 14
_MOST_LINES = 60
#: Longer sides of the photo for closer looks, taken while little was read. One is enough: a second
#: found no more print on photographs and took as long again.
_CLOSER_SIDES = (1088,)
#: Fewer letters of the reading's own scripts than this, all sure: little was read.
_LITTLE = 12
_SURE = 0.8
_PROBES = 8
_PROBES_A_PLACE = 3
_UNSURE = 0.85
_MOST_UNSURE = 10
_FIRST_AID = ("local_contrast", "closer")
_LEAST_CONFIDENCE = 0.45
_SCRAP = 2
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


@dataclass(frozen=True, slots=True, eq=False)
class _Read:
    """A cut the right way up and what the first reader made of it, the best view first."""

    cut: _Cut
    views: tuple[View, ...]

    @property
    def says(self) -> bool:
        """Whether anything was made out."""
        best = self.views[0]
        return best.confidence >= _LEAST_CONFIDENCE and any(c.isalnum() for c in best.text)

    @property
    def is_scrap(self) -> bool:
        """Nothing made out, or hardly more than a letter: it may belong to the print beside it."""
        return not self.says or sum(c.isalnum() for c in self.views[0].text) <= _SCRAP

    @property
    def sure_letters(self) -> int:
        """Letters and digits of a sure line; a piece cut out of the strip's inside says little."""
        best = next(view for view in self.views if view.rendering != "inside")
        known = sum(letter.isascii() and letter.isalnum() for letter in best.text)
        return known if best.confidence >= _SURE else 0


def read(photo: Photo, readers: Readers) -> Reading:
    """Read all print of a photo. The result holds what was seen, never what it should be."""
    pyramid = Pyramid(photo.pixels)
    readers = replace(readers, recogniser=Remembering(readers.recogniser))
    cuts: list[_Cut] = []
    for look, side in enumerate((FIRST_SIDE, *_CLOSER_SIDES)):
        cuts += _cuts(pyramid, readers, side, first_place=2 * _MOST_PLACES * look)
        upright, seen = _read_cuts(cuts, readers)
        if sum(one.sure_letters for one in seen) >= _LITTLE:
            break
    seen = _apart(seen)
    lines = [_line(one, seen, photo) for one in seen if one.says]
    lines = _second(looked_at_again(lines, readers.recogniser), readers)
    return Reading(
        photo_sha256=photo.sha256,
        turn=upright.turn,
        mirrored=upright.mirrored,
        areas=areas_of(lines, photo.pixels),
        readers=readers.ids,
        quality=photo_facts(
            photo, [(one.polygon, one.x_height_px) for one in lines if has_words(one)]
        ),
        unread=tuple(_outline(one.cut) for one in seen if not one.says),
        notes=(ONE_READER_ONLY,) if readers.second.id is None else (),
    )


def _cuts(pyramid: Pyramid, readers: Readers, side: int, first_place: int) -> list[_Cut]:
    """The lines that a look at this size leads to, cut out straight, the most promising first."""
    places = places_of(pyramid, readers.detector, side)[:_MOST_PLACES]
    closer = list(
        readers.pool.map(lambda place: lines_at(place, pyramid, readers.close_detector), places)
    )
    found = apart([line for lines in closer for line in lines])
    from_afar = [only_first(place, found) for place in places]
    owner = {
        id(line): number
        for number, lines in enumerate(map(add, closer, from_afar))
        for line in lines
    }
    cuts = []
    for line in [*found, *(line for lines in from_afar for line in lines)]:
        strip = strip_of(
            pyramid,
            line.middle,
            line.height,
            strip_height=TALL,
            margin=MARGIN * TALL / STRIP_HEIGHT,
        )
        # Lines at a quarter turn to their place are a place of their own: which way up is theirs.
        number = first_place + owner[id(line)] + (_MOST_PLACES if line.across else 0)
        cuts.append(_Cut(number, line, strip))
    return sorted(cuts, key=_promise, reverse=True)[:_MOST_LINES]


def _promise(cut: _Cut) -> float:
    """How much a line is worth reading: certain and long."""
    return float(cut.found.score * min(cut.strip.shape[1] / TALL, 12.0))


def _probed(cuts: list[_Cut]) -> list[int]:
    """Which cuts are read both ways: the most promising of each place."""
    probed: list[int] = []
    for number, cut in enumerate(cuts):
        of_place = sum(cuts[other].place == cut.place for other in probed)
        if len(probed) < _PROBES and of_place < _PROBES_A_PLACE:
            probed.append(number)
    return probed


def _read_cuts(cuts: list[_Cut], readers: Readers) -> tuple[Upright, list[_Read]]:
    """Which way is up, and every cut read that way; unsure ones in more than one rendering."""
    probed = _probed(cuts)
    probes = [
        Probe(cuts[i].place, cuts[i].direction, rendered(cuts[i].strip, "colour")) for i in probed
    ]
    upright = decide(probes, readers.recogniser)
    cuts = [_uprighted(cut, upright) for cut in cuts]
    first = readers.recogniser.recognise([rendered(cut.strip, "colour") for cut in cuts])
    views = [[view_of("colour", seen)] for seen in first]
    unsure = [i for i in range(len(cuts)) if 0.3 < first[i].confidence < _UNSURE][:_MOST_UNSURE]
    wanted = [(i, name) for i in unsure for name in _FIRST_AID]
    wanted += [(i, "inside") for i in unsure if _may_be_framed(cuts[i])]
    again = readers.recogniser.recognise([rendered(cuts[i].strip, name) for i, name in wanted])
    for (i, name), view in zip(wanted, again, strict=True):
        views[i].append(view_of(name, view))
    ordered = [tuple(sorted(of_cut, key=lambda view: -view.confidence)) for of_cut in views]
    return upright, [_Read(cut, of_cut) for cut, of_cut in zip(cuts, ordered, strict=True)]


def _may_be_framed(cut: _Cut) -> bool:
    """Short enough for a class in a frame, long enough to lose its sides."""
    return bool(0.8 * TALL < cut.strip.shape[1] < 2.5 * TALL)


def _uprighted(cut: _Cut, upright: Upright) -> _Cut:
    strip, found = cut.strip, cut.found
    if upright.mirrored:
        strip, found = strip[:, ::-1], found.backward
    if upright.flipped(cut.place, cut.direction):
        strip, found = strip[::-1, ::-1], found.backward
    return _Cut(cut.place, found, np.ascontiguousarray(strip))


def _apart(seen: list[_Read]) -> list[_Read]:
    """Of cuts that show the same ink (looks overlap) the one that says most."""
    kept: list[_Read] = []
    for one in sorted(seen, key=_says_most, reverse=True):
        if not any(covered(one.cut.found, other.cut.found) for other in kept):
            kept.append(one)
    return kept


def _says_most(one: _Read) -> tuple[float, float]:
    best = one.views[0]
    letters = sum(letter.isalnum() for letter in best.text)
    return letters * best.confidence**2 if one.says else 0.0, _promise(one.cut)


def _line(one: _Read, seen: list[_Read], photo: Photo) -> Line:
    loose = [other for other in seen if other is not one and other.is_scrap]
    first, last, along = cut_off(one.cut.found, photo.width, photo.height)
    return Line(
        index=0,
        polygon=_outline(one.cut),
        x_height_px=round(one.cut.found.x_height, 1),
        strip=one.cut.strip,
        views=one.views,
        runs_on=any(runs_into(one.cut.found, other.cut.found) for other in loose),
        cut=(first, last),
        cut_along=along,
        crossed=crossed_ends(one.cut.strip),
    )


def has_words(line: Line) -> bool:
    """More than a letter or two, which a strap or a seam may be: those say nothing of the photo."""
    return sum(letter.isalnum() for letter in line.text) > _SCRAP


def _outline(cut: _Cut) -> Polygon:
    return outline(cut.found.middle, cut.found.height, 1.25)


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
