"""What reading must keep, seen through `read` on drawn print: worn lines, more than one view, and
room around the letters. The drawing is the truth; where a number is asked for, it is said why.
"""

from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFont

from inkwitness.photo.decode import decode
from inkwitness.photo.values import Photo, Pixels
from inkwitness.reading.read import read
from inkwitness.reading.readers.engines import Readers, load_readers
from inkwitness.reading.values import Line, Recognition

DEJAVU = "/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf"
SIZE = 40
WEAK = Path(__file__).parents[2] / "sample_images" / "us-orange-small.jpg"


@pytest.fixture(scope="module")
def readers() -> Readers:
    return load_readers(with_second=False)


def sheet(*lines: tuple[str, float]) -> Pixels:
    """Lines of print (capitals 29 pixels high): the text, and the share of its ink worn off."""
    rng = np.random.default_rng(5)
    picture = Image.new("L", (900, 120 + 110 * len(lines)), 225)
    pen = ImageDraw.Draw(picture)
    for number, (text, _) in enumerate(lines):
        at = (120, 115 + 110 * number)
        pen.text(at, text, 50, ImageFont.truetype(DEJAVU, SIZE), anchor="lm")
    grey = np.array(picture)
    for number, (_, worn) in enumerate(lines):
        band = grey[60 + 110 * number : 170 + 110 * number]
        flakes = (rng.random((28, 225)) < worn).astype(np.uint8)
        off = cv2.resize(flakes, (900, 112), interpolation=cv2.INTER_NEAREST)[:110]
        band[off > 0] = 225
    soft = cv2.GaussianBlur(grey, (0, 0), 1.0) + rng.normal(0, 2.0, grey.shape)
    return np.repeat(np.clip(soft, 0, 255).astype(np.uint8)[:, :, None], 3, axis=2)


def reading_of(pixels: Pixels, readers: Readers) -> Recognition:
    return read(Photo("drawn.png", "0" * 64, "image/png", pixels), readers)


def lines_of(reading: Recognition) -> dict[str, Line]:
    return {line.text: line for area in reading.areas for line in area.lines}


def test_worn_print_is_read_letter_for_letter_with_its_gaps(readers: Readers) -> None:
    """A line image that is cut too close to the capitals runs the words into each other."""
    worn = sheet(("TC-84A-9621 N95", 0.0), ("VEXHOLM LOT A4275", 0.4), ("QUARRIMOND 2100", 0.4))
    wanted = {"TC-84A-9621 N95", "VEXHOLM LOT A4275", "QUARRIMOND 2100"}
    assert set(lines_of(reading_of(worn, readers))) == wanted


def test_no_number_is_taken_from_one_view_alone(readers: Readers) -> None:
    """However certain it is: the project's own promise, for a wrong number is the worst mistake."""
    (line,) = lines_of(reading_of(sheet(("TC-84A-9621", 0.0)), readers)).values()
    assert line.confidence > 0.95
    assert len({view.augmentation for view in line.views}) >= 3


def test_print_that_is_not_certain_is_looked_at_in_more_ways(readers: Readers) -> None:
    clear, worn = (
        lines_of(reading_of(sheet(("TC-84A-9621", 0.0), ("NIOSH P100", share)), readers))
        for share in (0.0, 0.5)
    )
    (of_clear,) = (line for text, line in clear.items() if text != "TC-84A-9621")
    (of_worn,) = (line for text, line in worn.items() if text != "TC-84A-9621")
    assert of_clear.text == "NIOSH P100"
    assert len(of_worn.views) > len(of_clear.views)


def test_a_weak_line_is_kept_with_its_doubt(readers: Readers) -> None:
    """Small print on a dark cloth: its number is hardly made out, and is asked about."""
    reading = read(decode(WEAK.read_bytes(), WEAK.name), readers)
    weak = [line.text for line in lines_of(reading).values() if line.confidence < 0.85]
    assert any(text.startswith("TC") for text in weak), list(lines_of(reading))


def test_print_that_cannot_be_made_out_is_told_as_such(readers: Readers) -> None:
    """Else what nobody could read would be taken for missing."""
    reading = reading_of(sheet(("TC-84A-9621 N95", 0.0), *[("TAMBERLOW TM-88", 0.52)] * 4), readers)
    assert "TC-84A-9621 N95" in lines_of(reading)
    assert reading.unread
