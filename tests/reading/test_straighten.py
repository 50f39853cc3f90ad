"""A line that follows a curve comes out straight (geometry, no outside source needed)."""

import math

import cv2
import numpy as np
import pytest

from inkwitness.photo.values import Pixels
from inkwitness.reading.straighten import Pyramid, line_image_of, outline

CENTRE, RADIUS, THICK = (300.0, 420.0), 300.0, 8


def arc(points: int = 60) -> np.ndarray:
    """A piece of a circle, 100 degrees wide, left to right."""
    angles = np.radians(np.linspace(-140, -40, points))
    return np.column_stack(
        [CENTRE[0] + RADIUS * np.cos(angles), CENTRE[1] + RADIUS * np.sin(angles)]
    )


def photo_of_arc() -> Pixels:
    """The arc drawn black on white."""
    picture = np.full((600, 600, 3), 255, np.uint8)
    drawn = np.round(arc(400) * 16).astype(np.int32).reshape(-1, 1, 2)
    cv2.polylines(picture, [drawn], False, (0, 0, 0), THICK, cv2.LINE_AA, 4)
    return picture


def middle_of_ink(image: Pixels) -> np.ndarray:
    """The centre of the ink in each column, in rows."""
    ink = 255.0 - image[:, :, 0]
    rows = np.arange(image.shape[0]) + 0.5
    return (ink * rows[:, None]).sum(axis=0) / ink.sum(axis=0)


def test_an_arc_comes_out_straight_and_centred() -> None:
    image = line_image_of(Pyramid(photo_of_arc()), arc(), 24.0, image_height=64, margin=2.0)
    middle = middle_of_ink(image[:, 8:-8])
    assert np.abs(middle - 32).max() < 1.5


def test_the_strip_is_as_long_as_the_arc() -> None:
    image = line_image_of(Pyramid(photo_of_arc()), arc(), 24.0, image_height=64, margin=2.0)
    wanted = math.radians(100) * RADIUS * 64 / (24.0 * 2.0)
    assert image.shape[1] == pytest.approx(wanted, rel=0.01)


def test_the_strip_reads_from_the_first_point_to_the_last() -> None:
    picture = photo_of_arc()
    cv2.circle(picture, tuple(int(v) for v in arc()[4]), 12, (0, 0, 0), -1)
    image = line_image_of(Pyramid(picture), arc(), 24.0, image_height=64, margin=2.0)
    ink = (255.0 - image[:, :, 0]).sum(axis=0)
    assert int(ink.argmax()) < image.shape[1] / 4


def test_the_outline_goes_round_the_line_at_its_height() -> None:
    ring = np.array(outline(arc(), 24.0, 1.25))
    away = np.hypot(ring[:, 0] - CENTRE[0], ring[:, 1] - CENTRE[1]) - RADIUS
    assert np.abs(np.abs(away) - 15.0).max() < 0.5
