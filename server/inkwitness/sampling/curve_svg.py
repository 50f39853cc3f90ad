"""The operating-characteristic curve as an SVG picture that can be read without colour.

One line in the text colour, dashed gridlines, marked points as squares with their words beside
them; `title` and `desc` say in words what the line shows.
"""

from html import escape

from inkwitness.phrases import Phrases, Value
from inkwitness.sampling.arguments import percent
from inkwitness.sampling.curve import Curve, Point, first_below

_WIDTH, _HEIGHT = 640, 420
_LEFT, _RIGHT, _TOP, _BOTTOM = 84, 620, 24, 356
_GRID = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)


def curve_svg(curve: Curve, say: Phrases, *, element_id: str = "oc-curve") -> str:
    """The picture; `element_id` must be unique in the page that holds it."""
    kind = "plan" if curve.accept else "discovery"
    values: dict[str, Value] = {
        "n": curve.n,
        "lot": curve.lot,
        "accept": curve.accept,
        "reject": curve.accept + 1,
    }
    last = curve.points[-1].nonconforming
    middle_x, middle_y = (_LEFT + _RIGHT) / 2, (_TOP + _BOTTOM) / 2
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH} {_HEIGHT}" role="img"'
        f' aria-labelledby="{element_id}-title {element_id}-desc" font-family="sans-serif"'
        ' font-size="15" fill="currentColor">'
    )
    title = say(f"sampling.curve.title_{kind}", **values)
    turned = f' transform="translate(20 {middle_y:.0f}) rotate(-90)"'
    line = " ".join(f"{_x(point, last):.1f},{_y(point.chance):.1f}" for point in curve.points)
    lines = [
        head,
        f'<title id="{element_id}-title">{escape(title)}</title>',
        f'<desc id="{element_id}-desc">{escape(described(curve, say))}</desc>',
    ]
    for chance in _GRID:
        lines.append(_stroke(f"M{_LEFT} {_y(chance):.1f}H{_RIGHT}", 'stroke-dasharray="2 4"'))
        lines.append(_text(_LEFT - 8, _y(chance) + 5, "end", f"{100 * chance:.0f} %"))
    lines += [
        *(
            _text(_across(nonconforming, last), _BOTTOM + 22, "middle", f"{nonconforming:,}")
            for nonconforming in _ticks(last)
        ),
        _stroke(f"M{_LEFT} {_TOP}V{_BOTTOM}H{_RIGHT}", 'stroke-width="1.5"'),
        _text(middle_x, _HEIGHT - 14, "middle", say("sampling.curve.axis_x")),
        _text(0, 0, "middle", say(f"sampling.curve.axis_y_{kind}", **values), turned),
        f'<polyline fill="none" stroke="currentColor" stroke-width="2.5" points="{line}"/>',
        *(_mark(point, last, say) for point in curve.marked),
        "</svg>",
    ]
    return "\n".join(lines)


def described(curve: Curve, say: Phrases) -> str:
    """The curve in one sentence: where it starts, where it is at one half and at one tenth."""
    half, tenth = first_below(curve, 0.5), first_below(curve, 0.1)
    values: dict[str, Value] = {
        "first": _chance(curve.points[0]),
        "half": half.nonconforming,
        "half_chance": _chance(half),
        "half_share": percent(half.share, up=True),
        "tenth": tenth.nonconforming,
        "tenth_chance": _chance(tenth),
        "tenth_share": percent(tenth.share, up=True),
    }
    return say("sampling.curve.desc", **values)


def _mark(point: Point, last: int, say: Phrases) -> str:
    """A square on the curve, a line down to the axis, and the words above the curve."""
    x, y = _x(point, last), _y(point.chance)
    words = say("sampling.curve.mark", nonconforming=point.nonconforming, chance=_chance(point))
    anchor, beside = ("start", x + 10) if x < _RIGHT - 160 else ("end", x - 10)
    return "\n".join(
        (
            _stroke(f"M{x:.1f} {y:.1f}V{_BOTTOM}", 'stroke-dasharray="6 4"'),
            f'<rect x="{x - 5:.1f}" y="{y - 5:.1f}" width="10" height="10"/>',
            _text(beside, y - 10, anchor, words),
        )
    )


def _x(point: Point, last: int) -> float:
    return _across(point.nonconforming, last)


def _across(nonconforming: int, last: int) -> float:
    return _LEFT + (_RIGHT - _LEFT) * nonconforming / last


def _y(chance: float) -> float:
    return _BOTTOM - (_BOTTOM - _TOP) * chance


def _stroke(path: str, style: str) -> str:
    return f'<path d="{path}" fill="none" stroke="currentColor" {style}/>'


def _text(x: float, y: float, anchor: str, words: str, more: str = "") -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}"{more}>{escape(words)}</text>'


def _chance(point: Point) -> str:
    # The chance that a difference stays unseen: rounded up, so that it is never played down.
    return percent(point.chance, up=True)


def _ticks(last: int) -> list[int]:
    """At most seven round numbers from 0 to `last`."""
    steps = (digit * 10**power for power in range(10) for digit in (1, 2, 5))
    step = next(step for step in steps if last <= 6 * step)
    return list(range(0, last + 1, step))
