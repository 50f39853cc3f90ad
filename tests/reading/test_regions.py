"""Lines that stand close keep apart, and print behind a line is noticed (geometry, no outside
source needed)."""

import numpy as np
import pytest
from numpy.typing import NDArray

from inkwitness.reading.find import FoundLine, apart, cut_off, runs_into
from inkwitness.reading.regions import text_regions_of

FAINT, SURE = 0.3, 0.9


def two_lines(link: float) -> NDArray[np.float32]:
    """A text map (80 x 240) with two lines of print, 8 thick, and marks that link them."""
    probability_map = np.zeros((80, 240), np.float32)
    probability_map[20:28, 20:220] = SURE
    probability_map[44:52, 20:220] = SURE
    probability_map[28:44, 110:120] = link
    return probability_map


def lines_of(probability_map: NDArray[np.float32], *, upright: bool = True) -> list[float]:
    """The heights at which lines stand."""
    found = text_regions_of(probability_map, threshold=0.2, least_score=0.2, upright=upright)
    return sorted(float(region.middle()[:, 1].mean()) for region in found)


def test_lines_that_faint_marks_link_are_two_lines() -> None:
    assert lines_of(two_lines(FAINT)) == pytest.approx([23.5, 47.5], abs=2)


def test_where_places_are_sought_they_are_one_place() -> None:
    assert len(lines_of(two_lines(FAINT), upright=False)) == 1


def test_words_of_one_line_that_faint_marks_link_are_one_line() -> None:
    probability_map = np.zeros((80, 240), np.float32)
    probability_map[20:28, 20:110] = SURE
    probability_map[20:28, 110:130] = FAINT
    probability_map[20:28, 130:220] = SURE
    assert lines_of(probability_map) == pytest.approx([23.5], abs=2)


def line(left: float, right: float, y: float, height: float = 20) -> FoundLine:
    """A level line of print."""
    xs = np.linspace(left, right, 9)
    return FoundLine(np.column_stack([xs, np.full(9, y)]), height, 0.7 * height, 0.9)


PRINT = line(0, 200, 100)


@pytest.mark.parametrize(
    ("other", "behind"),
    [
        (line(210, 300, 100), True),
        (line(210, 300, 104), True),
        (line(210, 300, 140), False),  # the next line
        (line(-100, -10, 100), False),  # before it
        (line(500, 600, 100), False),  # far off
        (line(210, 300, 100, height=60), False),  # print of another size
        (line(50, 150, 130), False),  # below it
    ],
)
def test_print_right_behind_a_line_runs_on(other: FoundLine, behind: bool) -> None:
    assert runs_into(PRINT, other) is behind


@pytest.mark.parametrize(
    ("found", "cut"),
    [
        (line(40, 200, 100), (False, False, False)),
        (line(2, 200, 100), (True, False, False)),
        (line(40, 395, 100), (False, True, False)),
        (line(-3, 403, 100), (True, True, False)),
        (line(40, 200, 4), (True, True, True)),  # its upper half is outside
    ],
)
def test_a_line_that_reaches_the_border_of_the_photo_is_cut(
    found: FoundLine, cut: tuple[bool, bool, bool]
) -> None:
    assert cut_off(found, 400, 200) == cut


def test_of_two_lines_over_the_same_ink_the_whole_one_is_kept() -> None:
    """Print that goes on where a crop ends was read as `N95` for KN95."""
    whole = FoundLine(np.column_stack([np.linspace(0, 200, 20), np.full(20, 50.0)]), 30, 20, 0.9)
    part = FoundLine(whole.middle.copy(), 30, 20, 0.97, cut=(True, False))
    assert apart([part, whole]) == [whole]
    assert apart([part]) == [part]


def test_a_line_that_its_crop_cuts_may_go_on_there() -> None:
    middle = np.column_stack([np.linspace(100, 300, 20), np.full(20, 100.0)])
    line = FoundLine(middle, 30, 20, 0.9, cut=(True, False))
    assert cut_off(line, 400, 200) == (True, False, False)
    assert cut_off(line.backward, 400, 200) == (False, True, False)
