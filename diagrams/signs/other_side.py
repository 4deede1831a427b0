"""The sign "then the other side": two small bodies, one side tinted in each, with an arrow from one to the other."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from limberleaf.diagrams.picture.displaylist import Box, Paint, PathBuilder, Picture, Shape
from limberleaf.diagrams.picture.style import Style
from limberleaf.diagrams.signs.arrow_shapes import arrow_shapes

HIGH, WIDE, APART, ROOM = 30.0, 18.0, 30.0, 6.0
"""Size of a small body, the space for the arrow between two, and the space round the sign (units)."""
LIMBS = (((-9.0, 9.0), (-5.6, 20.0)), ((-4.6, 20.0), (-0.6, 30.0)))
"""Arm and leg of one side as boxes from the middle of the head's top; the other side is their mirror image."""
TRUNK = ((-4.6, 9.0), (4.6, 19.0))


def with_other_side(pictures: tuple[Picture, ...], style: Style) -> tuple[Picture, ...]:
    """Return the pictures with the sign below the last one, at its right end, all in one larger frame."""
    old = pictures[-1].frame
    frame = Box(
        old.left, old.top, max(old.right, old.left + 2 * WIDE + APART + 2 * ROOM), old.bottom + HIGH + ROOM
    )
    top = old.bottom + ROOM / 2
    sign = other_side_shapes(frame.right - ROOM - WIDE - APART / 2, top, style)
    *others, last = (picture.with_frame(frame) for picture in pictures)
    return (*others, replace(last, shapes=(*last.shapes, *sign)))


def other_side_shapes(middle: float, top: float, style: Style) -> list[Shape]:
    """Return the sign about a place across, from its top down."""
    one, two = middle - (WIDE + APART) / 2, middle + (WIDE + APART) / 2
    line = np.column_stack(
        [np.linspace(one + WIDE / 2 + 3, two - WIDE / 2 - 3, 7), np.full(7, top + HIGH / 2)]
    )
    sign = [*_body(one, top, -1, style), *_body(two, top, 1, style), *arrow_shapes(line, style, second=True)]
    return [replace(shape, part="other-side") for shape in sign]


def _body(x: float, y: float, side: int, style: Style) -> list[Shape]:
    """A small body from in front; `side`: -1 when the limbs on the left of the paper are tinted, 1 for the right."""
    plain, tinted = PathBuilder(), PathBuilder()
    plain.circle((x, y + 4.2), 4.2)
    _box(plain, x, y, TRUNK, 1)
    for limb in LIMBS:
        _box(tinted, x, y, limb, -side)
        _box(plain, x, y, limb, side)
    return [
        Shape(plain.done(), Paint(style.paper, style.ink, style.weights.fine), "other-side", "mark"),
        Shape(tinted.done(), Paint(style.affected, style.ink, style.weights.fine), "other-side", "mark"),
    ]


def _box(
    path: PathBuilder, x: float, y: float, box: tuple[tuple[float, float], tuple[float, float]], way: int
) -> None:
    (left, top), (right, bottom) = box
    path.polygon(
        [(x + way * a, y + b) for a, b in ((left, top), (right, top), (right, bottom), (left, bottom))]
    )
