"""Parts that nobody can see: left out, they keep files small, such as the far leg in an exact side view."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from diagrams.displaylist import Box, Paint, Points, Shape, bounds, flatten
from diagrams.figure_shapes import BodyPart

EDGE = 1.5
"""A part counts as hidden although its edge looks out this far (units): the nearer outline is thicker."""


def covered_parts(parts: Mapping[str, BodyPart], order: Sequence[str]) -> set[str]:
    """Return the limb parts whose whole outline lies behind nearer parts. `order`: names from far to near."""
    rank = {name: i for i, name in enumerate(order)}
    boxes = {name: bounds([Shape(part.path, Paint())]) for name, part in parts.items()}
    polygons: dict[str, list[Points]] = {}

    def lines(name: str) -> list[Points]:
        if name not in polygons:
            polygons[name] = [points for points, _ in flatten(parts[name].path, 4)]
        return polygons[name]

    hidden: set[str] = set()
    for name, part in parts.items():
        nearer = [other for other in parts if rank[other] > rank[name] and other not in hidden]
        nearer = [other for other in nearer if _overlap(boxes[other], boxes[name])]
        if part.side is None or not _inside_boxes(boxes[name], [boxes[other] for other in nearer]):
            continue
        cover = [polygon for other in nearer for polygon in lines(other)]
        points = np.vstack(lines(name))
        # A few places first: nearly always one of them is seen.
        if not _left_over(points[::9], cover) and not _left_over(points, cover):
            hidden.add(name)
    return hidden


def _overlap(one: Box, two: Box) -> bool:
    return one.left <= two.right and one.right >= two.left and one.top <= two.bottom and one.bottom >= two.top


def _inside_boxes(box: Box, others: list[Box]) -> bool:
    """Whether the others' boxes together reach as far as a box on every side."""
    return bool(others) and (
        min(o.left for o in others) <= box.left + EDGE
        and max(o.right for o in others) >= box.right - EDGE
        and min(o.top for o in others) <= box.top + EDGE
        and max(o.bottom for o in others) >= box.bottom - EDGE
    )


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
