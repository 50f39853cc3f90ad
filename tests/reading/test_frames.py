"""Print in a frame: found by its frame, where a look for lines may walk past it."""

import cv2
import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFont

from inkwitness.photo.values import Pixels
from inkwitness.reading.frames import frames_of

DEJAVU = "/usr/share/fonts/truetype/dejavu/DejaVuSans-Bold.ttf"
CENTRE = (430.0, 310.0)


def framed(text: str, turn: float, *, ground: int = 215, ink: int = 50) -> Pixels:
    """A photo (BGR) with `text` in a frame of 150 x 70 pixels, turned clockwise by so many
    degrees.
    """
    label = Image.new("L", (190, 110), ground)
    draw = ImageDraw.Draw(label)
    draw.rectangle((20, 20, 170, 90), outline=ink, width=5)
    draw.text((95, 55), text, ink, ImageFont.truetype(DEJAVU, 44), anchor="mm")
    sheet = np.full((600, 800), ground, np.uint8)
    move = cv2.getRotationMatrix2D((95.0, 55.0), -turn, 1.0)
    move[:, 2] += np.array(CENTRE) - (95.0, 55.0)
    cv2.warpAffine(
        np.asarray(label), move, (800, 600), dst=sheet, borderMode=cv2.BORDER_TRANSPARENT
    )
    return np.ascontiguousarray(np.repeat(sheet[:, :, None], 3, axis=2))


@pytest.mark.parametrize("turn", [0, 30, 90, 200])
def test_a_frame_is_found_at_any_turn(turn: int) -> None:
    lines = frames_of(framed("N95", turn))
    inner = min(lines, key=lambda line: abs(np.hypot(*(line.middle[-1] - line.middle[0])) - 140))
    along = inner.middle[-1] - inner.middle[0]
    assert np.hypot(*along) == pytest.approx(140, abs=8)
    assert inner.middle.mean(axis=0) == pytest.approx(CENTRE, abs=3)
    way = np.degrees(np.arctan2(along[1], along[0]))
    assert abs((way - turn + 90) % 180 - 90) < 3


def test_light_print_on_dark_ground_is_framed_too() -> None:
    assert frames_of(framed("FFP2", 10, ground=40, ink=230))


def test_what_is_no_frame_is_none() -> None:
    """A square, a round, and a line far too long: frames of classes are 1.25 to 4.2 times as long
    as they are high (common practice, no source).
    """
    sheet = np.full((600, 800, 3), 215, np.uint8)
    cv2.rectangle(sheet, (40, 40), (140, 140), (50, 50, 50), 5)
    cv2.ellipse(sheet, (400, 120), (90, 50), 0, 0, 360, (50, 50, 50), 5)
    cv2.rectangle(sheet, (60, 400), (700, 460), (50, 50, 50), 5)
    assert frames_of(sheet) == []
