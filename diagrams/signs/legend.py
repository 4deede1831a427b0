"""Every sign by itself, for the legend and for badges beside a panel: made with the shapes that the pictures use."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import cache
from types import MappingProxyType

import numpy as np

from limberleaf.diagrams.picture.displaylist import Box, Paint, PathBuilder, Picture, Points, Shape
from limberleaf.diagrams.picture.style import STYLES, Style
from limberleaf.diagrams.signs.arrow_shapes import arrow_shapes, bar_shapes
from limberleaf.diagrams.signs.felt import LARGE, SMALL
from limberleaf.diagrams.signs.ghost import dashed
from limberleaf.diagrams.signs.other_side import HIGH, other_side_shapes
from limberleaf.diagrams.signs.rest import rest_shapes
from limberleaf.diagrams.writing.svg import draw_svg

WIDE, TALL = 72.0, 40.0
"""Size of a sign's picture (units); a badge is square."""
BAR, BAR_TALL, BAR_APART = 7.0, 24.0, 13.0
"""Breadth, height and distance of the two bars that say "stay there"."""

_ID = re.compile(r' id="[\w-]+"')


def sign_names() -> tuple[str, ...]:
    """Return the names of all signs, in the order of the legend."""
    return tuple(_DRAWN)


@cache
def sign_svg(name: str, *, style: str = "screen", weight: float = 1.0) -> str:
    """Return one sign as an SVG document; KeyError for an unknown name. `weight` makes its lines heavier, for paper.

    A page has many signs, and some of them twice, so nothing in them has an id.
    """
    shapes = _DRAWN[name](STYLES[style].with_weights(weight))
    width = TALL if name in ("hold", "breathe") else WIDE
    picture = Picture(Box(-width / 2, -TALL / 2, width / 2, TALL / 2), tuple(shapes))
    return _ID.sub("", draw_svg([picture]))


def _line(x0: float, y0: float, x1: float, y1: float, bow: float = 0.0) -> Points:
    t = np.linspace(0.0, 1.0, 9)[:, None]
    start, end = np.array([x0, y0]), np.array([x1, y1])
    across = np.array([y1 - y0, x0 - x1]) / max(float(np.hypot(x1 - x0, y1 - y0)), 1e-9)
    out: Points = start * (1 - t) + end * t + across * bow * 4 * t * (1 - t)
    return out


def _limb(fill: str, style: Style, width: float = 0.0) -> list[Shape]:
    """A piece of a limb that runs out of the picture on both sides."""
    path = PathBuilder().polygon([(-34, -10), (34, -8), (34, 8), (-34, 10)]).done()
    ends = PathBuilder().move((-34, -10)).line((34, -8)).move((-34, 10)).line((34, 8)).done()
    return [
        Shape(path, Paint(fill), "skin", "body"),
        Shape(ends, Paint(None, style.ink, width or style.weights.outer, cap="butt"), "lines", "line"),
    ]


def _round(style: Style) -> list[Shape]:
    turn = np.radians(np.linspace(-60, 230, 20))
    return arrow_shapes(15.0 * np.column_stack([np.cos(turn), np.sin(turn)]), style)


def _press(style: Style) -> list[Shape]:
    tip, down = np.array([0.0, 12.0]), np.array([0.0, 1.0])
    return [*arrow_shapes(_line(0, -18, 0, 10), style), *bar_shapes(tip, down, style)]


def _was(style: Style) -> list[Shape]:
    return dashed(PathBuilder().polygon([(-28, -9), (24, -8), (28, 0), (24, 8), (-28, 9)]).done(), style)


def _felt(style: Style) -> list[Shape]:
    path = PathBuilder()
    for row in range(-2, 3):
        for column in range(-4, 5):
            x, y = column * 5.0 + (row % 2) * 2.5, row * 4.4
            strength = 1.0 - (x / 24) ** 2 - (y / 12) ** 2
            if strength > 0.05:
                path.circle((x, y), SMALL + (LARGE - SMALL) * float(np.sqrt(strength)))
    return [*_limb(style.skin, style), Shape(path.done(), Paint(style.felt), "felt", "mark")]


def _touches(style: Style) -> list[Shape]:
    turn = np.radians(np.arange(0, 360, 20))
    spot = PathBuilder().loop(np.column_stack([26 * np.cos(turn), 9 + 5 * np.sin(turn)])).done()
    palm = PathBuilder().polygon([(-30, -18), (-14, -6), (22, 2), (24, 7), (-18, 7), (-34, -8)]).done()
    return [
        Shape(spot, Paint(style.shadow), "shadow", "floor"),
        Shape(palm, Paint(style.skin, style.ink, style.weights.inner), "skin", "body"),
    ]


def _held(style: Style) -> list[Shape]:
    path = PathBuilder().polygon([(-32, 4), (32, -10), (34, -1), (-30, 13)]).done()
    return [Shape(path, Paint(style.held, style.ink, style.weights.fold), "held", "held")]


def _hold(style: Style) -> list[Shape]:
    bars = PathBuilder()
    for middle in (-BAR_APART / 2, BAR_APART / 2):
        left, right = middle - BAR / 2, middle + BAR / 2
        bars.polygon(
            [(left, -BAR_TALL / 2), (right, -BAR_TALL / 2), (right, BAR_TALL / 2), (left, BAR_TALL / 2)]
        )
    return [Shape(bars.done(), Paint(style.arrow), "hold", "mark")]


def _breathe(style: Style) -> list[Shape]:
    """Air that streams from the mouth of a face in profile: three lines that spread and curl."""
    face = (
        PathBuilder()
        .move((-17, -18))
        .through(
            np.array(
                [(-17, -18), (-9, -13), (-8, -7), (-3, -2), (-8, 0), (-7, 4), (-9, 6), (-9, 11), (-17, 14)],
                dtype=float,
            )
        )
    )
    air = PathBuilder()
    for end, rise in ((16.0, -9.0), (18.0, 0.0), (16.0, 9.0)):
        way = np.array(
            [(-2, 4 + rise * 0.2), (4, 3 + rise * 0.5), (10, 5 + rise * 0.8), (end, 3 + rise)], dtype=float
        )
        air.move(way[0]).through(way)
    return [
        Shape(face.done(), Paint(None, style.ink, style.weights.inner), "face", "line"),
        Shape(air.done(), Paint(None, style.arrow, 2.6), "breathe", "mark"),
    ]


_DRAWN: Mapping[str, Callable[[Style], list[Shape]]] = MappingProxyType(
    {
        "affected": lambda style: _limb(style.affected, style),
        "movement": lambda style: arrow_shapes(_line(-30, 8, 30, 8, 10), style),
        "second": lambda style: arrow_shapes(_line(-26, 6, 26, 6, 8), style, second=True),
        "to_and_fro": lambda style: arrow_shapes(_line(-30, 8, 30, 8, 10), style, both=True),
        "round": _round,
        "press": _press,
        "was": _was,
        "far": lambda style: _limb(style.skin, style, style.weights.inner * style.weights.far),
        "felt": _felt,
        "touches": _touches,
        "held": _held,
        "other_side": lambda style: other_side_shapes(0.0, -HIGH / 2, style),
        "rest": lambda style: rest_shapes(0.0, -1.0, style),
        "hold": _hold,
        "breathe": _breathe,
    }
)
"""Each sign, drawn about the middle of its picture."""
