"""Bytes to pixels: what kind of picture, how large, which way up."""

import hashlib
import io
from typing import Final

import numpy as np
from PIL import Image, ImageOps, UnidentifiedImageError

from inkwitness.errors import NotAPhoto, TooLarge
from inkwitness.photo import containers
from inkwitness.photo.values import Photo

#: Limits of one photo, wherever it comes from: upload, ticket or command line.
MAX_BYTES: Final = 25 * 1024 * 1024
MAX_PIXELS: Final = 60_000_000
#: Below this side length no print on a respirator can be read.
MIN_SIDE: Final = 32

#: What Pillow calls the kinds of photo that are taken (`containers.KINDS`).
MEDIA_TYPES: Final = {
    "JPEG": "image/jpeg",
    "MPO": "image/jpeg",
    "PNG": "image/png",
    "WEBP": "image/webp",
    "HEIF": "image/heic",
}
_FORMATS: Final = ("JPEG", "PNG", "WEBP", "HEIF")


def decode(data: bytes, name: str) -> Photo:
    """Decode a photograph and turn it as its EXIF orientation asks.

    The kind is known by content, never by the name. Raises NotAPhoto for bytes that are no still
    picture of a kind read here, TooLarge beyond MAX_BYTES or MAX_PIXELS.
    """
    if len(data) > MAX_BYTES:
        raise TooLarge(
            "photo_file_too_large",
            name=name,
            size=f"{len(data) / 2**20:.1f}",
            limit=MAX_BYTES // 2**20,
        )
    _check_structure(data, name)
    try:
        picture = Image.open(io.BytesIO(data), formats=_FORMATS)
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError) as error:
        raise NotAPhoto(
            "photo_no_picture", name=name, kinds=", ".join(containers.KINDS.values())
        ) from error
    if picture.width * picture.height > MAX_PIXELS:
        raise TooLarge(
            "photo_too_many_pixels",
            name=name,
            width=picture.width,
            height=picture.height,
            limit=MAX_PIXELS // 1000000,
        )
    if min(picture.size) < MIN_SIDE:
        raise NotAPhoto("photo_too_small", name=name, width=picture.width, height=picture.height)
    kind = picture.format or ""
    # an MPO's further pictures are other exposures of the same photo; the first is the photo
    if kind != "MPO" and getattr(picture, "n_frames", 1) > 1:
        raise NotAPhoto("photo_several", name=name)
    claimed = picture.size
    try:
        picture.load()
        if picture.size != claimed:
            raise ValueError("decoded to another size than it claims")
        for xmp in ("xmp", "XML:com.adobe.xmp"):
            picture.info.pop(xmp, None)  # Pillow would turn by it, and no viewer does
        upright = ImageOps.exif_transpose(picture)
        pixels = np.asarray(_on_white(upright))[:, :, ::-1]
    except (OSError, ValueError, SyntaxError, EOFError) as error:
        raise NotAPhoto("photo_damaged", name=name) from error
    return Photo(
        name=name,
        sha256=hashlib.sha256(data).hexdigest(),
        media_type=MEDIA_TYPES[kind],
        pixels=np.ascontiguousarray(pixels),
    )


def _check_structure(data: bytes, name: str) -> None:
    """One claim of the size, one picture, no more parts than cameras make. Raises NotAPhoto."""
    try:
        kind = containers.media_type(data)
    except NotAPhoto:
        return  # said where Pillow says so too
    if kind == "image/heic":
        return  # a burst is read: its first picture, or refused below
    try:
        containers.check_structure(data)
    except NotAPhoto as error:
        raise NotAPhoto("photo_wrong", name=name, why=error.sentence) from error


def _on_white(picture: Image.Image) -> Image.Image:
    """RGB; what is transparent is laid on white, as a viewer shows it."""
    if picture.mode in ("RGBA", "LA", "PA") or "transparency" in picture.info:
        picture = picture.convert("RGBA")
        sheet = Image.new("RGBA", picture.size, (255, 255, 255, 255))
        return Image.alpha_composite(sheet, picture).convert("RGB")
    if picture.mode.startswith("I;16") or picture.mode in ("I", "F"):
        deep = np.asarray(picture, dtype=np.float64)
        top = 65535.0 if deep.max() > 255 else 255.0
        return Image.fromarray((deep / top * 255).clip(0, 255).astype(np.uint8)).convert("RGB")
    return picture.convert("RGB")
