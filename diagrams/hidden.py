"""Parts that nobody can see: left out, they keep files small, such as the far leg in an exact side view."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from diagrams.displaylist import Paint, Points, Shape, bounds, flatten
from diagrams.figure_shapes import BodyPart

EDGE = 1.5
"""A part counts as hidden although its edge looks out this far (units): the nearer outline is thicker."""


def covered_parts(parts: Mapping[str, BodyPart], order: Sequence[str]) -> set[str]:
    """Return the limb parts whose whole outline lies behind nearer parts. `order`: names from far to near."""
    rank = {name: i for i, name in enumerate(order)}
    names = list(parts)
    frames: Points = np.array([_frame(parts[name]) for name in names])
    meets: NDArray[np.bool_] = np.logical_and.reduce(frames[:, None, :2] <= frames[None, :, 2:], axis=2)
    meets &= meets.T
    polygons: dict[str, list[Points]] = {}

    def lines(name: str) -> list[Points]:
        if name not in polygons:
            polygons[name] = [points for points, _ in flatten(parts[name].path, 4)]
        return polygons[name]

    hidden: set[str] = set()
    for row, name in enumerate(names):
        if parts[name].side is None:
            continue
        nearer = [
            i
            for i in np.flatnonzero(meets[row]).tolist()
            if rank[names[i]] > rank[name] and names[i] not in hidden
        ]
        # A few places first: nearly always one of them is seen, mostly even outside the frames of all that is nearer.
        corners = np.array([values[-2:] for letter, values in parts[name].path if letter == "C"][::3])
        if not nearer or _outside_frames(corners, frames[nearer]):
            continue
        # The same part of the other side is most likely to cover it.
        nearer.sort(key=lambda i: names[i].rsplit("-", 1)[0] != name.rsplit("-", 1)[0])
        cover = [polygon for i in nearer for polygon in lines(names[i])]
        if not _left_over(corners, cover) and not _left_over(np.concatenate(lines(name)), cover):
            hidden.add(name)
    return hidden


def _frame(part: BodyPart) -> tuple[float, float, float, float]:
    """Return left, top, right and bottom of a part's outline on paper."""
    box = bounds([Shape(part.path, Paint())])
    return box.left, box.top, box.right, box.bottom


def _outside_frames(points: Points, frames: Points) -> bool:
    """Whether any point (n, 2) lies outside all frames (m, 4), each grown by `EDGE`."""
    places = points[:, None]
    inside = ((places >= frames[:, :2] - EDGE) & (places <= frames[:, 2:] + EDGE)).all(axis=2)
    return not np.all(np.any(inside, axis=1))


def _left_over(points: Points, polygons: Sequence[Points]) -> bool:
    """Whether any point (n, 2) lies outside all polygons."""
    for polygon in polygons:
        points = points[~_inside(points, polygon)]
        if not len(points):
            return False
    return True


def _inside(points: Points, polygon: Points) -> NDArray[np.bool_]:
    """Whether points lie in a polygon (crossing number) or within `EDGE` of its corners."""
    x, y = points[:, :1], points[:, 1:]
    start_x, start_y = polygon.T
    end_x, end_y = np.concatenate([polygon[1:], polygon[:1]]).T
    slope = (end_x - start_x) / np.where(end_y == start_y, 1e-12, end_y - start_y)
    crossed = ((start_y > y) != (end_y > y)) & (x < start_x + (y - start_y) * slope)
    inside: NDArray[np.bool_] = np.logical_xor.reduce(crossed, axis=1)
    out = np.flatnonzero(~inside)
    if len(out):
        gap = (x[out] - start_x) ** 2 + (y[out] - start_y) ** 2
        inside[out] = gap.min(axis=1) < EDGE**2
    return inside
