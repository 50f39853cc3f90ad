"""From a photo to a reading: pixels -> lines -> marks. No rule is asked and no list is opened."""

import time

from inkwitness.check.values import (
    UNREAD_PRINT,
    ItemRead,
    LineRead,
    LineView,
    PhotoRead,
    Reading,
)
from inkwitness.marks.code_marks import marks_of_codes
from inkwitness.marks.read_marks import ids_within, marks_of_lines
from inkwitness.marks.script_marks import marks_of_scripts
from inkwitness.marks.values import Mark
from inkwitness.photo.decode import decode
from inkwitness.photo.values import Photo
from inkwitness.reading.codes import read_codes
from inkwitness.reading.read import read
from inkwitness.reading.readers.engines import Readers
from inkwitness.reading.scripts import ScriptsRead, read_scripts
from inkwitness.reading.values import Area, Line
from inkwitness.rulebook import Rulebook


def read_bytes(data: bytes, name: str, readers: Readers, rulebook: Rulebook) -> PhotoRead:
    """Decode a photo file and read it. Raises NotAPhoto or TooLarge."""
    started = time.perf_counter()
    photo = decode(data, name)
    return read_photo(photo, readers, rulebook, started)


def read_photo(
    photo: Photo, readers: Readers, rulebook: Rulebook, started: float | None = None
) -> PhotoRead:
    """Read one decoded photo; `started` is when work on it began (time.perf_counter)."""
    begun = time.perf_counter() if started is None else started
    recognised = read(photo, readers)
    scripts = read_scripts(photo, recognised, readers)
    codes = marks_of_codes(read_codes(photo.pixels))
    items = []
    for number, area in enumerate(scripts.areas):
        marks = (*_marks(area, scripts, rulebook), *(codes if number == 0 else ()))
        lines = tuple(_line(line, scripts) for line in area.lines)
        prefix = f"{photo.sha256[:12]}.{number}"
        items.append(ItemRead(area.polygon, lines, ids_within(marks, prefix)))
    took_part = (*recognised.readers, *scripts.readers)
    reading = Reading(
        photo=photo.name,
        sha256=photo.sha256,
        width=photo.width,
        height=photo.height,
        turn=recognised.turn,
        quality=recognised.quality,
        items=tuple(items),
        readers=tuple(f"{reader.name} {reader.version}" for reader in took_part),
        notes=(*recognised.notes, *((UNREAD_PRINT,) if scripts.unread else ())),
        milliseconds=round(1000 * (time.perf_counter() - begun)),
        rules_edition=rulebook.edition,
    )
    return PhotoRead(reading, {line.index: line.image for a in scripts.areas for line in a.lines})


def _marks(area: Area, scripts: ScriptsRead, book: Rulebook) -> tuple[Mark, ...]:
    latin = tuple(line for line in area.lines if line.index not in scripts.lines)
    marks = marks_of_lines(latin, book.grammars, book.vocabulary)
    return (*marks, *marks_of_scripts(area, scripts, marks, book.grammars, book.vocabulary))


def _line(line: Line, scripts: ScriptsRead) -> LineRead:
    return LineRead(
        index=line.index,
        text=scripts.text(line),
        confidence=round(scripts.confidence(line), 4),
        polygon=line.polygon,
        x_height_px=line.x_height_px,
        views=tuple(
            LineView(view.augmentation, view.text, round(view.confidence, 4)) for view in line.views
        ),
    )
