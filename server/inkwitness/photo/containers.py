"""Picture files taken apart: what kind they are, how large, and the same file without metadata.

Nothing is decoded here. Each `*_without_metadata` keeps only what is needed to show the picture
(an allow-list, so that a kind of metadata invented tomorrow is left out too), drops whatever
follows the end of the picture, and puts back one thing that is not about anybody: which way up it
is. Sources: JPEG ITU-T T.81 (1992) annex B and Exif 2.32 (CIPA DC-008, 2019); PNG, third edition
(W3C 2025), chunk list; WebP RFC 9649 (2024), section 2.7. Section numbers from memory.
"""

import re
import struct
import zlib
from collections.abc import Iterator
from typing import Final

from inkwitness.errors import NotAPhoto

#: The kinds of photo that are taken, by media type. Browsers show them, or a JPEG made of a HEIC.
KINDS: Final = {
    "image/jpeg": "JPEG",
    "image/png": "PNG",
    "image/webp": "WebP",
    "image/heic": "HEIC",
}
KINDS_SAID: Final = " or ".join((", ".join([*KINDS.values()][:-1]), [*KINDS.values()][-1]))

_ORIENTATION = 0x0112
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
_HEIF_SEQUENCES = frozenset(b"msf1 hevc hevx".split())
_HEIF_BRANDS = frozenset(b"heic heix heim heis hevc hevx mif1 msf1".split())


def media_type(data: bytes) -> str:
    """The kind of picture by its content; raises NotAPhoto for anything else."""
    if data.startswith(b"\xff\xd8\xff"):
        return "image/jpeg"
    if data.startswith(_PNG_START):
        return "image/png"
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return "image/webp"
    if data[4:8] == b"ftyp" and data[8:12] in _HEIF_BRANDS:
        return "image/heic"
    raise NotAPhoto(
        f"This file is no picture of a kind that is read here. Send a {KINDS_SAID} photo."
    )


def size(data: bytes) -> tuple[int, int] | None:
    """Width and height that a JPEG, PNG or WebP file claims, before any turn; None for HEIC.

    Raises NotAPhoto for a file that claims a size more than once (which one a decoder believes is
    its own affair, so a limit on one of them would be none), and for one with several pictures.
    """
    kind = media_type(data)
    try:
        if kind == "image/jpeg":
            return _jpeg_size(data)
        if kind == "image/png":
            return _png_size(data)
        if kind == "image/webp":
            return _webp_size(data)
    except struct.error as error:
        raise _broken() from error
    if data[8:12] in _HEIF_SEQUENCES:
        raise _moving()
    return None


def orientation(exif: bytes) -> int:
    """The orientation 1-8 that an Exif block (from its TIFF header on) asks for; 1 if none."""
    order = {b"II": "<", b"MM": ">"}.get(exif[:2])
    if order is None:
        return 1
    try:
        (first,) = struct.unpack(f"{order}I", exif[4:8])
        (count,) = struct.unpack(f"{order}H", exif[first : first + 2])
        for number in range(count):
            at = first + 2 + 12 * number
            tag, kind, _, value = struct.unpack(f"{order}HHIH", exif[at : at + 10])
            if tag == _ORIENTATION and kind == 3:
                return value if 1 <= value <= 8 else 1
    except struct.error:
        return 1  # a broken block turns nothing: viewers ignore it too
    return 1


def minimal_exif(turned: int) -> bytes:
    """An Exif block, from its TIFF header on, that holds the orientation and nothing else."""
    return struct.pack(">2sHIHHHIHHI", b"MM", 42, 8, 1, _ORIENTATION, 3, 1, turned, 0, 0)


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


def _jpeg_size(data: bytes) -> tuple[int, int]:
    """T.81 B.2.2: one frame header in a picture (a hierarchical one, B.3, is read by nobody)."""
    claimed = [
        struct.unpack(">HH", data[start + 3 : start + 7])
        for marker, start, _ in _jpeg_segments(data)
        if 0xC0 <= marker <= 0xCF and marker not in (0xC4, 0xC8, 0xCC)
    ]
    if len(claimed) != 1:
        raise _broken()
    height, width = claimed[0]
    return width, height


def _png_size(data: bytes) -> tuple[int, int]:
    """PNG 5.6: IHDR is the first chunk and the only one of its kind; 11.3.6: acTL lets it move."""
    kinds = [(kind, body) for kind, body, _ in _png_chunks(data)]
    headers = [body for kind, body in kinds if kind == b"IHDR"]
    if len(headers) != 1 or kinds[0][0] != b"IHDR":
        raise _broken()
    if any(kind in (b"acTL", b"fdAT") for kind, _ in kinds):
        raise _moving()
    width, height = struct.unpack(">II", headers[0][:8])
    return width, height


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


def _webp_size(data: bytes) -> tuple[int, int]:
    """RFC 9649 2.5-2.7: one picture; where there is a VP8X chunk, both give the same size."""
    claimed: list[tuple[int, int]] = []
    pictures = 0
    for kind, body in _webp_chunks(data):
        if kind in (b"ANIM", b"ANMF"):
            raise _moving()
        if kind == b"VP8X":
            if (
                claimed or not body or body[0] & 0x02
            ):  # a second one, or one that says that it moves
                raise _moving()
            wide, high = body[4:7], body[7:10]
            claimed.append((1 + int.from_bytes(wide, "little"), 1 + int.from_bytes(high, "little")))
        elif kind == b"VP8L":
            (bits,) = struct.unpack("<I", body[1:5])
            claimed.append((1 + (bits & 0x3FFF), 1 + (bits >> 14 & 0x3FFF)))
            pictures += 1
        elif kind == b"VP8 ":
            width, height = struct.unpack("<HH", body[6:10])
            claimed.append((width & 0x3FFF, height & 0x3FFF))
            pictures += 1
    if pictures != 1 or len(set(claimed)) != 1:
        raise _broken()
    return claimed[0]


def _riff(kind: bytes, body: bytes) -> bytes:
    return kind + struct.pack("<I", len(body)) + body + (b"\0" if len(body) & 1 else b"")


def _broken() -> NotAPhoto:
    return NotAPhoto(
        "This picture file is damaged or not complete. Take the photo again, or send the file "
        "again."
    )


def _moving() -> NotAPhoto:
    return NotAPhoto(
        "This file holds more than one picture (an animation or a sequence). Send one still photo."
    )


def _too_many_parts() -> NotAPhoto:
    return NotAPhoto(
        "This picture file is cut into more parts than a camera makes. Save it anew, or take the "
        "photo again."
    )
