"""Closed grids of points: tubes, balls and slabs, of which the body's surface is made.

A grid is an array (rings, places, 3): rings one behind the other, each with the same number of places around it.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray

from limberleaf.diagrams.body.skeleton import Array

AROUND = 16
"""Places round a ring of a limb or the trunk; fingers have fewer."""
FINE_AROUND = 10


@cache
def turns(places: int) -> tuple[Array, Array]:
    """Return cosines and sines (places,) once round, rounded alike on every machine."""
    angle = np.linspace(0.0, 2 * np.pi, places, endpoint=False)
    both = np.round(np.array([np.cos(angle), np.sin(angle)], dtype=np.float64), 12)
    return both[0], both[1]


def power(value: Array, n: float) -> Array:
    """Return the signed power that makes a super-ellipse of order `n` out of a circle; 2 leaves it round."""
    out: Array = np.sign(value) * np.abs(value) ** (2.0 / n)
    return out


def rings(
    centre: Array, fore: tuple[Array, Array] | Array, across: Array, n: float = 2.0, places: int = AROUND
) -> Array:
    """Return level rings round centres (r, 3): half sizes forwards (or a pair: back, front) and across, each (r,)."""
    back, front = fore if isinstance(fore, tuple) else (fore, fore)
    cosine, sine = turns(places)
    c, s = power(cosine, n), power(sine, n)
    x = np.where(c > 0, front[:, None] * c, back[:, None] * c)
    out: Array = centre[:, None] + np.stack([x, np.zeros_like(x), across[:, None] * s], axis=2)
    return out


def resampled(table: Sequence[Sequence[float]] | Array, count: int) -> Array:
    """Return the rows of a table at `count` even places of its first column, by smooth cubics."""
    rows = np.asarray(table, dtype=float)
    at = np.linspace(rows[0, 0], rows[-1, 0], count)
    columns = [at]
    i = np.clip(np.searchsorted(rows[:, 0], at) - 1, 0, len(rows) - 2)
    h = rows[i + 1, 0] - rows[i, 0]
    t = (at - rows[i, 0]) / h
    for column in rows.T[1:]:
        slope = np.gradient(column, rows[:, 0])
        columns.append(
            (2 * t**3 - 3 * t**2 + 1) * column[i]
            + (t**3 - 2 * t**2 + t) * h * slope[i]
            + (-2 * t**3 + 3 * t**2) * column[i + 1]
            + (t**3 - t**2) * h * slope[i + 1]
        )
    return np.column_stack(columns)


def capped(points: Array, start: float = 1.0, end: float = 1.0, steps: int = 4) -> Array:
    """Close a tube (r, a, 3) with round ends; their length is given over the ring's mean radius, 0 makes them flat."""
    axis = points[-1].mean(axis=0) - points[0].mean(axis=0)
    axis = axis / np.linalg.norm(axis)
    return np.concatenate(
        [_cap(points[0], -axis, start, steps), points, _cap(points[-1], axis, end, steps)[::-1]]
    )


def _cap(ring: Array, way: Array, share: float, steps: int) -> Array:
    centre = ring.mean(axis=0)
    if not share:
        return np.stack([np.repeat(centre[None], len(ring), 0), ring])
    radius = np.linalg.norm(ring - centre, axis=1).mean()
    angles = np.radians(np.linspace(90, 90 / steps, steps))
    return np.stack([centre + (ring - centre) * np.cos(a) + way * radius * share * np.sin(a) for a in angles])


def tube(
    start: Array,
    end: Array,
    radii: Sequence[float],
    *,
    flat: tuple[float, float] = (1.0, 1.0),
    count: int = 7,
    normal: Sequence[float] = (1.0, 0.0, 0.0),
    steps: int = 4,
    places: int = AROUND,
) -> Array:
    """Return a closed tube with `radii` along it; `flat` scales sections towards `normal` and square to it."""
    way = (end - start) / np.linalg.norm(end - start)
    one = np.asarray(normal, dtype=float)
    one = one - (one @ way) * way
    one = one / np.linalg.norm(one)
    two = np.cross(way, one)
    share = np.linspace(0, 1, count)
    r = np.interp(share, np.linspace(0, 1, len(radii)), radii)[:, None, None]
    cosine, sine = turns(places)
    ring = cosine[:, None] * one * flat[0] + sine[:, None] * two * flat[1]
    centre = start + (end - start) * share[:, None]
    return capped(centre[:, None] + r * ring, steps=steps)


def ball(centre: Array, axes: Sequence[float], count: int = 9, places: int = AROUND) -> Array:
    """Return an ellipsoid with its poles on the upright axis."""
    height = np.radians(np.linspace(-90, 90, count))
    cosine, sine = turns(places)
    ring = np.stack(
        [
            np.cos(height)[:, None] * cosine * axes[0],
            np.repeat(np.sin(height)[:, None], places, 1) * axes[1],
            np.cos(height)[:, None] * sine * axes[2],
        ],
        axis=2,
    )
    out: Array = centre + ring
    return out


def slabs(table: Sequence[Sequence[float]], origin: Array, out: float, count: int, n: float = 2.7) -> Array:
    """Return a closed row of upright slices (forward, top, bottom, half width, outward shift), as a foot is made of."""
    x, top, low, wide, z = resampled(table, count).T
    cosine, sine = turns(AROUND)
    c, s = power(cosine, n), power(sine, n)
    y = ((top + low) / 2)[:, None] + ((top - low) / 2)[:, None] * c
    points = np.stack([np.repeat(x[:, None], AROUND, 1), y, z[:, None] * out + wide[:, None] * s], axis=2)
    ends = [np.repeat(points[i].mean(axis=0, keepdims=True), AROUND, 0)[None] for i in (0, -1)]
    whole: Array = origin + np.concatenate([ends[0], points, ends[1]])
    return whole


def volume(points: Array, quads: NDArray[np.int64]) -> float:
    """Return six times the signed volume of a closed grid: positive when its quads are seen from outside."""
    middle = points.mean(axis=0)
    a, b, c, d = (points[quads[:, k]] - middle for k in range(4))
    return float((np.cross(c - a, d - b) * (a + b + c + d)).sum())
