"""Print in a script that the bundled recogniser has not, read by a reader that has it.

Korean data reads Hangul well and Latin letters badly (`42511`, sure, for a printed A2511), so only
its Hangul words are taken, put where they stand between what the recogniser read. It is asked only
where lines look like print that the recogniser does not have, first about a few of them; nothing
changes in a photo in which it is not sure of any word. What stands behind its words is cut out and
read by itself, since both other readers are confused by letters that they do not have.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from inkwitness.photo.values import Photo, Pixels, Polygon
from inkwitness.reading.augmentations import MARGIN, TALL, augmented
from inkwitness.reading.group import areas_of
from inkwitness.reading.readers.engines import Readers
from inkwitness.reading.readers.script_reader import ScriptReader, Word
from inkwitness.reading.readers.tesseract import ReaderStopped
from inkwitness.reading.straighten import OUTLINE, Pyramid, line_image_of
from inkwitness.reading.values import IMAGE_HEIGHT, Area, Line, ReaderId, Recognition, View

#: A word of fewer letters, or read less surely, may be a Latin word taken for Hangul.
LEAST_LETTERS = 2
SURE = 0.8
#: A single syllable counts from `_LIKELY`; over what the recogniser reads as Latin, from `_CLEAR`.
_LIKELY, _CLEAR = 0.6, 0.9
#: Syllables further apart than this share of a line image's height are two words.
_GAP = 0.5
#: Print behind the last word starts so much after it, and is at least so wide (line image heights).
_BEHIND, _LEAST_REST = 0.08, 0.5
_REST_VIEWS = ("colour", "closer")
#: Lines that a reader is asked about first, and at most once it knew one: more only cost time.
_PROBED, _MOST_LINES = 8, 32
#: Lines that the recogniser is this sure of hold no script that it lacks.
_CERTAIN = 0.97
#: x-height over the height of capitals, for a place that nobody read (common practice, no source).
_X_HEIGHT = 0.7
#: Unicode blocks of Hangul: syllables, jamo, compatibility jamo (first and last code point).
_HANGUL = ((0xAC00, 0xD7A3), (0x1100, 0x11FF), (0x3130, 0x318F))


@dataclass(frozen=True, slots=True, eq=False)
class ScriptLine:
    """A line in which a named reader read its script.

    `text` is the whole line: the reader's words where they stand, and between them what the
    recogniser read. `words` are the reader's words alone. `line` is the line as it was found, or
    None where the recogniser had made nothing out; `image` is its straightened picture. `rest` is
    what stands behind the last word, read by itself; None where nothing does.
    """

    text: str
    words: tuple[Word, ...]
    polygon: Polygon
    image: Pixels
    x_height_px: float
    line: Line | None = None
    rest: Line | None = None

    @property
    def confidence(self) -> float:
        """Of the reader in its words, by letters."""
        letters = sum(len(word.text) for word in self.words)
        return sum(len(word.text) * word.confidence for word in self.words) / letters


@dataclass(frozen=True, slots=True, eq=False)
class ScriptsRead:
    """A reading with what the named readers added.

    `areas` hold every line, those without a view that only a named reader made out among them;
    `lines` are the lines of the script by line index. `unread` are the places that still nobody
    could make out, those that look like the script and were not read surely among them. `readers`
    are the named readers that read something.
    """

    areas: tuple[Area, ...]
    lines: Mapping[int, ScriptLine]
    unread: tuple[Polygon, ...]
    readers: tuple[ReaderId, ...] = ()

    def text(self, line: Line) -> str:
        """The line as all readers together made it out."""
        return self.lines[line.index].text if line.index in self.lines else line.text

    def confidence(self, line: Line) -> float:
        """How sure the reader was of the line."""
        return self.lines[line.index].confidence if line.index in self.lines else line.confidence


def read_scripts(photo: Photo, reading: Recognition, all_readers: Readers) -> ScriptsRead:
    """What named readers make of the lines that the recogniser has not the letters for."""
    readers = all_readers.scripts
    lines = [line for area in reading.areas for line in area.lines]
    pyramid = Pyramid(photo.pixels)
    odd = [_Cut.of_line(line) for line in lines if looks_unknown(line)]
    odd += [_Cut.of_place(polygon, pyramid) for polygon in reading.unread if readers]
    plain = [_Cut.of_line(line) for line in lines if not looks_unknown(line)]
    for reader in readers:
        found = _read(odd[:_PROBED], reader, "colour")
        if not any(found):
            continue
        asked = [*odd, *plain][:_MOST_LINES]
        found += _read(asked[len(found) :], reader, "colour")
        again = [i for i, cut in enumerate(asked) if found[i] is None and cut in odd]
        for number, one in zip(
            again, _read([asked[i] for i in again], reader, "wider"), strict=True
        ):
            found[number] = one
        read = {id(cut) for cut, one in zip(asked, found, strict=True) if one is not None}
        told = _with_rests([one for one in found if one is not None], all_readers)
        areas, by_index = _with_lines(photo, reading, told)
        return ScriptsRead(
            areas=areas,
            lines=by_index,
            unread=tuple(cut.polygon for cut in odd if id(cut) not in read),
            readers=(reader.id,),
        )
    return ScriptsRead(reading.areas, {}, reading.unread)


def _with_rests(lines: Sequence[ScriptLine], readers: Readers) -> list[ScriptLine]:
    """The lines with what stands behind their last word, read by itself by both other readers."""
    cuts = [(one, image) for one in lines if (image := _behind(one)) is not None]
    pictures = [augmented(image, name) for _, image in cuts for name in _REST_VIEWS]
    seen = iter(readers.recogniser.recognise(pictures))
    try:
        second = readers.second.read_lines([augmented(image, "colour") for _, image in cuts])
    except ReaderStopped:
        return list(lines)  # its letters stay a question, as they are without these looks
    rests = {}
    for (one, image), answer in zip(cuts, second, strict=True):
        views = tuple(replace(next(seen), augmentation=name) for name in _REST_VIEWS)
        answers = () if answer is None else (answer,)
        rests[id(one)] = Line(0, one.polygon, one.x_height_px, image, views, answers)
    return [replace(one, rest=rests.get(id(one))) for one in lines]


def _behind(one: ScriptLine) -> Pixels | None:
    """The straightened picture of what stands behind the last word of the script, if anything."""
    high, wide = one.image.shape[:2]
    start = round(one.words[-1].end * wide + _BEHIND * high)
    return one.image[:, start:] if wide - start >= _LEAST_REST * high else None


def _with_lines(
    photo: Photo, reading: Recognition, read: Sequence[ScriptLine]
) -> tuple[tuple[Area, ...], dict[int, ScriptLine]]:
    """The areas, grouped anew where lines came in, and the lines of the script by their index."""
    areas = reading.areas
    new = [Line(0, one.polygon, one.x_height_px, one.image, ()) for one in read if one.line is None]
    if new:
        known = [line for area in areas for line in area.lines]
        areas = areas_of([*known, *new], photo.pixels)
    # numbering a line anew keeps its line image
    by_image = {id(one.image): one for one in read}
    lines = [line for area in areas for line in area.lines]
    return areas, {
        line.index: by_image[id(line.image)] for line in lines if id(line.image) in by_image
    }


def looks_unknown(line: Line) -> bool:
    """Whether the recogniser saw signs here that are no Latin print, and was not certain."""
    odd = any(not letter.isascii() or letter == "|" for letter in line.text)
    return odd and line.confidence < _CERTAIN


def is_hangul(letter: str) -> bool:
    """Whether it is a syllable or letter of Hangul."""
    return any(low <= ord(letter) <= high for low, high in _HANGUL)


@dataclass(frozen=True, slots=True, eq=False)
class _Cut:
    """A straightened line to ask a named reader about."""

    polygon: Polygon
    image: Pixels
    x_height_px: float
    line: Line | None = None

    @classmethod
    def of_line(cls, line: Line) -> "_Cut":
        return cls(line.polygon, line.image, line.x_height_px, line)

    @classmethod
    def of_place(cls, polygon: Polygon, pyramid: Pyramid) -> "_Cut":
        """A place that nobody read: its outline runs along the top and back along the bottom."""
        ring = np.array(polygon)
        half = len(ring) // 2
        top, bottom = ring[:half], ring[half:][::-1]
        height = float(np.hypot(*(bottom - top).T).mean()) / OUTLINE
        image = line_image_of(
            pyramid,
            (top + bottom) / 2,
            height,
            image_height=TALL,
            margin=MARGIN * TALL / IMAGE_HEIGHT,
        )
        return cls(polygon, image, round(_X_HEIGHT * height, 1))


def _read(cuts: Sequence[_Cut], reader: ScriptReader, augmentation: str) -> list[ScriptLine | None]:
    answers = reader.read_words([augmented(cut.image, augmentation) for cut in cuts])
    return [_line(cut, words) for cut, words in zip(cuts, answers, strict=True)]


def _line(cut: _Cut, words: Sequence[Word]) -> ScriptLine | None:
    """The line with the reader's sure words in place; None where there is none."""
    view = cut.line.views[0] if cut.line is not None and cut.line.views else None
    letters = _placed(view) if view is not None else []
    certain = cut.line is not None and cut.line.confidence >= _CERTAIN
    height = cut.image.shape[0] / max(cut.image.shape[1], 1)
    seen = [
        word
        for word in words
        if word.confidence >= _CLEAR
        or (word.confidence >= _LIKELY and not _is_known(word, letters, certain=certain))
    ]
    kept = [
        word
        for word in _joined(seen, _GAP * height)
        if len(word.text) >= LEAST_LETTERS
        and word.confidence >= SURE
        and not _is_known(word, letters, certain=certain)
    ]
    if not kept:
        return None
    pieces: list[tuple[float, str]] = [(word.start, word.text) for word in kept]
    for at, letter in letters:
        if not any(word.start <= at <= word.end for word in kept):
            pieces.append((at, letter))
    return ScriptLine(_text(pieces), tuple(kept), cut.polygon, cut.image, cut.x_height_px, cut.line)


def _joined(words: Sequence[Word], gap: float) -> list[Word]:
    """Hangul alone, its syllables joined: where they are parted is not measured well enough."""
    joined: list[Word] = []
    for word in words:
        text = "".join(letter for letter in word.text if is_hangul(letter))
        if len(text) < len(word.text):
            continue
        if joined and word.start - joined[-1].end < gap:
            last = joined.pop()
            both = len(last.text) + len(text)
            mean = (len(last.text) * last.confidence + len(text) * word.confidence) / both
            joined.append(Word(last.text + text, last.start, word.end, mean))
        else:
            joined.append(word)
    return joined


def _placed(view: View) -> list[tuple[float, str]]:
    """The letters of a view, each with its middle as a share of the line."""
    steps = view.steps.log_probs.shape[0]
    return [
        ((first + last) / 2 / steps, letter)
        for (first, last), letter in zip(view.spans, view.text, strict=True)
    ]


def _is_known(word: Word, letters: Iterable[tuple[float, str]], *, certain: bool) -> bool:
    """Whether the recogniser knows what stands where the word does.

    It is certain of the line, or saw at least as many Latin letters and digits there.
    """
    here = [letter for at, letter in letters if word.start <= at <= word.end]
    plain = sum(letter.isascii() and letter.isalnum() for letter in here)
    return bool(here) and (certain or len(here) == plain >= len(word.text))


def _text(pieces: Iterable[tuple[float, str]]) -> str:
    """Words and single letters in the order they stand, a space on both sides of a word."""
    text = ""
    for _, piece in sorted(pieces):
        text += f" {piece} " if len(piece) > 1 else piece
    return " ".join(text.split())
