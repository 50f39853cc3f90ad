"""What stands at the ends of a line image, and on the ground before its first letter."""

import cv2
import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFont

from inkwitness.photo.values import Pixels
from inkwitness.reading.augmentations import TALL
from inkwitness.reading.borders import crossed_ends, marked_before

DEJAVU = "/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf"
START = 14.0


def line_image(text: str = "N95", ground: int = 220, ink: int = 50) -> Pixels:
    """A straightened line (BGR) with a little weave and noise."""
    font = ImageFont.truetype(DEJAVU, 34)
    picture = Image.new("L", (round(font.getlength(text) + 2 * START), TALL), ground)
    ImageDraw.Draw(picture).text((START, TALL / 2), text, ink, font, anchor="lm")
    return lively(np.asarray(picture, np.float64))


def lively(grey: np.ndarray) -> Pixels:
    noise = np.random.default_rng(7).normal(0, 3, grey.shape)
    soft = np.clip(cv2.GaussianBlur(grey, (0, 0), 1.0) + noise, 0, 255).astype(np.uint8)
    return np.ascontiguousarray(np.repeat(soft[:, :, None], 3, axis=2))


def plain(ground: int = 220) -> Pixels:
    return lively(np.full((TALL, 24), float(ground)))


FIRST = START + 12.0


def test_plain_ground_is_not_marked() -> None:
    assert marked_before(plain(), line_image(), FIRST) < 0.2


@pytest.mark.parametrize("depth", [60, 110, 170])
def test_a_stroke_before_the_first_letter_is_a_mark(depth: int) -> None:
    ground = np.full((TALL, 24), 220.0)
    ground[8:56, 10:15] -= depth
    assert marked_before(lively(ground), line_image(), FIRST) > 0.45


def test_ground_that_is_darker_or_burnt_out_is_a_mark() -> None:
    assert marked_before(plain(150), line_image(), FIRST) > 0.45
    assert marked_before(plain(255), line_image(ground=190), FIRST) > 0.45


def test_letters_pressed_into_the_ground_have_no_plain_ground() -> None:
    """Their sides are lighter and darker than the ground; ink is one of both."""
    shape = (220.0 - line_image(ink=20)[:, :, 0]) / 200
    slope = cv2.Sobel(cv2.GaussianBlur(shape, (0, 0), 1.5), cv2.CV_64F, 1, 1, ksize=3)
    slope += cv2.Sobel(cv2.GaussianBlur(shape, (0, 0), 1.5), cv2.CV_64F, 1, 0, ksize=3)
    assert marked_before(plain(180), lively(180 - 60 * slope), FIRST) > 0.45


def test_something_across_an_end_is_seen() -> None:
    touched = line_image().copy()
    touched[:, -4:] = (90, 110, 190)
    assert crossed_ends(line_image()) == (False, False)
    assert crossed_ends(touched) == (False, True)
    assert crossed_ends(np.ascontiguousarray(touched[:, ::-1])) == (True, False)
