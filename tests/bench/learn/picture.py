"""The curve as a picture: lines read exactly at each size, for weights between stock and tuned.

python -m tests.bench.learn.picture CURVE.csv OUT.svg
"""

from __future__ import annotations

import csv
import sys
from pathlib import Path

_WIDE, _HIGH, _LEFT, _TOP = 260, 200, 46, 46
_GAP = 56
_COLOURS = ("#1b4f72", "#1f77b4", "#2a9d8f", "#8a9a5b", "#e9a03b", "#d1603d", "#8c2d19")
_SIZES = (10.0, 7.0, 6.0, 5.0, 4.0, 3.5, 3.0)
_SETS = ("real", "real, poorer", "held out, scans", "held out, photographs")


def picture(rows: list[dict[str, str]]) -> str:
    """A frame for each set, in it a line for each x-height, over the share of tuned weights."""
    parts = []
    for at, name in enumerate(_SETS):
        x0 = _LEFT + (at % 2) * (_WIDE + _GAP)
        y0 = _TOP + (at // 2) * (_HIGH + _GAP)
        own = [row for row in rows if row["set"] == name]
        count = own[0]["lines"] if own else "0"
        parts.append(f'<text x="{x0}" y="{y0 - 8}">{name} ({count} lines)</text>')
        for tick in range(0, 101, 25):
            y = y0 + _HIGH * (1 - tick / 100)
            parts.append(f'<path d="M{x0} {y:.0f}h{_WIDE}" stroke="#ddd" fill="none"/>')
            parts.append(f'<text x="{x0 - 6}" y="{y + 4:.0f}" text-anchor="end">{tick}</text>')
        for share in (0, 0.5, 1):
            x = x0 + _WIDE * share
            parts.append(
                f'<text x="{x:.0f}" y="{y0 + _HIGH + 15}" text-anchor="middle">{share}</text>'
            )
        for size, colour in zip(_SIZES, _COLOURS, strict=True):
            points = [
                (x0 + _WIDE * float(row["share"]), y0 + _HIGH * (1 - float(row["exact"])))
                for row in own
                if row["x_height"] != "full" and float(row["x_height"]) == size
            ]
            if points:
                path = "L".join(f"{x:.1f} {y:.1f}" for x, y in points)
                parts.append(f'<path d="M{path}" stroke="{colour}" stroke-width="2" fill="none"/>')
    for at, (size, colour) in enumerate(zip(_SIZES, _COLOURS, strict=True)):
        x = _LEFT + at * 82
        parts.append(f'<text x="{x}" y="18" fill="{colour}">{size:g} px</text>')
    wide = _LEFT + 2 * _WIDE + _GAP + 20
    high = _TOP + 2 * _HIGH + _GAP + 30
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}" '
        f'font-family="sans-serif" font-size="12"><title>Lines read exactly (per cent) over the '
        f"share of the tuned weights, by x-height</title>{''.join(parts)}</svg>\n"
    )


def main() -> None:
    """Entry point."""
    with Path(sys.argv[1]).open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    Path(sys.argv[2]).write_text(picture(rows), encoding="utf-8")


if __name__ == "__main__":
    main()
