"""Drawn print whose class may have lost its first letter."""

import numpy as np
import pytest

from tests.renderer.losses import WAYS, picture


@pytest.mark.parametrize("way", WAYS)
def test_a_picture_is_repeatable_and_says_how_much_of_the_first_letter_is_left(way: str) -> None:
    first, again = picture(way, "KN95", 3), picture(way, "KN95", 3)
    assert np.array_equal(first.image, again.image)
    assert (first.left < 1.0) == (way in ("cut", "folded"))


def test_a_cut_goes_through_the_print_and_a_fold_lies_over_it() -> None:
    """The same seed draws the same print: what differs is what hides it."""
    cut, folded = (picture(way, "FFP2", 11).image for way in ("cut", "folded"))
    assert cut.shape[0] == folded.shape[0]
    assert cut.shape[1] < folded.shape[1]
    kept = folded[:, -cut.shape[1] :]
    changed = np.abs(kept.astype(int) - cut).max(axis=2) > 12
    assert 0 < changed.mean() < 0.1
