"""The copy that is served: same picture data, same way up, nothing about place, device or person.

Checked with Pillow, which is not what the copies are made with. `made.heic` is a drawn picture of
96 x 64 with an invented position, encoded with libheif's own tool.
"""

import io
import struct
import zlib
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageOps
from PIL.PngImagePlugin import PngInfo

from inkwitness.errors import NotAPhoto, TooLarge
from inkwitness.photo import containers
from inkwitness.photo.served import served_copy, smaller

MAKER, ORIENTATION, GPS, SERIAL, COMMENT = 0x010F, 0x0112, 0x8825, 0xA431, 0x9286
SECRET = "Sollanby Pharmacy"


def _exif(turned: int) -> Image.Exif:
    exif = Image.Exif()
    exif[MAKER] = SECRET
    exif[ORIENTATION] = turned
    exif.get_ifd(GPS).update({1: "N", 2: (51.0, 30.0, 0.0), 3: "W", 4: (0.0, 7.0, 39.0)})
    exif.get_ifd(0x8769).update({SERIAL: SECRET, COMMENT: SECRET.encode()})
    return exif


def _picture() -> Image.Image:
    picture = Image.new("RGB", (48, 32), "white")
    picture.paste("navy", (0, 0, 10, 6))  # a dark corner shows which way up it is
    return picture


def _made(kind: str, turned: int) -> bytes:
    out = io.BytesIO()
    more: dict[str, Any] = {}
    if kind == "PNG":
        more["pnginfo"] = info = PngInfo()
        info.add_text("Comment", SECRET)
        info.add_itxt("XML:com.adobe.xmp", SECRET)
    else:
        more["xmp"] = f"<x>{SECRET}</x>".encode()
    if kind == "JPEG":
        more |= {"comment": SECRET.encode(), "quality": 90}
    if kind == "WEBP":
        more |= {"lossless": True}
    _picture().save(out, kind, exif=_exif(turned), **more)
    return out.getvalue()


@pytest.mark.parametrize("turned", range(1, 9))
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_metadata_goes_and_the_way_up_stays(kind: str, turned: int) -> None:
    data = _made(kind, turned)
    assert SECRET.encode() in data
    copy = served_copy(data)
    assert copy.how == "metadata_removed"
    assert copy.had_location
    assert SECRET.encode() not in copy.data
    before, after = Image.open(io.BytesIO(data)), Image.open(io.BytesIO(copy.data))
    exif = after.getexif()
    assert dict(exif) == ({} if turned == 1 else {ORIENTATION: turned})
    assert dict(exif.get_ifd(GPS)) == {}
    shown_before, shown_after = ImageOps.exif_transpose(before), ImageOps.exif_transpose(after)
    assert shown_before.convert("RGB").tobytes() == shown_after.convert("RGB").tobytes()
    assert shown_after.size == (copy.width, copy.height)


def test_the_compressed_picture_is_not_encoded_again() -> None:
    data = _made("JPEG", 6)
    scan = data[data.index(b"\xff\xda") :]
    assert served_copy(data).data.endswith(scan)


def test_a_colour_profile_stays_and_a_second_picture_after_the_end_goes() -> None:
    from PIL import ImageCms

    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    out = io.BytesIO()
    _picture().save(out, "JPEG", icc_profile=profile, progressive=True)
    copy = served_copy(out.getvalue() + b"\xff\xd8" + SECRET.encode())
    assert SECRET.encode() not in copy.data
    assert Image.open(io.BytesIO(copy.data)).info["icc_profile"] == profile


def test_a_photo_of_two_pictures_in_one_file_keeps_only_the_first() -> None:
    out = io.BytesIO()
    _picture().save(out, "MPO", save_all=True, append_images=[_picture()])
    copy = served_copy(out.getvalue())
    assert Image.open(io.BytesIO(copy.data)).format == "JPEG"
    assert b"MPF\0" not in copy.data


def test_data_after_the_last_png_chunk_and_unknown_chunks_go() -> None:
    data = _made("PNG", 1)
    body = SECRET.encode()
    odd = struct.pack(">I", len(body)) + b"zzZz" + body
    odd += struct.pack(">I", zlib.crc32(b"zzZz" + body))
    copy = served_copy(data[:33] + odd + data[33:] + body)
    assert body not in copy.data
    Image.open(io.BytesIO(copy.data)).load()


def test_heic_is_encoded_again_as_jpeg_and_says_so() -> None:
    data = Path(__file__).with_name("made.heic").read_bytes()
    assert b"FICTIONAL maker" in data
    copy = served_copy(data)
    assert (copy.media_type, copy.how) == ("image/jpeg", "encoded_again")
    assert (copy.width, copy.height) == (96, 64)
    assert copy.had_location
    assert dict(Image.open(io.BytesIO(copy.data)).getexif()) == {}
    assert b"FICTIONAL maker" not in copy.data


def test_a_smaller_copy_stands_upright_and_carries_nothing() -> None:
    copy = served_copy(_made("JPEG", 6))
    data, media_type = smaller(copy.data, 16)
    picture = Image.open(io.BytesIO(data))
    assert (media_type, picture.size) == ("image/jpeg", (16, 24))
    assert dict(picture.getexif()) == {}


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_file_cut_anywhere_is_no_photo(kind: str) -> None:
    data = _made(kind, 6)
    for length in range(0, len(data) - 20, max(1, len(data) // 60)):
        with pytest.raises(NotAPhoto):
            served_copy(data[:length])


@pytest.mark.parametrize(
    "data",
    [b"", b"%PDF-1.7", b"GIF89a" + bytes(20), b"\0\0\0\x18ftypheic" + bytes(50), b"BM" + bytes(60)],
)
def test_other_files_are_no_photos(data: bytes) -> None:
    with pytest.raises(NotAPhoto):
        served_copy(data)


def test_the_pixel_limit_is_seen_in_the_header_alone() -> None:
    header = struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0)
    chunk = (
        struct.pack(">I", 13) + b"IHDR" + header + struct.pack(">I", zlib.crc32(b"IHDR" + header))
    )
    with pytest.raises(TooLarge, match="60,000 x 60,000"):
        served_copy(b"\x89PNG\r\n\x1a\n" + chunk + bytes(4) + b"IEND" + bytes(4))


def test_the_orientation_block_is_as_exif_describes_it() -> None:
    """CIPA DC-008 (Exif 2.32, 2019) 4.6: TIFF header, tag 0x0112, SHORT (from memory)."""
    block = containers.minimal_exif(6)
    assert block[:8] == b"MM\0*\0\0\0\x08"
    assert containers.orientation(block) == 6
    exif = Image.Exif()
    exif.load(b"Exif\0\0" + block)
    assert dict(exif) == {ORIENTATION: 6}


@pytest.mark.parametrize(
    "block", [b"", b"XX", b"II*\0\xff\xff\xff\xff", b"MM\0*\0\0\0\x08\xff\xff"]
)
def test_a_broken_exif_block_turns_nothing(block: bytes) -> None:
    assert containers.orientation(block) == 1
