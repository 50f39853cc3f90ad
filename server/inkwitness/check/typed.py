"""Print that a person typed because no photo could be taken: a reading that no camera made.

It goes through the same grammars and rules as a photo. There is no ink to go back to, so its basis
is never more than a reading, and everywhere it says who typed it.
"""

import hashlib
from collections.abc import Sequence

from inkwitness.check.values import ItemRead, LineRead, Reading
from inkwitness.errors import BadInput
from inkwitness.marks.read_marks import ids_within, marks_of_text
from inkwitness.rulebook import Rulebook

#: The note of every reading that was typed.
TYPED_NO_PHOTO = "typed_no_photo"
MOST_LINES = 60
MOST_LETTERS = 200


def typed_reading(lines: Sequence[str], said: str, rulebook: Rulebook) -> Reading:
    """The reading of typed lines; `said` is who typed them, as it is shown in place of a photo.

    `sha256` is that of the lines as UTF-8, with a line feed between them. Raises BadInput where
    nothing was typed, or more than a print holds.
    """
    kept = tuple(line.strip() for line in lines if line.strip())
    if not kept:
        raise BadInput("nothing_typed")
    if len(kept) > MOST_LINES or any(len(line) > MOST_LETTERS for line in kept):
        raise BadInput("typed_too_much", lines=MOST_LINES, letters=MOST_LETTERS)
    sha256 = hashlib.sha256("\n".join(kept).encode()).hexdigest()
    marks = ids_within(
        marks_of_text(kept, rulebook.grammars, rulebook.vocabulary), f"{sha256[:12]}.0"
    )
    read = tuple(LineRead(index, line) for index, line in enumerate(kept))
    return Reading(
        photo=said,
        sha256=sha256,
        width=0,
        height=0,
        turn=0.0,
        quality=(),
        items=(ItemRead((), read, marks),),
        readers=(said,),
        notes=(TYPED_NO_PHOTO,),
        milliseconds=0,
        rules_edition=rulebook.edition,
    )
