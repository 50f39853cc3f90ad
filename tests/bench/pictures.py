"""Reliability, and risk against coverage, in one SVG picture that reads without colour."""

from __future__ import annotations

from collections.abc import Sequence

_SIDE, _GAP, _PAD = 300, 90, 50


def reliability_svg(
    bins: Sequence[tuple[float, float, int]], curve: Sequence[tuple[float, float]]
) -> str:
    """`bins`: mean predicted, share right, marks; `curve`: coverage, share wrong (up to 5 %)."""
    width, height = 2 * _SIDE + _GAP + 2 * _PAD, _SIDE + 2 * _PAD
    second = _PAD + _SIDE + _GAP
    dots = "".join(
        f'<circle cx="{_PAD + p * _SIDE:.1f}" cy="{_PAD + (1 - o) * _SIDE:.1f}" '
        f'r="{1.5 + n**0.5 / 12:.1f}"><title>{p:.3f} {o:.3f} {n}</title></circle>'
        for p, o, n in bins
    )
    step = max(1, len(curve) // 400)
    line = " ".join(
        f"{second + share * _SIDE:.1f},{_PAD + (1 - min(wrong / 0.05, 1)) * _SIDE:.1f}"
        for share, wrong in curve[::step]
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" '
        'font-family="sans-serif" font-size="13"><title>Reliability of marks of made lines'
        f"</title>{_frame(_PAD, 'predicted', 'share right', '1')}"
        f'<path d="M{_PAD} {_PAD + _SIDE}L{_PAD + _SIDE} {_PAD}" stroke="#777" '
        f'stroke-dasharray="5 4"/>{dots}{_frame(second, "coverage", "share wrong", "5 %")}'
        f'<polyline points="{line}" fill="none" stroke="#000" stroke-width="2"/></svg>\n'
    )


def _frame(left: int, along: str, up: str, top: str) -> str:
    bottom = _PAD + _SIDE
    return (
        f'<rect x="{left}" y="{_PAD}" width="{_SIDE}" height="{_SIDE}" fill="none" stroke="#000"/>'
        f'<text x="{left}" y="{bottom + 18}">0</text>'
        f'<text x="{left + _SIDE - 8}" y="{bottom + 18}">1</text>'
        f'<text x="{left + _SIDE / 2}" y="{bottom + 34}" text-anchor="middle">{along}</text>'
        f'<text x="{left}" y="{_PAD - 10}">{up}, up to {top}</text>'
    )
