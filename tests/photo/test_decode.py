"""A picture is refused by the size that its head tells, before its pixels are decoded."""

import io
import tracemalloc

import pytest
from PIL import Image

from inkwitness.errors import NotAPhoto, TooLarge
from inkwitness.photo import containers
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


def test_a_photo_is_turned_by_its_exif_alone_as_viewers_do() -> None:
    """Browsers turn by Exif (CSS Images 3, image-orientation: from-image) and not by XMP."""
    out = io.BytesIO()
    xmp = b'<x xmlns:tiff="http://ns.adobe.com/tiff/1.0/" tiff:Orientation="6"/>'
    Image.new("RGB", (64, 40), "white").save(out, "JPEG", xmp=xmp)
    assert decode(out.getvalue(), "x").pixels.shape == (40, 64, 3)
    exif = Image.Exif()
    exif[0x0112] = 6
    out = io.BytesIO()
    Image.new("RGB", (64, 40), "white").save(out, "JPEG", exif=exif)
    assert decode(out.getvalue(), "x").pixels.shape == (64, 40, 3)


@pytest.mark.parametrize(
    ("head", "kind"),
    [
        (b"\xff\xd8\xff\xe0", "image/jpeg"),
        (b"\x89PNG\r\n\x1a\n", "image/png"),
        (b"RIFF\0\0\0\0WEBPVP8 ", "image/webp"),
        (b"\0\0\0\x18ftypheic", "image/heic"),
        (b"\0\0\0\x18ftypmif1", "image/heic"),
    ],
)
def test_the_kind_is_told_by_the_first_bytes(head: bytes, kind: str) -> None:
    """Signatures: T.81 (1992) B.1; PNG (W3C 2025) 5.2; RFC 9649 (2024) 2.4; ISO 23008-12 (2022)."""
    assert containers.media_type(head + bytes(60)) == kind


@pytest.mark.parametrize(
    "head", [b"RIFF\0\0\0\0WAVE", b"GIF89a", b"\0\0\0\x18ftypavif", b"\0\0\0\x18ftypisom", b""]
)
def test_other_kinds_are_refused(head: bytes) -> None:
    with pytest.raises(NotAPhoto, match="one of these kinds: JPEG"):
        containers.media_type(head + bytes(60))


@pytest.mark.parametrize("brand", [b"msf1", b"hevc", b"hevx", b"hevm", b"hevs"])
def test_a_heif_sequence_is_no_still_photo(brand: bytes) -> None:
    with pytest.raises(NotAPhoto, match="more than one picture"):
        containers.check_structure(b"\0\0\0\x18ftyp" + brand + bytes(60))
