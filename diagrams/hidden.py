"""Parts that nobody can see: left out, they keep files small, such as the far leg in an exact side view."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from diagrams.displaylist import Points, basis
from diagrams.figure_shapes import BodyPart, Path

EDGE = 1.5
"""A part counts as hidden although its edge looks out this far (units): the nearer outline is thicker."""
STEPS = 4
"""Pieces a curve of an outline is cut into to look for what sticks out."""


def covered_parts(parts: Mapping[str, BodyPart], order: Sequence[str]) -> set[str]:
    """Return the limb parts whose whole outline lies behind nearer parts. `order`: names from far to near."""
    rank = {name: i for i, name in enumerate(order)}
    names = list(parts)
    polygons = _polygons([parts[name].path for name in names])
    outlines = [np.concatenate(pieces) for pieces in polygons]
    frames = np.array([(*outline.min(axis=0), *outline.max(axis=0)) for outline in outlines])
    meets: NDArray[np.bool_] = np.logical_and.reduce(frames[:, None, :2] <= frames[None, :, 2:], axis=2)
    meets &= meets.T
    hidden: set[str] = set()
    for row, name in enumerate(names):
        if parts[name].side is None:
            continue
        nearer = [i for i in np.flatnonzero(meets[row]).tolist() if rank[names[i]] > rank[name]]
        nearer = [i for i in nearer if names[i] not in hidden]
        # A few places first: nearly always one of them is seen, mostly even outside the frames of all that is nearer.
        corners = outlines[row][STEPS - 1 :: 3 * STEPS]
        if not nearer or _outside_frames(corners, frames[nearer]):
            continue
        # The same part of the other side is most likely to cover it.
        nearer.sort(key=lambda i: names[i].rsplit("-", 1)[0] != name.rsplit("-", 1)[0])
        cover = [polygon for i in nearer for polygon in polygons[i]]
        if not _left_over(corners, cover) and not _left_over(outlines[row], cover):
            hidden.add(name)
    return hidden


def _polygons(paths: Sequence[Path]) -> list[list[Points]]:
    """Return the closed pieces of each outline as polygons, all curves cut together; lines are cut like curves."""
    curves: list[tuple[float, ...]] = []
    ends: list[list[int]] = []
    for path in paths:
        ends.append([len(curves)])
        pen: tuple[float, ...] = ()
        for name, values in path:
            if name == "C":
                curves.append((*pen, *values))
            elif name == "L":
                curves.append((*pen, *pen, *values, *values))
            elif name == "Z":
                ends[-1].append(len(curves))
            pen = values[-2:]
    points = (basis(STEPS) @ np.array(curves).reshape(-1, 4, 2)).reshape(-1, 2)
    return [[points[start * STEPS : stop * STEPS] for start, stop in pairwise(stops)] for stops in ends]


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
