"""Picture files made to cost much or to tell two stories; none is a photo of anything."""

import io
import struct
import zlib
from typing import Any

from PIL import Image


def _chunk(kind: bytes, body: bytes) -> bytes:
    checksum = struct.pack(">I", zlib.crc32(kind + body))
    return struct.pack(">I", len(body)) + kind + body + checksum


def _header(width: int, height: int) -> bytes:
    return _chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))


def png_of_two_sizes(width: int = 9000, height: int = 9000) -> bytes:
    """A PNG that first says 20 x 20 and then another size, with rows for the second."""
    return _png(_header(20, 20), _header(width, height), _rows(width, height))


def png_of(width: int, height: int) -> bytes:
    """A black PNG of this size, made without the picture ever being in memory."""
    return _png(_header(width, height), _rows(width, height))


def _png(*parts: bytes) -> bytes:
    return b"\x89PNG\r\n\x1a\n" + b"".join(parts) + _chunk(b"IEND", b"")


def _rows(width: int, height: int) -> bytes:
    packing, row = zlib.compressobj(9), bytes(1 + 3 * width)
    packed = b"".join(packing.compress(row) for _ in range(height))
    return _chunk(b"IDAT", packed + packing.flush())


def _jpeg(width: int = 40, height: int = 40) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (width, height), "white").save(out, "JPEG")
    return out.getvalue()


def jpeg_of_two_sizes() -> bytes:
    """A JPEG with two frame headers that differ."""
    data = _jpeg()
    at = data.index(b"\xff\xc0")
    (length,) = struct.unpack(">H", data[at + 2 : at + 4])
    frame = bytearray(data[at : at + 2 + length])
    frame[5:9] = struct.pack(">HH", 9000, 9000)
    return data[:at] + bytes(frame) + data[at:]


def jpeg_of_comments(count: int = 6_000_000) -> bytes:
    """A JPEG with so many empty comments: 24 MB of them at the most."""
    data = _jpeg()
    return data[:2] + b"\xff\xfe\x00\x02" * count + data[2:]


def png_of_chunks(count: int = 1_500_000) -> bytes:
    """A PNG with so many empty chunks of text."""
    out = io.BytesIO()
    Image.new("RGB", (20, 20), "white").save(out, "PNG")
    data = out.getvalue()
    return data[:33] + _chunk(b"tEXt", b"") * count + data[33:]


def moving(kind: str, **more: Any) -> bytes:
    """Two pictures one after the other in a PNG or WebP file."""
    out = io.BytesIO()
    pictures = [Image.new("RGB", (40, 40), colour) for colour in ("white", "black")]
    pictures[0].save(out, kind, save_all=True, append_images=pictures[1:], duration=100, **more)
    return out.getvalue()


def webp_of_two_sizes() -> bytes:
    """A WebP whose canvas is larger than its picture."""
    out = io.BytesIO()
    picture = Image.new("RGBA", (40, 40), (255, 0, 0, 100))
    picture.save(out, "WEBP", exif=b"Exif\0\0MM\0*\0\0\0\x08\0\0")
    data = bytearray(out.getvalue())
    at = data.index(b"VP8X")
    data[at + 12 : at + 18] = (8999).to_bytes(3, "little") * 2
    return bytes(data)
