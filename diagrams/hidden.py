"""Parts that nobody can see: left out, they keep files small, such as the far leg in an exact side view."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from diagrams.displaylist import Points, flatten
from diagrams.figure_shapes import BodyPart

EDGE = 1.5
"""A part counts as hidden although its edge looks out this far (units): the nearer outline is thicker."""


def covered_parts(parts: Mapping[str, BodyPart], order: Sequence[str]) -> set[str]:
    """Return the limb parts whose whole outline lies behind nearer parts. `order`: names from far to near."""
    rank = {name: i for i, name in enumerate(order)}
    polygons = {name: [points for points, _ in flatten(part.path, 4)] for name, part in parts.items()}
    lines = {name: np.vstack(rows) for name, rows in polygons.items()}
    low = {name: points.min(axis=0) for name, points in lines.items()}
    high = {name: points.max(axis=0) for name, points in lines.items()}
    hidden: set[str] = set()
    for name, part in parts.items():
        if part.side is None:
            continue
        nearer = [
            polygon
            for other in parts
            if rank[other] > rank[name] and other not in hidden
            if (low[other] <= high[name]).all() and (high[other] >= low[name]).all()
            for polygon in polygons[other]
        ]
        # A few places first: nearly always one of them is seen.
        if not _left_over(lines[name][::9], nearer) and not _left_over(lines[name], nearer):
            hidden.add(name)
    return hidden


def _left_over(points: Points, polygons: Sequence[Points]) -> bool:
    """Whether any point lies outside all polygons."""
    for polygon in polygons:
        points = points[~_inside(points, polygon)]
        if not len(points):
            return False
    return True


def _inside(points: Points, polygon: Points) -> NDArray[np.bool_]:
    """Whether points lie in a polygon (crossing number) or within `EDGE` of its edge."""
    start, end = polygon, np.concatenate([polygon[1:], polygon[:1]])
    above = (start[None, :, 1] > points[:, None, 1]) != (end[None, :, 1] > points[:, None, 1])
    rise = np.where(end[:, 1] == start[:, 1], 1e-12, end[:, 1] - start[:, 1])
    crossing = start[:, 0] + (points[:, None, 1] - start[:, 1]) / rise * (end[:, 0] - start[:, 0])
    inside = (above & (points[:, None, 0] < crossing)).sum(axis=1) % 2 == 1
    near = ((points[:, None, :] - polygon[None, :, :]) ** 2).sum(axis=2).min(axis=1) < EDGE**2
    return np.asarray(inside | near)
