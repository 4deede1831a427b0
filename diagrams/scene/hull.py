"""The convex outline round a few ellipsoids on paper: heads, feet, balls, and limbs seen along their length.

All the ellipsoids that share a picture are worked out together, because the arrays are tiny and the calls are not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from limberleaf.diagrams.picture.displaylist import PathBuilder, Points
from limberleaf.diagrams.scene.camera import Camera, Vec

Rows = NDArray[np.intp]

HULL_POINTS = 12
"""Places on a hull; with exact tangents there, 12 keep a circle round to 1/2000 of its radius."""
LEAST_STEP = 0.35
"""Places nearer to the one before than this (units) are dropped."""
SHARES = np.linspace(0.0, 1.0, 13)


@dataclass(frozen=True)
class Blob:
    """Ellipsoids in the world that share one outline: centres (n, 3), half-axes (n, 3, 3), places on the outline."""

    centres: Vec
    axes: Vec
    places: int = HULL_POINTS


@dataclass(frozen=True)
class Hull:
    """A smooth convex outline: places (n, 2), and the cubic (n, 6) from each to the next; `straight` ones are lines."""

    points: Points
    curves: Points
    straight: NDArray[np.bool_]


def add_hull(path: PathBuilder, hull: Hull) -> None:
    """Add a hull as a smooth closed sub-path, clockwise on the screen, with exact tangents."""
    path.move(hull.points[0])
    path.curves(hull.curves, hull.straight)
    path.close()


def shadows(axes: Vec, camera: Camera) -> Vec:
    """Return the 2 x 2 shape matrix of each ellipsoid's shadow (n, 2, 2), in user units squared; axes (n, 3, 3)."""
    flat = np.stack([axes @ camera.right, -(axes @ camera.up)], axis=1) * camera.scale
    return np.asarray(flat @ flat.transpose(0, 2, 1))


def blob_hulls(blobs: Sequence[Blob], camera: Camera) -> list[Hull]:
    """Return the outline of each blob on paper, in the order given."""
    if not blobs:
        return []
    centres = camera.project(np.concatenate([blob.centres for blob in blobs]))
    shadow = shadows(np.concatenate([blob.axes for blob in blobs]), camera)
    return hulls(
        centres, shadow, tuple(len(blob.centres) for blob in blobs), tuple(blob.places for blob in blobs)
    )


@dataclass(frozen=True)
class _Sweep:
    """The directions in which shapes are asked how far they reach, one row each, all shapes in one table.

    `owner`: the shape (r,). `members`: row numbers of its ellipses (r, most); a shape with fewer names its last one
    again. `angle` and `way` (r, 2): the direction. `span`: the turn to the next one. `following`: the next row.
    """

    owner: Rows
    members: Rows
    angle: Vec
    way: Points
    span: Vec
    following: Rows


@lru_cache(maxsize=256)
def _sweep(sizes: tuple[int, ...], counts: tuple[int, ...]) -> _Sweep:
    starts = np.cumsum([0, *sizes[:-1]])
    within = np.minimum(np.arange(max(sizes))[None, :], np.array(sizes)[:, None] - 1)
    owner = np.repeat(np.arange(len(sizes)), counts)
    span = 2 * np.pi / np.array(counts)[owner]
    # Half a step off the axes: a sole on the floor makes all its ellipses equal exactly there. Mirrored on themselves.
    angle = (np.concatenate([np.arange(count) for count in counts]) + 0.5) * span
    way = np.column_stack([np.cos(angle), np.sin(angle)])
    return _Sweep(owner, (starts[:, None] + within)[owner], angle, way, span, _neighbour(owner, 1))


def hulls(centres: Points, shadow: Vec, sizes: tuple[int, ...], counts: tuple[int, ...]) -> list[Hull]:
    """Return the convex hulls of several groups of shadow ellipses, (k, 2) and (k, 2, 2), `sizes` of each group.

    For each of a group's directions (`counts`) the furthest ellipse gives a place; where two neighbours lie on
    different ellipses the line that touches both is found between them, so that straight stretches stay straight.
    """
    sweep = _sweep(sizes, counts)
    x, y = sweep.way[:, :1], sweep.way[:, 1:]
    xx, xy, yy = (shadow[:, i, j][sweep.members] for i, j in ((0, 0), (0, 1), (1, 1)))
    push_x, push_y = xx * x + xy * y, xy * x + yy * y
    reach = np.sqrt(np.maximum(push_x * x + push_y * y, 1e-12))
    support = centres[:, 0][sweep.members] * x + centres[:, 1][sweep.members] * y + reach
    rows, best = np.arange(len(support)), support.argmax(axis=1)
    furthest = sweep.members[rows, best]
    push = np.column_stack([push_x[rows, best], push_y[rows, best]]) / reach[rows, best, None]
    turn = np.flatnonzero(furthest != furthest[sweep.following])
    one, two = furthest[turn], furthest[sweep.following[turn]]
    middle = _common_tangent(centres, shadow, one, two, sweep.angle[turn], sweep.span[turn])
    ends = [_touch(centres, shadow, which, middle) for which in (one, two)]
    points = np.concatenate([centres[furthest] + push, *ends])
    angles = np.concatenate([sweep.angle, middle, middle + 1e-6])
    owner = np.concatenate([sweep.owner, sweep.owner[turn], sweep.owner[turn]])
    order = np.lexsort((angles, owner))
    cornered = np.zeros(len(sizes), dtype=bool)
    cornered[sweep.owner[turn]] = True
    return _smooth(points[order], angles[order], owner[order], cornered)


def _common_tangent(centres: Points, shadow: Vec, one: Rows, two: Rows, start: Vec, span: Vec) -> Vec:
    """Return the directions (k,), within `span` after `start`, in which ellipses `one` and `two` reach equally far."""
    tries = start[:, None] + SHARES * span[:, None]
    # How far the second ellipse leads the first, over the turn; the lines touch both where neither leads.
    lead = _reach(centres, shadow, two, tries) - _reach(centres, shadow, one, tries)
    after = np.clip((lead > 0).argmax(axis=1), 1, len(SHARES) - 1)
    numbers = np.arange(len(after))
    low, high = lead[numbers, after - 1], lead[numbers, after]
    share = np.clip(-low / np.where(high - low == 0, 1.0, high - low), 0.0, 1.0)
    return np.asarray(start + (after - 1 + share) / (len(SHARES) - 1) * span)


def _smooth(points: Points, angles: Vec, owner: Rows, cornered: NDArray[np.bool_]) -> list[Hull]:
    """Join places (k, 2), sorted by shape and direction, with cubics; in `cornered` shapes near places are merged."""
    step = points - points[_neighbour(owner, -1)]
    keep = (np.hypot(step[:, 0], step[:, 1]) > LEAST_STEP) | ~cornered[owner]
    keep |= np.bincount(owner, weights=keep, minlength=len(cornered))[owner] <= 2
    points, angles, owner = points[keep], angles[keep], owner[keep]
    tangent = np.stack([-np.sin(angles), np.cos(angles)], axis=1)
    following = _neighbour(owner, 1)
    after, tangent_after = points[following], tangent[following]
    turn = (angles[following] - angles) % (2 * np.pi)
    chord = after - points
    reach = (np.hypot(chord[:, 0], chord[:, 1]) / (3 * np.cos(turn / 4) ** 2))[:, None]
    curves = np.hstack([points + tangent * reach, after - tangent_after * reach, after])
    straight = turn < 1e-3
    stops = np.cumsum(np.bincount(owner, minlength=len(cornered))).tolist()
    return [
        Hull(points[start:stop], curves[start:stop], straight[start:stop])
        for start, stop in zip([0, *stops[:-1]], stops, strict=True)
    ]


def _neighbour(owner: Rows, step: int) -> Rows:
    """Return the row before (-1) or after (1) each row, round the end of its own shape; owners are sorted."""
    rows = np.arange(len(owner)) + step
    counts = np.bincount(owner)
    stops = np.cumsum(counts)
    if step < 0:
        rows[stops - counts] = stops - 1
    else:
        rows[stops - 1] = stops - counts
    return np.asarray(rows)


def _reach(centres: Points, shadow: Vec, which: Rows, angles: Vec) -> Vec:
    """How far ellipses reach in directions: (k,) ellipses, (k, m) angles."""
    x, y = np.cos(angles), np.sin(angles)
    xx, xy, yy = (shadow[which, i, j][:, None] for i, j in ((0, 0), (0, 1), (1, 1)))
    size = np.sqrt(np.maximum(xx * x * x + 2 * xy * x * y + yy * y * y, 1e-12))
    middle = centres[which]
    return np.asarray(middle[:, :1] * x + middle[:, 1:] * y + size)


def _touch(centres: Points, shadow: Vec, which: Rows, angles: Vec) -> Points:
    """Return the places (k, 2) where ellipses are touched by lines square to directions (k,)."""
    way = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    push = (shadow[which] @ way[:, :, None])[:, :, 0]
    size = np.sqrt(np.maximum((way * push).sum(axis=1), 1e-12))
    return np.asarray(centres[which] + push / size[:, None])
