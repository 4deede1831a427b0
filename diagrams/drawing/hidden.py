"""Parts that nobody can see: left out, they keep files small, such as the far leg in an exact side view."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limberleaf.diagrams.drawing.figure_shapes import BodyPart, Path
from limberleaf.diagrams.writing.displaylist import Points, basis

EDGE = 1.5
"""A part counts as hidden although its edge looks out this far (units): the nearer outline is thicker."""
STEPS = 4
"""Pieces a curve of an outline is cut into to look for what sticks out."""


@dataclass(frozen=True)
class _Edges:
    """The edges of one or more polygons: x, y, the y they end at and x per y (4, n); where each polygon begins."""

    rows: Points
    firsts: NDArray[np.intp]

    @property
    def points(self) -> Points:
        """The corners (n, 2)."""
        return self.rows[:2].T


def covered_parts(parts: Mapping[str, BodyPart], order: Sequence[str]) -> set[str]:
    """Return the limb parts whose whole outline lies behind nearer parts. `order`: names from far to near."""
    rank = {name: i for i, name in enumerate(order)}
    names = list(parts)
    outlines, frames = _outlines([parts[name].path for name in names])
    meets: NDArray[np.bool_] = np.logical_and.reduce(frames[:, None, :2] <= frames[None, :, 2:], axis=2)
    meets &= meets.T
    hidden: set[str] = set()
    for row, name in enumerate(names):
        if parts[name].side is None:
            continue
        nearer = [i for i in np.flatnonzero(meets[row]).tolist() if rank[names[i]] > rank[name]]
        nearer = [i for i in nearer if names[i] not in hidden]
        # A few places first: nearly always one of them is seen, mostly even outside the frames of all that is nearer.
        corners = outlines[row].points[STEPS - 1 :: 3 * STEPS]
        if not nearer or _outside_frames(corners, frames[nearer]):
            continue
        if not _inside(corners, _together([outlines[i] for i in nearer])).all():
            continue
        # The same part of the other side is most likely to cover it.
        nearer.sort(key=lambda i: names[i].rsplit("-", 1)[0] != name.rsplit("-", 1)[0])
        if _covered(outlines[row].points, [outlines[i] for i in nearer]):
            hidden.add(name)
    return hidden


def _outlines(paths: Sequence[Path]) -> tuple[list[_Edges], Points]:
    """Return each outline as polygons, all curves cut together (lines are cut like curves), and the frames (n, 4)."""
    curves: list[tuple[float, ...]] = []
    begun: list[int] = []
    parts: list[tuple[int, int]] = []
    for path in paths:
        parts.append((len(begun), len(curves)))
        pen: tuple[float, ...] = ()
        for name, values in path:
            if name == "C":
                curves.append((*pen, *values))
            elif name == "L":
                curves.append((*pen, *pen, *values, *values))
            elif name == "M":
                begun.append(len(curves))
            pen = values[-2:]
    points = (basis(STEPS) @ np.array(curves).reshape(-1, 4, 2)).reshape(-1, 2)
    firsts, starts = np.array(begun) * STEPS, np.array([start for _, start in parts]) * STEPS
    following = np.arange(1, len(points) + 1)
    following[np.append(firsts[1:], len(points)) - 1] = firsts
    run = points[following] - points
    slope = run[:, 0] / np.where(run[:, 1] == 0, 1e-12, run[:, 1])
    rows = np.array([points[:, 0], points[:, 1], points[following, 1], slope])
    frames = np.hstack([np.minimum.reduceat(points, starts), np.maximum.reduceat(points, starts)])
    ends = [*parts[1:], (len(begun), len(curves))]
    return [
        _Edges(rows[:, start * STEPS : stop * STEPS], firsts[low:high] - start * STEPS)
        for (low, start), (high, stop) in zip(parts, ends, strict=True)
    ], frames


def _together(outlines: Sequence[_Edges]) -> _Edges:
    """Return the edges of several outlines as one table."""
    shift = np.cumsum([0, *(outline.rows.shape[1] for outline in outlines[:-1])]).tolist()
    firsts = [outline.firsts + start for outline, start in zip(outlines, shift, strict=True)]
    return _Edges(np.hstack([outline.rows for outline in outlines]), np.concatenate(firsts))


def _outside_frames(points: Points, frames: Points) -> bool:
    """Whether any point (n, 2) lies outside all frames (m, 4), each grown by `EDGE`."""
    places = points[:, None]
    inside = ((places >= frames[:, :2] - EDGE) & (places <= frames[:, 2:] + EDGE)).all(axis=2)
    return not np.all(np.any(inside, axis=1))


def _covered(points: Points, outlines: Sequence[_Edges]) -> bool:
    """Whether every point (n, 2) lies inside one of the outlines."""
    for outline in outlines:
        points = points[~_inside(points, outline)]
        if not len(points):
            return True
    return False


def _inside(points: Points, edges: _Edges) -> NDArray[np.bool_]:
    """Whether points lie in one of the polygons (crossing number) or within `EDGE` of a corner."""
    x, y = points[:, :1], points[:, 1:]
    start_x, start_y, end_y, slope = edges.rows
    crossed = ((start_y > y) != (end_y > y)) & (x < start_x + (y - start_y) * slope)
    inside: NDArray[np.bool_] = np.logical_xor.reduceat(crossed, edges.firsts, axis=1).max(axis=1)
    out = np.flatnonzero(~inside)
    if len(out):
        gap = (x[out] - start_x) ** 2 + (y[out] - start_y) ** 2
        inside[out] = gap.min(axis=1) < EDGE**2
    return inside
