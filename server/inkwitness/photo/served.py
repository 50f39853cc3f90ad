"""From the bytes as they came to the copy that may be shown: same picture, no metadata.

JPEG, PNG and WebP are not re-encoded: the served copy's picture data is the sender's, byte for
byte. HEIC, which browsers do not show, is decoded and encoded again as JPEG, and the record says so
(`how`).
"""

import io
from dataclasses import dataclass
from typing import Literal

import pi_heif
from PIL import ExifTags, Image, ImageOps, UnidentifiedImageError

from inkwitness.errors import NotAPhoto, TooLarge
from inkwitness.photo import containers
from inkwitness.photo.decode import MAX_BYTES as MAX_BYTES
from inkwitness.photo.decode import MAX_PIXELS

#: What a person sends that may be too large.
Sendable = Literal["photo", "list", "attachment", "request"]
_JPEG_QUALITY = 92
_FORMATS = ("JPEG", "PNG", "WEBP")
_TAKERS = {
    "image/jpeg": containers.jpeg_without_metadata,
    "image/png": containers.png_without_metadata,
    "image/webp": containers.webp_without_metadata,
}


@dataclass(frozen=True, slots=True)
class Served:
    """A copy that may be shown; `width` and `height` are as a viewer turns it.

    `had_location` says that the file as it came carries a position; the served copy never does.
    """

    data: bytes
    media_type: str
    how: Literal["metadata_removed", "encoded_again"]
    width: int
    height: int
    had_location: bool


def served_copy(data: bytes) -> Served:
    """The copy to serve. Raises NotAPhoto, or TooLarge over 25 MB or 60 megapixels."""
    if len(data) > MAX_BYTES:
        raise too_many_bytes("photo")
    kind = containers.media_type(data)
    containers.check_structure(data)
    if kind == "image/heic":
        return _from_heic(data)
    copy, exif = _TAKERS[kind](data)
    width, height = _size_if_whole(copy)
    if containers.orientation(exif) >= 5:
        width, height = height, width
    return Served(copy, kind, "metadata_removed", width, height, _has_location(exif))


def smaller(data: bytes, width: int) -> tuple[bytes, str]:
    """The served copy turned upright and no wider than `width` pixels, as JPEG or PNG."""
    with Image.open(io.BytesIO(data), formats=_FORMATS) as opened:
        upright = ImageOps.exif_transpose(opened)
        if upright.width > width:
            height = max(1, round(upright.height * width / upright.width))
            upright = upright.resize((width, height), Image.Resampling.LANCZOS)
        out = io.BytesIO()
        if opened.format == "PNG":
            upright.save(out, "PNG", exif=b"")
            return out.getvalue(), "image/png"
        upright.convert("RGB").save(out, "JPEG", quality=88, exif=b"")
        return out.getvalue(), "image/jpeg"


#: A file over the limit on bytes: what to do about it differs by what the file is.
_TOO_MANY: dict[Sendable, str] = {
    "photo": "too_many_bytes_photo",
    "list": "too_many_bytes_list",
    "attachment": "too_many_bytes_attachment",
    "request": "too_many_bytes",
}


def too_many_bytes(what: Sendable) -> TooLarge:
    """The error for a file over the limit on bytes: what it is says what to do about it."""
    return TooLarge(_TOO_MANY[what], limit=MAX_BYTES // 2**20)


def _check_pixels(width: int, height: int) -> None:
    if width < 1 or height < 1:
        raise NotAPhoto("picture_no_pixels")
    if width * height > MAX_PIXELS:
        raise TooLarge(
            "picture_too_many_pixels", width=width, height=height, limit=MAX_PIXELS // 1000000
        )


def _size_if_whole(data: bytes) -> tuple[int, int]:
    """The size in the header, which the decoder still tells after it decoded; the limit first."""
    try:
        with Image.open(io.BytesIO(data), formats=_FORMATS) as opened:
            claimed = opened.size
            _check_pixels(*claimed)
            opened.load()
            if opened.size != claimed:
                raise ValueError(f"{opened.size} and not {claimed}")
            return claimed
    except (OSError, SyntaxError, ValueError, UnidentifiedImageError) as error:
        raise NotAPhoto("picture_damaged") from error


def _from_heic(data: bytes) -> Served:
    try:
        heif = pi_heif.open_heif(io.BytesIO(data))
        _check_pixels(*heif.size)
        exif = heif.info.get("exif") or b""
        picture = heif.to_pillow().convert("RGB")
    except (OSError, ValueError, EOFError, RuntimeError, SyntaxError) as error:
        raise NotAPhoto("heic_damaged") from error
    out = io.BytesIO()
    picture.save(
        out, "JPEG", quality=_JPEG_QUALITY, exif=b"", icc_profile=heif.info.get("icc_profile")
    )
    located = _has_location(exif.removeprefix(b"Exif\0\0"))
    return Served(
        out.getvalue(), "image/jpeg", "encoded_again", picture.width, picture.height, located
    )


def _has_location(exif: bytes) -> bool:
    """Whether a position stands there; an unreadable block is dropped from the copy too."""
    return bool(containers.exif_of(exif).get_ifd(ExifTags.IFD.GPSInfo))
