"""Each fact follows what was done to a drawn print.

Drawn with known blur, light, size and place: geometry and arithmetic, no outside source needed
where none is named.
"""

import re
from pathlib import Path

import cv2
import numpy as np
import pytest
from scipy.stats import norm

from inkwitness import phrases
from inkwitness.photo import quality
from inkwitness.photo.quality import photo_facts
from inkwitness.photo.values import Photo, Pixels, Polygon, QualityFact
from inkwitness.reading.regions import LETTERS_PER_CORE

TEXTS = ("EN 149:2001 FFP2 NR", "LOT 2204-17 MODEL K21", "BEST BEFORE 2027-10-08")
#: Small letters of cv2's plain face: 14 of its 21 units above the line, times the scale.
SCALE, X_HEIGHT, THICK = 1.6, 22.0, 5
LEFT, ROWS, ACROSS = 60, (120, 220, 320), 620
FACTS = {"blur", "glare", "too_dark", "too_bright", "small_letters", "cut_off"}


def drawn(left: int = LEFT, ink: int = 60, ground: int = 200) -> Pixels:
    """A sheet of 760 x 440 pixels with three lines of print, sharp."""
    sheet = np.full((440, 760), ground, np.uint8)
    for text, row in zip(TEXTS, ROWS, strict=True):
        face = cv2.FONT_HERSHEY_SIMPLEX
        cv2.putText(sheet, text, (left, row), face, SCALE, ink, THICK, cv2.LINE_AA)
    return np.repeat(sheet[:, :, None], 3, axis=2)


def ring(left: float, right: float, row: float) -> Polygon:
    """Around a line whose letters stand on `row`: along its top, back along its bottom."""
    return ((left, row - 42), (right, row - 42), (right, row + 12), (left, row + 12))


LINES = [(ring(LEFT - 8, LEFT + ACROSS, row), X_HEIGHT) for row in ROWS]


def facts(
    pixels: Pixels, lines: list[tuple[Polygon, float]] | None = None
) -> dict[str, QualityFact]:
    photo = Photo("drawn", "", "image/png", np.ascontiguousarray(pixels))
    return {fact.fact: fact for fact in photo_facts(photo, LINES if lines is None else lines)}


def poor(found: dict[str, QualityFact]) -> set[str]:
    return {name for name, fact in found.items() if fact.state == "poor"}


def test_a_plain_photo_is_good_in_everything() -> None:
    found = facts(drawn())
    assert set(found) == FACTS
    assert {fact.state for fact in found.values()} == {"good"}
    assert {fact.advice for fact in found.values()} == {""}


@pytest.mark.parametrize("deviation", [2.0, 3.0, 4.0])
def test_the_edge_of_a_blurred_print_is_as_wide_as_its_blur(deviation: float) -> None:
    """10 % to 90 % of a Gaussian edge: the quantiles of the normal distribution (scipy)."""
    blurred = cv2.GaussianBlur(drawn(), (0, 0), deviation)
    expected = (norm.ppf(0.9) - norm.ppf(0.1)) * deviation / X_HEIGHT
    assert facts(np.asarray(blurred, np.uint8))["blur"].value == pytest.approx(expected, rel=0.2)


def test_a_print_blurred_by_a_quarter_of_its_letters_is_blurred_and_nothing_else() -> None:
    blurred = np.asarray(cv2.GaussianBlur(drawn(), (0, 0), X_HEIGHT / 4), np.uint8)
    assert poor(facts(blurred)) == {"blur"}


def test_a_hand_that_moved_blurs_as_well() -> None:
    """Blurred along the line alone: strokes along it stay sharp, those across do not."""
    streak = np.full((1, 15), 1 / 15, np.float32)
    assert "blur" in poor(facts(np.asarray(cv2.filter2D(drawn(), -1, streak), np.uint8)))


def test_blur_is_a_share_of_the_letters_whatever_the_size_of_the_photo() -> None:
    small = np.asarray(cv2.GaussianBlur(drawn(), (0, 0), 3.0), np.uint8)
    large = np.asarray(cv2.resize(small, None, fx=3, fy=3, interpolation=cv2.INTER_CUBIC), np.uint8)
    lines = [(tuple((3 * x, 3 * y) for x, y in own), 3 * height) for own, height in LINES]
    assert facts(large, lines)["blur"].value == pytest.approx(facts(small)["blur"].value, rel=0.1)


def test_a_white_patch_on_the_print_is_glare_of_its_share() -> None:
    patched = drawn()
    patched[150:290, 250:550] = 255
    found = facts(patched)
    high, wide = ROWS[2] + 12 - ROWS[0] + 42 + 2 * X_HEIGHT, ACROSS + 8 + 2 * X_HEIGHT
    assert poor(found) == {"glare"}
    assert found["glare"].value == pytest.approx(140 * 300 / (high * wide), rel=0.1)


def test_a_white_patch_beside_the_print_is_none() -> None:
    patched = drawn()
    patched[375:, :] = 255
    assert facts(patched)["glare"].value == 0.0


def test_a_sheet_that_is_white_all_over_says_nothing_of_glare() -> None:
    found = facts(drawn(ground=255))
    assert found["glare"].state == "not_measured"
    assert poor(found) == set()


def test_an_eighth_of_the_light_is_too_dark() -> None:
    found = facts((drawn() // 8).astype(np.uint8))
    assert poor(found) == {"too_dark"}
    assert found["too_dark"].value == 200 // 8


def test_ink_that_the_light_has_washed_out_is_too_bright() -> None:
    found = facts(drawn(ink=205, ground=240))
    assert poor(found) == {"too_bright"}
    assert found["too_bright"].value == pytest.approx(205, abs=2)


def test_the_smallest_letters_are_measured() -> None:
    reduced = np.asarray(
        cv2.resize(drawn(), None, fx=0.25, fy=0.25, interpolation=cv2.INTER_AREA), np.uint8
    )
    lines = [(tuple((x / 4, y / 4) for x, y in own), height / 4) for own, height in LINES]
    found = facts(reduced, lines)
    assert found["small_letters"].value == X_HEIGHT / 4
    assert found["small_letters"].state == "poor"
    assert facts(drawn(), [*LINES, (LINES[0][0], 6.0)])["small_letters"].value == 6.0


def test_lines_that_run_off_the_photo_are_counted() -> None:
    """Two of three lines end at the left border, at their beginning."""
    lines = [(ring(0, 550, row), X_HEIGHT) for row in ROWS[:2]] + LINES[2:]
    found = facts(drawn(left=-20), lines)
    assert found["cut_off"].value == 2
    assert poor(found) == {"cut_off"}


@pytest.mark.parametrize(("gap", "cut"), [(0.4, 1), (0.6, 0)])
def test_a_line_ends_at_the_border_within_half_an_x_height(gap: float, cut: int) -> None:
    right = 760 - 1 - gap * X_HEIGHT
    assert facts(drawn(), [(ring(200, right, ROWS[0]), X_HEIGHT)])["cut_off"].value == cut


def test_without_print_the_light_alone_is_measured() -> None:
    found = facts(np.full((300, 400, 3), 20, np.uint8), [])
    measured = {name for name, fact in found.items() if fact.state != "not_measured"}
    assert measured == {"too_dark", "too_bright"}
    assert poor(found) == {"too_dark"}


def test_a_line_outside_the_photo_breaks_nothing() -> None:
    found = facts(drawn(), [(ring(900, 1100, 120), X_HEIGHT)])
    assert found["blur"].state == "not_measured"
    assert found["cut_off"].value == 1


def test_every_poor_fact_has_one_advice_in_words() -> None:
    """On the terminal, and on the page in each of its languages."""
    limits = {name for name in FACTS if hasattr(quality, name.upper())}
    assert limits == FACTS
    for say in phrases.shipped().languages.values():
        assert all(f"{kind}.{name}" in say for kind in ("poor", "remedy") for name in FACTS)


def test_the_page_asks_to_go_closer_below_the_same_floor() -> None:
    page = Path("web/src/photo/first-look.ts").read_text(encoding="utf-8")
    told = re.search(r"floor = \{ xHeight: ([0-9.]+), capitals: ([0-9.]+)", page)
    assert told is not None
    assert float(told[1]) == quality.SMALL_LETTERS
    assert float(told[2]) == LETTERS_PER_CORE
