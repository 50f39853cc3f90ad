"""Photo -> areas -> lines -> character probabilities.

The path, in the order of the calls:

`find.places_of`       first pass: where print is, on the reduced photo
`find.lines_at`        second pass: the lines of each place, at the size the reader likes
`straighten.strip_of`  each line cut out straight, along its curve
`orient.decide`        which way is up, from all lines together
`engines.recognise`    per-step character probabilities; more augmentations for unsure lines
                       (all of this again on a larger copy where little was read)
`views.looked_at_again` still more augmentations for lines with codes
`second.read_lines`    the independent reader, one call for all lines
`group.areas_of`       lines that belong to one unit or box
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from operator import add

import numpy as np

from inkwitness.photo.quality import photo_facts
from inkwitness.photo.values import Photo, Pixels, Polygon
from inkwitness.reading.augmentations import MARGIN, TALL, augmented
from inkwitness.reading.borders import crossed_ends, ground_ahead, marked_before
from inkwitness.reading.find import (
    FIRST_SIDE,
    PAD,
    WIDE_PAD,
    FoundLine,
    Place,
    ahead_of,
    apart,
    covered,
    cut_off,
    is_block,
    lines_at,
    lines_of_block,
    only_first,
    places_of,
    runs_into,
)
from inkwitness.reading.frames import frames_of
from inkwitness.reading.group import areas_of
from inkwitness.reading.orient import OrientationVote, Upright, decide
from inkwitness.reading.readers.engines import Readers, Remembering
from inkwitness.reading.readers.tesseract import ReaderStopped
from inkwitness.reading.straighten import OUTLINE, Pyramid, line_image_of, outline
from inkwitness.reading.values import IMAGE_HEIGHT, Line, Recognition, View
from inkwitness.reading.views import (
    has_code,
    looked_at_again,
    looks_like_class,
    looks_like_number,
)

ONE_READER_ONLY = "one_reader_only"
#: Places, lines and blocks of a look, the best first: more cost time where all is texture.
_MOST_PLACES, _MOST_LINES, _MOST_BLOCKS = 14, 60, 6
#: Longer sides of the photo for closer looks: one unless both a class and a number were read, one
#: more while neither was, where the photo has as many pixels.
_CLOSER_SIDE, _CLOSEST_SIDE = 1088, 1600
#: A line read this surely needs no closer look.
_SURE = 0.8
#: What is seen in a frame counts from this confidence on.
_SURE_IN_FRAME = 0.95
#: Lines read both ways to tell which way is up, in all and of one place: each costs a reading.
_VOTES, _VOTES_A_PLACE = 8, 3
#: Lines read with a confidence between these get more views, so many at most: surer ones need none,
#: and what is less sure is hardly print.
_HOPELESS, _UNSURE, _MOST_UNSURE = 0.3, 0.85, 10
_FIRST_AID = ("local_contrast", "closer")
#: Below this confidence nothing was made out; so many letters or fewer are a scrap.
_LEAST_CONFIDENCE, _SCRAP = 0.45, 2
#: Lines that the second reader is asked about at most: it takes time for each.
_MOST_SECOND = 24
#: A place is read where sure lines cover more than this share of its marks.
_MOSTLY = 0.8
#: Width of a line image, in its heights: from the first on a longer line is not worth more, and a
#: class in a frame is between the others.
_LONG, _LEAST_FRAMED, _MOST_FRAMED = 12.0, 0.8, 2.5


@dataclass(frozen=True, slots=True, eq=False)
class _Cut:
    """A line found, the place it stands in, and its line image (TALL high)."""

    place: int
    found: FoundLine
    image: Pixels

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


def read(photo: Photo, readers: Readers) -> Recognition:
    """Read all print of a photo. The result holds what was seen, never what it should be."""
    pyramid = Pyramid(photo.pixels)
    readers = replace(readers, recogniser=Remembering(readers.recogniser))
    side = max(photo.pixels.shape[:2])
    places = places_of(pyramid, readers.detector, FIRST_SIDE)
    cuts = _cuts(places, pyramid, readers, 0)
    upright, seen = _read_cuts(cuts, readers)
    if not (_any(seen, looks_like_class) and _any(seen, looks_like_number)):
        closer = places_of(pyramid, readers.detector, _CLOSER_SIDE)
        closer = [place for place in closer if not _is_read(place, seen)]
        blocks = [] if _any(seen, looks_like_class) else [p for p in closer if is_block(p, side)]
        cuts += _cuts(closer, pyramid, readers, 2 * _MOST_PLACES, WIDE_PAD)
        cuts += _cuts_of_blocks(blocks, pyramid, readers, 4 * _MOST_PLACES)
        upright, seen = _read_cuts(cuts, readers)
    framed = [] if _any(seen, looks_like_class) else _framed(pyramid, readers)
    said = [*seen, *framed]
    nothing = not _any(said, looks_like_class) and not _any(said, looks_like_number)
    if nothing and seen and side >= _CLOSEST_SIDE:
        closest = places_of(pyramid, readers.detector, _CLOSEST_SIDE)
        closest = [place for place in closest if not _is_read(place, seen)]
        cuts += _cuts(closest, pyramid, readers, 6 * _MOST_PLACES, WIDE_PAD)
        upright, seen = _read_cuts(cuts, readers)
    seen += framed
    seen = _apart(seen)
    lines = [_line(one, seen, pyramid) for one in seen if one.says]
    asked = _worth_asking(lines)
    # The second reader is a process of its own: it works while more views are looked at.
    answers = readers.pool.submit(
        readers.second.read_lines, [augmented(line.image, "colour") for line in asked]
    )
    again = looked_at_again(lines, readers.recogniser)
    heard = readers.second.id is not None
    try:
        told = {id(line): one for line, one in zip(asked, answers.result(), strict=True)}
    except ReaderStopped:  # it costs its answers, not the reading
        told, heard = {}, False
    lines = [
        new if (second := told.get(id(old))) is None else replace(new, second=(second,))
        for old, new in zip(lines, again, strict=True)
    ]
    return Recognition(
        photo_sha256=photo.sha256,
        turn=upright.turn,
        mirrored=upright.mirrored,
        areas=areas_of(lines, photo.pixels),
        readers=readers.ids,
        quality=photo_facts(
            photo, [(one.polygon, one.x_height_px) for one in lines if has_words(one)]
        ),
        unread=tuple(_outline(one.cut) for one in seen if not one.says),
        notes=() if heard else (ONE_READER_ONLY,),
    )


def _any(seen: list[_Read], looks: Callable[[str], bool]) -> bool:
    """Whether a sure line looks so."""
    return any(looks(view.text) for one in seen for view in one.views if view.confidence >= _SURE)


def _cuts(
    places: list[Place], pyramid: Pyramid, readers: Readers, first_place: int, pad: float = PAD
) -> list[_Cut]:
    """The lines of these places, cut out straight, the most promising first."""
    places = places[:_MOST_PLACES]
    closer = list(
        readers.pool.map(
            lambda place: lines_at(place, pyramid, readers.close_detector, pad), places
        )
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
        # Lines at a quarter turn to their place are a place of their own: which way up is theirs.
        number = first_place + owner[id(line)] + (_MOST_PLACES if line.across else 0)
        cuts.append(_Cut(number, line, _line_image(line, pyramid)))
    return sorted(cuts, key=_promise, reverse=True)[:_MOST_LINES]


def _cuts_of_blocks(
    blocks: list[Place], pyramid: Pyramid, readers: Readers, first_place: int
) -> list[_Cut]:
    """The lines of small compact places, looked at as they stand in the photo."""
    scale = _CLOSER_SIDE / max(pyramid.level(1.0)[0].shape[:2])
    blocks = blocks[:_MOST_BLOCKS]
    looks = readers.pool.map(
        lambda block: lines_of_block(block, scale, pyramid, readers.close_detector), blocks
    )
    return [
        _Cut(
            first_place + number + (_MOST_PLACES if line.across else 0),
            line,
            _line_image(line, pyramid),
        )
        for number, lines in enumerate(looks)
        for line in lines
    ]


def _framed(pyramid: Pyramid, readers: Readers) -> list[_Read]:
    """What stands in frames and looks like a class, read both ways up."""
    cuts = [_Cut(0, line, _line_image(line, pyramid)) for line in frames_of(pyramid.level(1.0)[0])]
    turned = [
        _Cut(0, cut.found.backward, np.ascontiguousarray(cut.image[::-1, ::-1])) for cut in cuts
    ]
    both = [*cuts, *turned]
    raws = readers.recogniser.recognise([augmented(cut.image, "colour") for cut in both])
    return [
        _Read(cut, (replace(raw, augmentation="colour"),))
        for cut, raw in zip(both, raws, strict=True)
        if raw.confidence >= _SURE_IN_FRAME and looks_like_class(raw.text)
    ]


def _is_read(place: Place, seen: list[_Read]) -> bool:
    """Whether lines that were read surely cover most of a place."""
    points = place.points[:: max(1, len(place.points) // 100)]
    covered = np.zeros(len(points), bool)
    for one in seen:
        if one.says and one.views[0].confidence >= _SURE:
            gaps = points[:, None, :] - one.cut.found.middle[None, :, :]
            covered |= np.hypot(gaps[..., 0], gaps[..., 1]).min(axis=1) < one.cut.found.height
    return bool(covered.mean() > _MOSTLY)


def _line_image(line: FoundLine, pyramid: Pyramid) -> Pixels:
    return line_image_of(
        pyramid, line.middle, line.height, image_height=TALL, margin=MARGIN * TALL / IMAGE_HEIGHT
    )


def _promise(cut: _Cut) -> float:
    """How much a line is worth reading: certain and long."""
    return float(cut.found.score * min(cut.image.shape[1] / TALL, _LONG))


def _voters(cuts: list[_Cut]) -> list[int]:
    """Which cuts are read both ways: the most promising of each place."""
    probed: list[int] = []
    for number, cut in enumerate(cuts):
        of_place = sum(cuts[other].place == cut.place for other in probed)
        if len(probed) < _VOTES and of_place < _VOTES_A_PLACE:
            probed.append(number)
    return probed


def _read_cuts(cuts: list[_Cut], readers: Readers) -> tuple[Upright, list[_Read]]:
    """Which way is up, and every cut read that way; unsure ones in more than one augmentation."""
    probed = _voters(cuts)
    votes = [
        OrientationVote(cuts[i].place, cuts[i].direction, augmented(cuts[i].image, "colour"))
        for i in probed
    ]
    upright = decide(votes, readers.recogniser)
    cuts = [_uprighted(cut, upright) for cut in cuts]
    first = readers.recogniser.recognise([augmented(cut.image, "colour") for cut in cuts])
    views = [[replace(seen, augmentation="colour")] for seen in first]
    unsure = [i for i, seen in enumerate(first) if _HOPELESS < seen.confidence < _UNSURE]
    unsure = unsure[:_MOST_UNSURE]
    wanted = [(i, name) for i in unsure for name in _FIRST_AID]
    wanted += [(i, "inside") for i in unsure if _may_be_framed(cuts[i])]
    again = readers.recogniser.recognise([augmented(cuts[i].image, name) for i, name in wanted])
    for (i, name), view in zip(wanted, again, strict=True):
        views[i].append(replace(view, augmentation=name))
    ordered = [tuple(sorted(of_cut, key=lambda view: -view.confidence)) for of_cut in views]
    return upright, [_Read(cut, of_cut) for cut, of_cut in zip(cuts, ordered, strict=True)]


def _may_be_framed(cut: _Cut) -> bool:
    """Short enough for a class in a frame, long enough to lose its sides."""
    return bool(_LEAST_FRAMED * TALL < cut.image.shape[1] < _MOST_FRAMED * TALL)


def _uprighted(cut: _Cut, upright: Upright) -> _Cut:
    image, found = cut.image, cut.found
    if upright.mirrored:
        image, found = image[:, ::-1], found.backward
    if upright.flipped(cut.place, cut.direction):
        image, found = image[::-1, ::-1], found.backward
    return _Cut(cut.place, found, np.ascontiguousarray(image))


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


def _line(one: _Read, seen: list[_Read], pyramid: Pyramid) -> Line:
    loose = [other for other in seen if other is not one and other.is_scrap]
    height, width = pyramid.level(1.0)[0].shape[:2]
    found, image = one.cut.found, one.cut.image
    first, last, along = cut_off(found, width, height)
    first_letter, last_letter = _outermost_letters(one)
    crossed_first, crossed_last = crossed_ends(image)
    ahead = _End.of(found, image, first_letter, pyramid, crossed=crossed_first)
    turned, backward = image[::-1, ::-1], image.shape[1] - last_letter
    behind = _End.of(found.backward, turned, backward, pyramid, crossed=crossed_last)
    return Line(
        index=0,
        polygon=_outline(one.cut),
        x_height_px=round(found.x_height, 1),
        image=image,
        views=one.views,
        runs_on=any(runs_into(found, other.cut.found) for other in loose),
        cut=(first, last),
        cut_along=along,
        crossed=(ahead.crossed, behind.crossed),
        before=ahead.marked,
        behind=behind.marked,
    )


@dataclass(frozen=True, slots=True)
class _End:
    """An end of a line: whether something stands across it, and how marked its ground is."""

    crossed: bool
    marked: float

    @classmethod
    def of(
        cls, found: FoundLine, image: Pixels, letter: float, pyramid: Pyramid, *, crossed: bool
    ) -> "_End":
        """The start of a line. `letter` is the middle of its first one (line image pixels);
        `crossed` says what the line image alone shows: a letter that was cut too near crosses
        nothing.
        """
        ground = _line_image(ahead_of(found), pyramid)
        plain = ground_ahead(ground, image) if crossed else None
        if plain is None:
            return cls(crossed, marked_before(ground, image, letter))
        return cls(False, marked_before(plain, image, letter))


def _outermost_letters(one: _Read) -> tuple[float, float]:
    """The middles of the first and the last letter (line image pixels)."""
    view = next(view for view in one.views if view.augmentation != "inside")
    wide, steps = one.cut.image.shape[1], view.steps.log_probs.shape[0]
    if not view.spans:
        return 0.0, float(wide)
    middles = [float(sum(view.spans[at]) / 2 / steps * wide) for at in (0, -1)]
    return middles[0], middles[1]


def has_words(line: Line) -> bool:
    """More than a letter or two, which a strap or a seam may be: those say nothing of the photo."""
    return sum(letter.isalnum() for letter in line.text) > _SCRAP


def _outline(cut: _Cut) -> Polygon:
    return outline(cut.found.middle, cut.found.height, OUTLINE)


def _worth_asking(lines: list[Line]) -> list[Line]:
    """The lines that the second reader is asked about: those with codes first, none without any."""
    if not any(has_code(line) for line in lines):
        return []
    return sorted(lines, key=has_code, reverse=True)[:_MOST_SECOND]
