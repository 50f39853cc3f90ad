"""Which lines are looked at in more ways, and what looks like a class or a number."""

from collections.abc import Sequence

import numpy as np
import pytest

from inkwitness.photo.values import Pixels
from inkwitness.reading.augmentations import TALL
from inkwitness.reading.readers.ctc import ALPHABET
from inkwitness.reading.values import CharSteps, Line, View
from inkwitness.reading.views import (
    has_code,
    looked_at_again,
    looks_like_class,
    looks_like_number,
)


class Parrot:
    """A recogniser that says the same of every line image, and counts what it was asked."""

    def __init__(self) -> None:
        self.asked = 0

    def recognise(self, images: Sequence[Pixels]) -> list[View]:
        self.asked += len(images)
        return [View("", "?", ((0, 1),), 0.1, steps_of("?", 0.1)) for _ in images]


def steps_of(text: str, sure: float) -> CharSteps:
    """A step a letter, each with this probability, the rest on the blank."""
    rows = np.full((len(text), len(ALPHABET) + 2), 1e-9)
    rows[:, 0] = 1 - sure
    for row, letter in zip(rows, text, strict=True):
        row[1 + ALPHABET.index(letter)] = sure
    return CharSteps(ALPHABET, np.log(rows).astype(np.float32))


def line(text: str, sure: float = 0.9999, *, coloured: bool = True) -> Line:
    image = np.full((TALL, 200, 3), 210, np.uint8)
    if coloured:
        image[20:44, 40:120] = (200, 60, 30)
    spans = tuple((i, i + 1) for i in range(len(text)))
    view = View("colour", text, spans, sure, steps_of(text, sure))
    return Line(0, (), 12.0, image, (view,))


def augmentations(text: str, sure: float = 0.9999, *, coloured: bool = True) -> list[str]:
    """The augmentations that the line has in the end, after the first."""
    (again,) = looked_at_again([line(text, sure, coloured=coloured)], Parrot())
    return [view.augmentation for view in again.views[1:]]


def test_a_number_is_never_taken_from_one_view_alone() -> None:
    assert augmentations("TC-84A-4406") == ["closer", "wider"]


def test_a_code_with_unsure_letters_is_seen_in_all_renderings() -> None:
    assert set(augmentations("TC-84A-4406", 0.97)) > {
        "closer",
        "wider",
        "flattened",
        "blue_channel",
    }
    assert set(augmentations("NIOSH", 0.97)) > {"closer", "wider", "flattened"}


def test_channels_are_left_out_where_the_strip_has_no_colour() -> None:
    """On grey ink they show what the first view shows."""
    assert "blue_channel" not in augmentations("NIOSH", 0.9, coloured=False)


@pytest.mark.parametrize("text", ["Read the leaflet before use", "KEEP AWAY FROM OPEN FLAMES"])
def test_a_sentence_is_looked_at_once(text: str) -> None:
    assert augmentations(text, 0.9) == []
    assert not has_code(line(text))


def test_a_photo_full_of_unsure_codes_does_not_cost_without_end() -> None:
    parrot = Parrot()
    looked_at_again([line("N95", 0.9) for _ in range(40)], parrot)
    assert parrot.asked <= 6 * 6


def test_lines_keep_their_order() -> None:
    lines = [line("Vexholm"), line("N95", 0.9), line("TC-84A-4406")]
    assert [one.text for one in looked_at_again(lines, Parrot())] == [one.text for one in lines]


@pytest.mark.parametrize(
    "text", ["KN95", "FFP2 NR", "N 95", "PFF2", "DS2", "KF94", "P2", "NIOSH N100"]
)
def test_classes_of_all_schemes_look_like_one(text: str) -> None:
    """42 CFR 84, GB 2626, EN 149, NBR 13698, JIS T 8151, the Korean and Australian classes."""
    assert looks_like_class(text)


@pytest.mark.parametrize("text", ["PM2.5", "BIN95", "N950", "PACK 12", "Vexholm", "P22"])
def test_other_print_does_not_look_like_a_class(text: str) -> None:
    assert not looks_like_class(text)


def test_what_looks_like_a_number() -> None:
    assert looks_like_number("TC-84A-4406")
    assert looks_like_number("CE 2797")
    assert not looks_like_number("N95 Vexholm 12")
