"""What holds the body up, and how far inside it the mass centre lies.

The support is the outline, seen from above, of every point that rests on the floor or on a prop that carries weight,
and of a hand that leans on a wall or a worktop. Published margins: see `checks.py`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from limberleaf.diagrams.body.skeleton import Array, Vec3
from limberleaf.diagrams.body.vectors import norm

# Half widths of what rests on the ground (ANSUR II: foot breadth 0.058, heel 0.041; hand 0.05), H.
BREADTH: Mapping[str, float] = {
    "foot": 0.024,
    "toes": 0.024,
    "hand": 0.020,
    "fingers": 0.015,
    "shank": 0.025,
    "thigh": 0.04,
    "head": 0.03,
    "pelvis": 0.09,
    "lumbar": 0.08,
    "thorax_mid": 0.08,
}


def spread(point: Vec3, segment: str, across: Vec3) -> tuple[Vec3, Vec3]:
    """Return both edges of what rests at a point: the segment's half width to either side."""
    half = BREADTH.get(segment.removesuffix("_left").removesuffix("_right"), 0.0) * across
    return point - half, point + half


def edges(polygon: Sequence[Vec3], inset: float) -> tuple[Array, Array]:
    """Return inward normals (k, 2) and values (k,) so that `normal . (x, z) >= value` keeps a spot inside.

    The spot stays `inset` (H) from every edge, or nearly half way to the middle where the outline is thinner.
    """
    flat = np.array([[p[0], p[2]] for p in polygon])
    middle = flat.mean(axis=0)
    along = np.roll(flat, -1, axis=0) - flat
    inward = np.column_stack([-along[:, 1], along[:, 0]])
    inward /= np.maximum(np.linalg.norm(inward, axis=1), 1e-12)[:, None]
    depth = ((middle - flat) * inward).sum(axis=1)
    inward[depth < 0] *= -1
    value = (inward * flat).sum(axis=1) + min(inset, 0.45 * float(np.abs(depth).min()))
    return inward, value


def outline(points: Sequence[Vec3]) -> tuple[Vec3, ...]:
    """Return the convex outline, seen from above, in order (Andrew's monotone chain); heights kept."""
    rows = sorted({(round(float(p[0]), 6), round(float(p[2]), 6)): p for p in points}.items())
    if len(rows) < 3:
        return tuple(p for _, p in rows)
    lower = _chain(rows)
    upper = _chain(rows[::-1])
    return tuple(p for _, p in lower[:-1] + upper[:-1])


def _chain(rows: list[tuple[tuple[float, float], Vec3]]) -> list[tuple[tuple[float, float], Vec3]]:
    out: list[tuple[tuple[float, float], Vec3]] = []
    for row in rows:
        while len(out) > 1 and _turn(out[-2][0], out[-1][0], row[0]) <= 0:
            out.pop()
        out.append(row)
    return out


def _turn(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def margin(polygon: Sequence[Vec3], centre: Vec3) -> float | None:
    """Return how far (H) a mass centre lies inside an outline, negative outside, None without a support."""
    if not polygon:
        return None
    apart = norm(to_edge(polygon, centre))
    spot = (float(centre[0]), float(centre[2]))
    turns = [_turn(one, two, spot) for one, two in _sides(polygon)]
    within = len(polygon) > 2 and (min(turns) >= -1e-12 or max(turns) <= 1e-12)
    return apart if within else -apart


def to_edge(polygon: Sequence[Vec3], centre: Vec3) -> Vec3:
    """Return the level way (H) from a mass centre to the nearest spot of an outline, which may be a point."""
    x, z = float(centre[0]), float(centre[2])
    ways: list[tuple[float, float]] = []
    for (ax, az), (bx, bz) in _sides(polygon):
        dx, dz = bx - ax, bz - az
        share = ((x - ax) * dx + (z - az) * dz) / max(dx * dx + dz * dz, 1e-12)
        share = min(max(share, 0.0), 1.0)
        ways.append((ax + share * dx - x, az + share * dz - z))
    east, south = min(ways, key=lambda way: way[0] * way[0] + way[1] * way[1])
    return np.array([east, 0.0, south])


def _sides(polygon: Sequence[Vec3]) -> Iterator[tuple[tuple[float, float], tuple[float, float]]]:
    """Yield the ends (x, z) of every side of an outline, round to the first corner again."""
    flat = [(float(p[0]), float(p[2])) for p in polygon]
    yield from zip(flat, [*flat[1:], flat[0]], strict=True)
