"""Picture files taken apart: whether they tell one story, and the same file without metadata.

Kind, size and orientation are Pillow's; nothing is decoded here. Each `*_without_metadata` keeps
only what is needed to show the picture (an allow-list, so that a kind of metadata invented tomorrow
is left out too), drops whatever follows the end of the picture, and puts back one thing that is not
about anybody: which way up it is. Sources: JPEG ITU-T T.81 (1992) annex B and Exif 2.32 (CIPA
DC-008, 2019); PNG, third edition (W3C 2025), chunk list; WebP RFC 9649 (2024), section 2.7. Section
numbers from memory.
"""

import re
import struct
import warnings
import zlib
from collections.abc import Iterator
from typing import Final

import pi_heif
from PIL import ExifTags, Image, JpegImagePlugin, PngImagePlugin, WebPImagePlugin

from inkwitness.errors import NotAPhoto

#: The kinds of photo that are taken, by media type. Browsers show them, or a JPEG made of a HEIC.
KINDS: Final = {
    "image/jpeg": "JPEG",
    "image/png": "PNG",
    "image/webp": "WebP",
    "image/heic": "HEIC",
}
KINDS_SAID: Final = " or ".join((", ".join([*KINDS.values()][:-1]), [*KINDS.values()][-1]))

#: Pillow knows a format once its plug-in is loaded. Each tells its kind by the first bytes.
_PLUGINS = (JpegImagePlugin, PngImagePlugin, WebPImagePlugin)
pi_heif.register_heif_opener()
#: Pillow's limit on pixels is off: it warns up to twice its number, and does not name the size.
#: Whoever opens a picture here looks at the size in its header before a pixel is decoded.
Image.MAX_IMAGE_PIXELS = None
#: What Pillow calls a kind, where that is not its name in capitals.
_PILLOW = {"HEIC": "HEIF"}
_FIRST_BYTES = 32
_PNG_START = b"\x89PNG\r\n\x1a\n"
_PNG_KEPT = frozenset(
    b"IHDR PLTE IDAT IEND tRNS gAMA cHRM sRGB iCCP sBIT pHYs bKGD cICP hIST".split()
)
_WEBP_KEPT = frozenset([b"VP8 ", b"VP8L", b"VP8X", b"ALPH", b"ICCP"])
_WEBP_EXIF, _WEBP_XMP = 0x08, 0x04
#: More parts than any camera or phone writes (common practice, no source): what has more is made
#: to cost time. A PNG of 25 MB in pieces of 4 kB, the smallest in use, has 6,400.
_MOST_JPEG_SEGMENTS = 4_096
_MOST_CHUNKS = 50_000
_REAL_MARKER = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]")
_HEIF_SEQUENCES = frozenset(b"msf1 hevc hevx hevm hevs".split())


def media_type(data: bytes) -> str:
    """The kind of picture by its content; raises NotAPhoto for anything else."""
    for kind, name in KINDS.items():
        _, accepts = Image.OPEN[_PILLOW.get(name, name.upper())]
        if accepts is not None and accepts(data[:_FIRST_BYTES]) is True:
            return kind
    raise NotAPhoto("no_picture", kinds=", ".join(KINDS.values()))


def check_structure(data: bytes) -> None:
    """Raises NotAPhoto for a file that claims a size more than once, or holds several pictures.

    Which size a decoder believes is its own affair, so a limit on one of them would be none. Of a
    HEIC file only a sequence is refused. Also refused: more parts than cameras make.
    """
    kind = media_type(data)
    try:
        if kind == "image/jpeg":
            _check_jpeg(data)
        elif kind == "image/png":
            _check_png(data)
        elif kind == "image/webp":
            _check_webp(data)
        elif data[8:12] in _HEIF_SEQUENCES:
            raise _moving()
    except struct.error as error:
        raise _broken() from error


def exif_of(block: bytes) -> Image.Exif:
    """What an Exif block (from its TIFF header on) holds: nothing, where it is broken."""
    exif = Image.Exif()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # of damage, which viewers pass over too
        try:
            exif.load(block)
        except (SyntaxError, OSError, ValueError, struct.error):
            return Image.Exif()
    return exif


def orientation(block: bytes) -> int:
    """The orientation 1-8 that an Exif block (from its TIFF header on) asks for; 1 if none."""
    turned = exif_of(block).get(ExifTags.Base.Orientation)
    return turned if isinstance(turned, int) and 1 <= turned <= 8 else 1


def minimal_exif(turned: int) -> bytes:
    """An Exif block, from its TIFF header on, that holds the orientation and nothing else."""
    return struct.pack(
        ">2sHIHHHIHHI", b"MM", 42, 8, 1, ExifTags.Base.Orientation, 3, 1, turned, 0, 0
    )


def jpeg_without_metadata(data: bytes) -> tuple[bytes, bytes]:
    """The JPEG without its metadata, and the Exif block that it had (empty if none)."""
    kept, exif = [b"\xff\xd8"], b""
    position = 2
    for marker, start, end in _jpeg_segments(data):
        body = data[start + 2 : end] if end > start else b""
        if marker == 0xE1 and body.startswith(b"Exif\0\0") and not exif:
            exif = body[6:]
        application = 0xE0 <= marker <= 0xEF
        wanted = (
            (marker == 0xE0 and body.startswith(b"JFIF\0"))
            or (marker == 0xE2 and body.startswith(b"ICC_PROFILE\0"))
            or (marker == 0xEE and body.startswith(b"Adobe"))
            or not (application or marker == 0xFE)
        )
        if wanted:
            kept.append(bytes((0xFF, marker)) + data[start:end])
        position = end
        if marker == 0xDA:
            position = _end_of_scan(data, end)
            kept.append(data[end:position])
        if marker == 0xD9:
            break
    turned = orientation(exif)
    if turned != 1:
        body = b"Exif\0\0" + minimal_exif(turned)
        block = b"\xff\xe1" + struct.pack(">H", len(body) + 2) + body
        after_jfif = 2 if kept[1][1:2] == b"\xe0" else 1
        kept.insert(after_jfif, block)
    return b"".join(kept), exif


def png_without_metadata(data: bytes) -> tuple[bytes, bytes]:
    """The PNG without its metadata, and the Exif block that it had (empty if none)."""
    chunks = list(_png_chunks(data))
    exif = next((body for kind, body, _ in chunks if kind == b"eXIf"), b"")
    kept = [_PNG_START]
    turned = orientation(exif)
    for kind, _, whole in chunks:
        if kind not in _PNG_KEPT:
            continue
        kept.append(whole)
        if kind == b"IHDR" and turned != 1:
            body = minimal_exif(turned)
            checksum = struct.pack(">I", zlib.crc32(b"eXIf" + body))
            kept.append(struct.pack(">I", len(body)) + b"eXIf" + body + checksum)
    return b"".join(kept), exif


def webp_without_metadata(data: bytes) -> tuple[bytes, bytes]:
    """The WebP without its metadata, and the Exif block that it had (empty if none)."""
    chunks = list(_webp_chunks(data))
    exif = next((body for kind, body in chunks if kind == b"EXIF"), b"")
    exif = exif.removeprefix(b"Exif\0\0")
    turned = orientation(exif)
    kept = []
    for kind, body in chunks:
        if kind not in _WEBP_KEPT:
            continue
        content = body
        if kind == b"VP8X" and body:
            flags = body[0] & ~(_WEBP_EXIF | _WEBP_XMP) | (_WEBP_EXIF if turned != 1 else 0)
            content = bytes((flags,)) + body[1:]
        kept.append(_riff(kind, content))
    if turned != 1:
        kept.append(_riff(b"EXIF", minimal_exif(turned)))
    inner = b"WEBP" + b"".join(kept)
    return b"RIFF" + struct.pack("<I", len(inner)) + inner, exif


def _check_jpeg(data: bytes) -> None:
    """T.81 B.2.2: one frame header in a picture (a hierarchical one, B.3, is read by nobody)."""
    frames = [
        marker
        for marker, _, _ in _jpeg_segments(data)
        if 0xC0 <= marker <= 0xCF and marker not in (0xC4, 0xC8, 0xCC)
    ]
    if len(frames) != 1:
        raise _broken()


def _check_png(data: bytes) -> None:
    """PNG 5.6: IHDR is the first chunk and the only one of its kind; 11.3.6: acTL lets it move."""
    kinds = [kind for kind, _, _ in _png_chunks(data)]
    if kinds[0] != b"IHDR" or kinds.count(b"IHDR") != 1:
        raise _broken()
    if b"acTL" in kinds or b"fdAT" in kinds:
        raise _moving()


def _jpeg_segments(data: bytes) -> Iterator[tuple[int, int, int]]:
    """(marker, start after the marker, end) of each segment, scans' own data left out."""
    position = 2
    for _ in range(_MOST_JPEG_SEGMENTS):
        while data[position : position + 2] == b"\xff\xff":
            position += 1  # fill bytes
        if data[position : position + 1] != b"\xff" or position + 1 >= len(data):
            raise _broken()
        marker = data[position + 1]
        start = position + 2
        if marker == 0xD9:
            yield marker, start, start
            return
        if 0xD0 <= marker <= 0xD8 or marker == 0x01:
            yield marker, start, start
            position = start
            continue
        if start + 2 > len(data):
            raise _broken()
        (length,) = struct.unpack(">H", data[start : start + 2])
        end = start + length
        if length < 2 or end > len(data):
            raise _broken()
        yield marker, start, end
        position = _end_of_scan(data, end) if marker == 0xDA else end
    raise _too_many_parts()


def _end_of_scan(data: bytes, position: int) -> int:
    """Where the entropy-coded data that starts at `position` ends: at the next real marker."""
    found = _REAL_MARKER.search(data, position)
    if found is None:
        raise _broken()
    return found.start()


def _png_chunks(data: bytes) -> Iterator[tuple[bytes, bytes, bytes]]:
    position = len(_PNG_START)
    for _ in range(_MOST_CHUNKS):
        if position + 12 > len(data):
            raise _broken()
        (length,) = struct.unpack(">I", data[position : position + 4])
        end = position + 12 + length
        if end > len(data):
            raise _broken()
        kind = data[position + 4 : position + 8]
        yield kind, data[position + 8 : end - 4], data[position:end]
        position = end
        if kind == b"IEND":
            return
    raise _too_many_parts()


def _webp_chunks(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    position = 12
    if len(data) < position:
        raise _broken()
    (claimed,) = struct.unpack("<I", data[4:8])
    stop = 8 + claimed
    if stop > len(data):
        raise _broken()
    for _ in range(_MOST_CHUNKS):
        if position + 8 > stop:
            return
        (length,) = struct.unpack("<I", data[position + 4 : position + 8])
        end = position + 8 + length
        if end > len(data):
            raise _broken()
        yield data[position : position + 4], data[position + 8 : end]
        position = end + (length & 1)
    raise _too_many_parts()


def _check_webp(data: bytes) -> None:
    """RFC 9649 2.5-2.7: one picture, at most one VP8X chunk. Pillow compares their sizes."""
    chunks = list(_webp_chunks(data))
    kinds = [kind for kind, _ in chunks]
    moves = any(kind == b"VP8X" and (not body or body[0] & 0x02) for kind, body in chunks)
    if moves or kinds.count(b"VP8X") > 1 or b"ANIM" in kinds or b"ANMF" in kinds:
        raise _moving()
    if kinds.count(b"VP8 ") + kinds.count(b"VP8L") != 1:
        raise _broken()


def _riff(kind: bytes, body: bytes) -> bytes:
    return kind + struct.pack("<I", len(body)) + body + (b"\0" if len(body) & 1 else b"")


def _broken() -> NotAPhoto:
    return NotAPhoto("picture_damaged")


def _moving() -> NotAPhoto:
    return NotAPhoto("picture_moving")


def _too_many_parts() -> NotAPhoto:
    return NotAPhoto("picture_parts")
