"""Bar codes and 2D codes on cartons: found with zxing-cpp, their text taken as it is.

Linear GS1-128, EAN and UPC, DataMatrix and QR are looked for. What a code holds is text: an address
in it is shown and never opened.
"""

from dataclasses import dataclass

import zxingcpp

from inkwitness.photo.values import Pixels, Polygon


@dataclass(frozen=True, slots=True)
class Code:
    r"""One code: the symbology's name, its text (GS1 separators as \x1d), its corners in pixels."""

    kind: str
    text: str
    polygon: Polygon = ()
    gs1: bool = False


def read_codes(pixels: Pixels) -> tuple[Code, ...]:
    """All codes in a picture (BGR, rows x columns x 3, bytes), in the order they were found."""
    found = zxingcpp.read_barcodes(pixels, text_mode=zxingcpp.TextMode.Plain)
    return tuple(_code(result) for result in found if result.valid)


def _code(result: "zxingcpp.Barcode") -> Code:
    corners = result.position
    points = (corners.top_left, corners.top_right, corners.bottom_right, corners.bottom_left)
    return Code(
        kind=str(result.format).rpartition(".")[2],
        text=result.text,
        polygon=tuple((float(point.x), float(point.y)) for point in points),
        gs1=result.content_type == zxingcpp.ContentType.GS1,
    )
