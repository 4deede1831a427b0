"""The outline of a limb: rings along a bone, seen from a camera, become one smooth closed path.

A part of the body is a row of ellipsoids (rings with a depth fore and aft, across and along). Seen from the side the
outline is two smooth flanks and two round caps. Seen along its length the flanks would cross, and the outline is the
convex hull of the ellipsoids' shadows instead.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np
from numpy.typing import NDArray

from diagrams.camera import Camera
from diagrams.displaylist import PathBuilder, Points

Vec = NDArray[np.float64]

KAPPA = 0.5523
"""Length of a cubic's handles for a quarter ellipse."""
HULL_POINTS = 12
"""Places on a hull; with exact tangents there, 12 keep a circle round to 1/2000 of its radius."""


@dataclass(frozen=True)
class Rings:
    """Ellipsoids in the world: centres (n, 3) and the three half-axes of each (n, 3, 3), rows fore, along, across."""

    centres: Vec
    axes: Vec

    def part(self, start: int, stop: int) -> Rings:
        """Return the rings from start up to and not including stop."""
        return Rings(self.centres[start:stop], self.axes[start:stop])

    def radius(self) -> Vec:
        """Return a plain radius (n,) for each ring, the mean of fore and across, in H."""
        lengths = np.linalg.norm(self.axes, axis=2)
        return np.asarray((lengths[:, 0] + lengths[:, 2]) / 2)


@dataclass(frozen=True)
class Outline:
    """Flanks (n, 2) of a tube on paper, its centre line, and how far the caps reach."""

    centres: Points
    left: Points
    right: Points
    start_reach: float
    end_reach: float
    hull: Hull | None = None

    def whole(self, path: PathBuilder) -> None:
        """Add the closed outline, clockwise on the screen."""
        if self.hull is not None:
            add_hull(path, self.hull)
            return
        self._around(path, self.left, self.right, self.start_reach, self.end_reach)

    def piece(
        self,
        path: PathBuilder,
        start: float,
        stop: float,
        *,
        cap_start: bool = False,
        edge: Points | None = None,
    ) -> None:
        """Add the closed piece between two places of the tube (ring numbers, fractions allowed).

        `edge` is a curve across the tube that ends the piece instead of a straight cut.
        """
        left, right = _between(self.left, start, stop), _between(self.right, start, stop)
        if edge is None:
            self._around(path, left, right, self.start_reach if cap_start else 0.0, 0.0)
            return
        across = edge if np.hypot(*(edge[0] - left[-1])) < np.hypot(*(edge[-1] - left[-1])) else edge[::-1]
        left = np.vstack([left[:-1], across[:1]])
        right = np.vstack([right[:-1], across[-1:]])
        path.move(left[0]).through(left).through(across).through(right[::-1])
        _cap(path, right[0], left[0], self.start_reach if cap_start else 0.0)
        path.close()

    def strip(self, path: PathBuilder, start: float, stop: float) -> None:
        """Add the piece between two places with straight sides: enough for what only covers or edges."""
        left, right = _between(self.left, start, stop), _between(self.right, start, stop)
        path.polygon([*left, *right[::-1]])

    def tail(self, path: PathBuilder, start: float, edge: Points) -> None:
        """Add the piece from a curve across the tube (at ring number `start`) to the tube's end."""
        left = _between(self.left, start, len(self.left) - 1.0)
        right = _between(self.right, start, len(self.right) - 1.0)
        across = edge if np.hypot(*(edge[-1] - left[0])) < np.hypot(*(edge[0] - left[0])) else edge[::-1]
        path.move(across[0]).through(across).through(np.vstack([across[-1:], left[1:]])).line(right[-1])
        path.through(np.vstack([right[:0:-1], across[:1]])).close()

    def _around(self, path: PathBuilder, left: Points, right: Points, start: float, end: float) -> None:
        path.move(left[0])
        path.through(left)
        _cap(path, left[-1], right[-1], end)
        path.through(right[::-1])
        _cap(path, right[0], left[0], start)
        path.close()

    @cached_property
    def length(self) -> float:
        """Length of the centre line in user units."""
        return float(np.hypot(*np.diff(self.centres, axis=0).T).sum())


def _cap(path: PathBuilder, start: Points, end: Points, reach: float) -> None:
    """Close one end with half an ellipse that reaches `reach` beyond the line from start to end."""
    if reach <= 0.05:
        path.line(end)
        return
    across = end - start
    width = float(np.hypot(*across))
    if width < 1e-6:
        path.line(end)
        return
    # The tube runs so that, going along it, `left` is on the right hand of a y-down page: outward is this normal.
    outward = np.array([across[1], -across[0]]) / width * reach
    middle = (start + end) / 2
    tip = middle + outward
    path.curve(start + outward * KAPPA, tip - across / 2 * KAPPA, tip)
    path.curve(tip + across / 2 * KAPPA, end + outward * KAPPA, end)


def _between(points: Points, start: float, stop: float) -> Points:
    """Cut a polyline between two fractional indices."""
    index = np.arange(len(points), dtype=float)
    inner = [i for i in range(len(points)) if start + 0.02 < i < stop - 0.02]
    places = np.array([start, *inner, stop])
    return np.column_stack([np.interp(places, index, points[:, k]) for k in (0, 1)])


def outline(rings: Rings, camera: Camera) -> Outline:
    """Return the outline of a tube as the camera sees it."""
    centres = camera.project(rings.centres)
    shadow = _shadows(rings, camera)
    tangent = np.gradient(centres, axis=0)
    length = np.hypot(tangent[:, 0], tangent[:, 1])
    biggest = float(np.sqrt(shadow[:, 0, 0] + shadow[:, 1, 1]).max())
    if float(np.hypot(*(centres[-1] - centres[0]))) < 0.9 * biggest or (length < 1e-6).any():
        return _hull_outline(centres, shadow)
    unit = tangent / length[:, None]
    normal = np.column_stack([unit[:, 1], -unit[:, 0]])
    half = _support(shadow, normal)
    left, right = centres + normal * half[:, None], centres - normal * half[:, None]
    if not (_forward(left, unit) and _forward(right, unit)):
        mended_left, mended_right = _mended(left, unit), _mended(right, unit)
        if mended_left is None or mended_right is None:
            return _hull_outline(centres, shadow)
        left, right = mended_left, mended_right
    reach = _support(shadow, unit)
    return Outline(centres, left, right, float(reach[0]), float(reach[-1]))


def _support(shadow: Vec, direction: Points) -> Vec:
    """Half-width of each shadow ellipse in a direction."""
    return np.asarray(np.sqrt(np.einsum("ni,nij,nj->n", direction, shadow, direction)))


def _shadows(rings: Rings, camera: Camera) -> Vec:
    """Return the 2 x 2 shape matrix of each ellipsoid's shadow, in user units squared."""
    flat = np.stack([rings.axes @ camera.right, -(rings.axes @ camera.up)], axis=1) * camera.scale
    return np.asarray(flat @ flat.transpose(0, 2, 1))


def _forward(points: Points, unit: Points) -> bool:
    steps = np.diff(points, axis=0)
    return bool((np.einsum("ni,ni->n", steps, unit[1:] + unit[:-1]) > 0).all())


def _mended(points: Points, unit: Points) -> Points | None:
    """Pull points that run backwards on the inside of a bend to the middle of their neighbours; None if too many."""
    points = points.copy()
    for _ in range(4):
        steps = np.einsum("ni,ni->n", np.diff(points, axis=0), unit[1:] + unit[:-1])
        bad = np.flatnonzero(steps <= 0)
        if not len(bad):
            return points
        for i in bad.tolist():
            if i > 0:
                points[i] = (points[i - 1] + points[min(i + 1, len(points) - 1)]) / 2
            if i + 2 < len(points):
                points[i + 1] = (points[i] + points[i + 2]) / 2
    return None


def _hull_outline(centres: Points, shadow: Vec) -> Outline:
    hull = hull_of(centres, shadow)
    return Outline(centres, hull.points[:2], hull.points[:2], 0.0, 0.0, hull=hull)


@dataclass(frozen=True)
class Hull:
    """A smooth convex outline: places (n, 2) and the direction (radians) each faces; the tangent is square to it."""

    points: Points
    angles: Vec


@cache
def _directions(count: int) -> tuple[Vec, Points]:
    # Half a step off the axes: a sole on the floor makes all its ellipses equal exactly there. Mirrored on themselves.
    angles = (np.arange(count) + 0.5) * (2 * np.pi / count)
    return np.asarray(angles, dtype=np.float64), np.column_stack([np.cos(angles), np.sin(angles)])


@cache
def _next(count: int) -> NDArray[np.intp]:
    """Row numbers of the following row, round the end."""
    return (np.arange(count) + 1) % count


SHARES = np.linspace(0.0, 1.0, 13)


def hull_of(centres: Points, shadow: Vec, count: int = HULL_POINTS) -> Hull:
    """Return the convex hull of shadow ellipses.

    For each of `count` directions the furthest ellipse gives a place; where two neighbours lie on different ellipses
    the line that touches both is found between the two directions, so that straight stretches stay straight.
    """
    angles, way = _directions(count)
    push = shadow @ way.T  # (n, 2, count)
    reach = np.sqrt(np.maximum((push * way.T).sum(axis=1), 1e-12))
    furthest = (centres @ way.T + reach).argmax(axis=0)
    rows = np.arange(count)
    points = centres[furthest] + push[furthest, :, rows] / reach[furthest, rows][:, None]
    following = furthest[_next(count)]
    turns = np.flatnonzero(furthest != following)
    if not len(turns):
        return Hull(points, angles)
    one, two = furthest[turns], following[turns]
    # How far the second ellipse leads the first, over the turn; the lines touch both where neither leads.
    tries = angles[turns][:, None] + SHARES * (2 * np.pi / count)
    lead = _reach(centres, shadow, two, tries) - _reach(centres, shadow, one, tries)
    after = np.clip((lead > 0).argmax(axis=1), 1, len(SHARES) - 1)
    numbers = np.arange(len(turns))
    low, high = lead[numbers, after - 1], lead[numbers, after]
    share = np.clip(-low / np.where(high - low == 0, 1.0, high - low), 0.0, 1.0)
    middle = angles[turns] + (after - 1 + share) / (len(SHARES) - 1) * (2 * np.pi / count)
    places = np.concatenate([angles, middle, middle + 1e-6])
    everything = np.vstack(
        [points, _touch(centres, shadow, one, middle), _touch(centres, shadow, two, middle)]
    )
    order = np.argsort(places)
    return _distinct(everything[order], places[order])


def _distinct(points: Points, angles: Vec) -> Hull:
    """Drop places that all but coincide with the one before."""
    step = points - points[np.arange(len(points)) - 1]
    keep = np.hypot(step[:, 0], step[:, 1]) > 0.35
    return Hull(points[keep], angles[keep]) if keep.sum() > 2 else Hull(points, angles)


def _reach(centres: Points, shadow: Vec, which: NDArray[np.intp], angles: Vec) -> Vec:
    """How far ellipses reach in directions: (k,) ellipses, (k, m) angles."""
    x, y = np.cos(angles), np.sin(angles)
    xx, xy, yy = (shadow[which, i, j][:, None] for i, j in ((0, 0), (0, 1), (1, 1)))
    size = np.sqrt(np.maximum(xx * x * x + 2 * xy * x * y + yy * y * y, 1e-12))
    middle = centres[which]
    return np.asarray(middle[:, :1] * x + middle[:, 1:] * y + size)


def _touch(centres: Points, shadow: Vec, which: NDArray[np.intp], angles: Vec) -> Points:
    way = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    push = (shadow[which] @ way[:, :, None])[:, :, 0]
    size = np.sqrt(np.maximum((way * push).sum(axis=1), 1e-12))
    return np.asarray(centres[which] + push / size[:, None])


def add_hull(path: PathBuilder, hull: Hull) -> None:
    """Add a hull as a smooth closed sub-path, clockwise on the screen, with exact tangents."""
    tangent = np.stack([-np.sin(hull.angles), np.cos(hull.angles)], axis=1)
    following = _next(len(hull.angles))
    after, tangent_after = hull.points[following], tangent[following]
    step = (hull.angles[following] - hull.angles) % (2 * np.pi)
    chord = after - hull.points
    reach = (np.hypot(chord[:, 0], chord[:, 1]) / (3 * np.cos(step / 4) ** 2))[:, None]
    first, second = hull.points + tangent * reach, after - tangent_after * reach
    path.move(hull.points[0])
    path.curves(np.hstack([first, second, after]), straight=step < 1e-3)
    path.close()


def ellipsoid_hull(centres: Vec, axes: Vec, camera: Camera, count: int = HULL_POINTS) -> Hull:
    """Return the hull of ellipsoids (centres (n, 3), half-axes (n, 3, 3)) on paper."""
    return hull_of(camera.project(centres), _shadows(Rings(centres, axes), camera), count)
