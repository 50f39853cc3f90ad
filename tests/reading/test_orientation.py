"""A photo held any way says the same: NIOSH N99 upside down reads as 66N HSOIN, another class.

Read with the real models on a photo of the fictional scenario.
"""

from pathlib import Path

import cv2
import numpy as np
import pytest

from inkwitness.photo.decode import decode
from inkwitness.photo.values import Photo, Pixels
from inkwitness.reading.read import ONE_READER_ONLY, read
from inkwitness.reading.readers.engines import Readers, load_readers
from inkwitness.reading.values import Recognition

SAMPLE = Path(__file__).parents[2] / "sample_images" / "us-complete.jpg"


@pytest.fixture(scope="module")
def readers() -> Readers:
    """The first reader alone."""
    return load_readers(with_second=False)


def photo(pixels: Pixels) -> Photo:
    """The pixels as a photo, without loss."""
    done, coded = cv2.imencode(".png", pixels)
    assert done
    return decode(coded.tobytes(), "turned.png")


def upright() -> Pixels:
    return decode(SAMPLE.read_bytes(), SAMPLE.name).pixels


def texts(reading: Recognition) -> list[str]:
    """The sure lines, capitals and digits only, in an order that does not depend on the turn."""
    lines = [line for area in reading.areas for line in area.lines if line.confidence > 0.9]
    plain = ["".join(c for c in line.text if c.isalnum()).upper() for line in lines]
    return sorted(text for text in plain if len(text) > 2)


TURNS = {
    90: cv2.ROTATE_90_COUNTERCLOCKWISE,
    180: cv2.ROTATE_180,
    270: cv2.ROTATE_90_CLOCKWISE,
}


@pytest.mark.parametrize("degrees", TURNS)
def test_a_turned_photo_says_the_same(degrees: int, readers: Readers) -> None:
    straight = read(photo(upright()), readers)
    turned = read(photo(cv2.rotate(upright(), TURNS[degrees])), readers)
    assert len(texts(straight)) >= 4
    assert texts(turned) == texts(straight)


@pytest.mark.parametrize("degrees", TURNS)
def test_the_turn_that_brings_it_upright_is_told(degrees: int, readers: Readers) -> None:
    straight = read(photo(upright()), readers)
    turned = read(photo(cv2.rotate(upright(), TURNS[degrees])), readers)
    # Clockwise degrees: a photo turned counter-clockwise by 90 wants 90 more.
    off = (turned.turn - straight.turn - degrees + 180) % 360 - 180
    assert abs(off) < 5


def test_a_mirrored_photo_is_read_and_said_to_be_mirrored(readers: Readers) -> None:
    straight = read(photo(upright()), readers)
    mirrored = read(photo(np.ascontiguousarray(upright()[:, ::-1])), readers)
    assert mirrored.mirrored
    assert not straight.mirrored
    assert set(texts(straight)) & set(texts(mirrored))


def test_without_the_second_reader_the_result_says_so(readers: Readers) -> None:
    reading = read(photo(upright()), readers)
    assert ONE_READER_ONLY in reading.notes
    assert [one.name for one in reading.readers] == ["ppocr"]
    assert all(line.second == () for area in reading.areas for line in area.lines)
