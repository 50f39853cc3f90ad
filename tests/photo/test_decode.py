"""A picture is refused by the size that its head tells, before its pixels are decoded."""

import io
import tracemalloc

import pytest
from PIL import Image

from inkwitness.errors import TooLarge
from inkwitness.photo import decode as decoding
from inkwitness.photo.decode import MAX_BYTES, MAX_PIXELS, decode


def png_of(width: int, height: int) -> bytes:
    """A picture of one bit a pixel: a small file, however many pixels."""
    out = io.BytesIO()
    Image.new("1", (width, height)).save(out, "PNG")
    return out.getvalue()


@pytest.mark.parametrize("over", [1, 2, 4])
def test_more_pixels_than_the_limit_are_refused_and_never_decoded(over: int) -> None:
    """Up to twice Pillow's own limit it only warns; past that it raises: both are told alike."""
    data = png_of(10_000, MAX_PIXELS * over // 10_000 + 1)
    tracemalloc.start()
    try:
        with pytest.raises(TooLarge, match=r"pixels.*Send the photo in a smaller size"):
            decode(data, "wall.png")
        _, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert most < MAX_PIXELS  # bytes: decoded, it would take three a pixel


def test_the_limit_itself_is_within(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(decoding, "MAX_PIXELS", 100 * 100)
    assert decode(png_of(100, 100), "square.png").pixels.shape == (100, 100, 3)
    with pytest.raises(TooLarge, match="100 x 101 pixels"):
        decode(png_of(100, 101), "taller.png")


def test_more_bytes_than_the_limit_are_refused() -> None:
    with pytest.raises(TooLarge, match="smaller size"):
        decode(png_of(40, 40) + b"\0" * MAX_BYTES, "long.png")
