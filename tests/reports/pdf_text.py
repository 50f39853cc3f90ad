"""The text of a PDF as a viewer would copy it: enough for what this project writes.

ISO 32000-1:2008 9.10.3 (ToUnicode) and 9.4.3 (text-showing), clause numbers from memory. Each font
is a Type 0 font with two-byte codes, whose `ToUnicode` map gives the letters.
"""

import re
import zlib

_OBJECT = re.compile(rb"(\d+) 0 obj\r?\n(.*?)\r?\nendobj", re.DOTALL)
_STREAM = re.compile(rb"stream\r?\n(.*?)\r?\nendstream", re.DOTALL)
_SHOWN = re.compile(rb"/(F\d+) [\d.]+ Tf|\(((?:\\.|[^\\()])*)\) ?Tj|\[(.*?)\] ?TJ", re.DOTALL)
_STRING = re.compile(rb"\(((?:\\.|[^\\()])*)\)", re.DOTALL)
_ESCAPES = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f"}


def text_of(pdf: bytes) -> str:
    """Every string shown, in the order it is drawn, with a blank between two."""
    objects = {int(number): body for number, body in _OBJECT.findall(pdf)}
    fonts: dict[bytes, dict[int, str]] = {}
    for name, number in re.findall(rb"/(F\d+) (\d+) 0 R", pdf):
        to_unicode = re.search(rb"/ToUnicode (\d+) 0 R", objects[int(number)])
        assert to_unicode is not None
        fonts[name] = _map(_stream(objects[int(to_unicode[1])]))
    shown = []
    for number in re.findall(rb"/Contents (\d+) 0 R", pdf):
        font: dict[int, str] = {}
        for name, string, array in _SHOWN.findall(_stream(objects[int(number)])):
            if name:
                font = fonts[name]
                continue
            parts = [string] if string else _STRING.findall(array)
            raw = b"".join(_plain(part) for part in parts)
            codes = [int.from_bytes(raw[at : at + 2], "big") for at in range(0, len(raw), 2)]
            shown.append("".join(font[code] for code in codes))
    return " ".join(shown)


def _stream(body: bytes) -> bytes:
    found = _STREAM.search(body)
    assert found is not None
    return zlib.decompress(found[1]) if b"FlateDecode" in body else found[1]


def _map(cmap: bytes) -> dict[int, str]:
    letters = {}
    for block in re.findall(rb"beginbfchar(.*?)endbfchar", cmap, re.DOTALL):
        for code, letter in re.findall(rb"<([0-9A-Fa-f]+)> ?<([0-9A-Fa-f]+)>", block):
            letters[int(code, 16)] = bytes.fromhex(letter.decode()).decode("utf-16-be")
    for block in re.findall(rb"beginbfrange(.*?)endbfrange", cmap, re.DOTALL):
        for first, last, letter in re.findall(
            rb"<([0-9A-Fa-f]+)> ?<([0-9A-Fa-f]+)> ?<([0-9A-Fa-f]+)>", block
        ):
            start = int.from_bytes(bytes.fromhex(letter.decode()), "big")
            for offset in range(int(last, 16) - int(first, 16) + 1):
                letters[int(first, 16) + offset] = chr(start + offset)
    return letters


def _plain(string: bytes) -> bytes:
    return re.sub(
        rb"\\(.)", lambda found: _ESCAPES.get(found[1], found[1]), string, flags=re.DOTALL
    )
