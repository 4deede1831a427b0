"""The outline of a limb: rings along a bone, seen from a camera, become one smooth closed path.

A part of the body is a row of ellipsoids (rings with a depth fore and aft, across and along). Seen from the side the
outline is two smooth flanks and two round caps. Seen along its length the flanks would cross, and the outline is the
convex hull of the ellipsoids' shadows instead.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from math import hypot

import numpy as np
from numpy.typing import NDArray

from limberleaf.diagrams.drawing.hull import HULL_POINTS, Hull, add_hull, hulls, shadows
from limberleaf.diagrams.scene.camera import Camera, Vec
from limberleaf.diagrams.writing.displaylist import PathBuilder, Place, Points, Run, run_of

KAPPA = 0.5523
"""Length of a cubic's handles for a quarter ellipse."""


@dataclass(frozen=True)
class Rings:
    """Ellipsoids in the world: centres (n, 3) and the three half-axes of each (n, 3, 3), rows fore, along, across."""

    centres: Vec
    axes: Vec

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
        self._around(path, run_of(self.left), run_of(self.right), self.start_reach, self.end_reach)

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
        reach = self.start_reach if cap_start else 0.0
        if edge is None:
            self._around(path, left, right, reach, 0.0)
            return
        across = _from(left[-1], run_of(edge))
        left, right = [*left[:-1], across[0]], [*right[:-1], across[-1]]
        path.move(left[0]).through(left).through(across).through(right[::-1])
        _cap(path, right[0], left[0], reach)
        path.close()

    def strip(self, path: PathBuilder, start: float, stop: float) -> None:
        """Add the piece between two places with straight sides: enough for what only covers or edges."""
        left, right = _between(self.left, start, stop), _between(self.right, start, stop)
        path.polygon([*left, *right[::-1]])

    def tail(self, path: PathBuilder, start: float, edge: Points) -> None:
        """Add the piece from a curve across the tube (at ring number `start`) to the tube's end."""
        left = _between(self.left, start, len(self.left) - 1.0)
        right = _between(self.right, start, len(self.right) - 1.0)
        across = _from(left[0], run_of(edge))[::-1]
        path.move(across[0]).through(across).through([across[-1], *left[1:]]).line(right[-1])
        path.through([*right[:0:-1], across[0]]).close()

    def _around(self, path: PathBuilder, left: Run, right: Run, start: float, end: float) -> None:
        path.move(left[0])
        path.through(left)
        _cap(path, left[-1], right[-1], end)
        path.through(right[::-1])
        _cap(path, right[0], left[0], start)
        path.close()

    @cached_property
    def run(self) -> Vec:
        """Way along the centre line (n,) up to each ring, in user units."""
        steps = np.diff(self.centres, axis=0)
        out: Vec = np.concatenate([[0.0], np.cumsum(np.hypot(steps[:, 0], steps[:, 1]))])
        return out


def _from(place: Place, run: Run) -> Run:
    """Return a run in the direction that starts nearer to a place."""
    ahead = hypot(run[0][0] - place[0], run[0][1] - place[1])
    return run if ahead < hypot(run[-1][0] - place[0], run[-1][1] - place[1]) else run[::-1]


def _cap(path: PathBuilder, start: Place, end: Place, reach: float) -> None:
    """Close one end with half an ellipse that reaches `reach` beyond the line from start to end."""
    across = (end[0] - start[0], end[1] - start[1])
    width = hypot(*across)
    if reach <= 0.05 or width < 1e-6:
        path.line(end)
        return
    # The tube runs so that, going along it, `left` is on the right hand of a y-down page: outward is this normal.
    out = (across[1] / width * reach, -across[0] / width * reach)
    tip = ((start[0] + end[0]) / 2 + out[0], (start[1] + end[1]) / 2 + out[1])
    bend, wide = (out[0] * KAPPA, out[1] * KAPPA), (across[0] / 2 * KAPPA, across[1] / 2 * KAPPA)
    path.curve((start[0] + bend[0], start[1] + bend[1]), (tip[0] - wide[0], tip[1] - wide[1]), tip)
    path.curve((tip[0] + wide[0], tip[1] + wide[1]), (end[0] + bend[0], end[1] + bend[1]), end)


def _between(points: Points, start: float, stop: float) -> Run:
    """Cut a polyline between two fractional indices."""
    run = run_of(points)
    inner = [run[i] for i in range(len(run)) if start + 0.02 < i < stop - 0.02]
    return [_at(run, start), *inner, _at(run, stop)]


def _at(run: Run, index: float) -> Place:
    """Return the place at a fractional index of a polyline."""
    low = min(max(int(index), 0), len(run) - 2)
    part = min(max(index - low, 0.0), 1.0)
    (x, y), (next_x, next_y) = run[low], run[low + 1]
    return (next_x - x) * part + x, (next_y - y) * part + y


def outline(rings: Rings, camera: Camera) -> Outline:
    """Return the outline of a tube as the camera sees it."""
    return outlines([rings], camera)[0]


@dataclass(frozen=True)
class _Layout:
    """How tubes of given sizes lie in one long table: first and last rows, neighbours, and pairs of neighbours."""

    first: NDArray[np.intp]
    last: NDArray[np.intp]
    before: NDArray[np.intp]
    after: NDArray[np.intp]
    span: Vec
    pairs: NDArray[np.intp]
    first_pair: NDArray[np.intp]


@cache
def _layout(sizes: tuple[int, ...]) -> _Layout:
    stops = np.cumsum(sizes)
    first, last = stops - np.array(sizes), stops - 1
    rows = np.arange(stops[-1])
    before, after = rows - 1, rows + 1
    before[first], after[last] = first, last
    return _Layout(
        first,
        last,
        before,
        after,
        (after - before)[:, None].astype(float),
        np.flatnonzero(after != rows),
        first - np.arange(len(sizes)),
    )


def outlines(tubes: Sequence[Rings], camera: Camera) -> list[Outline]:
    """Return the outlines of tubes as the camera sees them, worked out together: each is tiny."""
    if not tubes:
        return []
    lay = _layout(tuple(len(tube.centres) for tube in tubes))
    centres = camera.project(np.concatenate([tube.centres for tube in tubes]))
    shadow = shadows(np.concatenate([tube.axes for tube in tubes]), camera)
    tangent = (centres[lay.after] - centres[lay.before]) / lay.span
    length = np.hypot(tangent[:, 0], tangent[:, 1])
    biggest = np.maximum.reduceat(np.sqrt(shadow[:, 0, 0] + shadow[:, 1, 1]), lay.first)
    run = centres[lay.last] - centres[lay.first]
    along_eye = (np.hypot(run[:, 0], run[:, 1]) < 0.9 * biggest) | (
        np.minimum.reduceat(length, lay.first) < 1e-6
    )
    unit = tangent / np.maximum(length, 1e-6)[:, None]
    normal = np.column_stack([unit[:, 1], -unit[:, 0]])
    half = _support(shadow, normal)[:, None] * normal
    left, right = centres + half, centres - half
    ways = unit[lay.pairs + 1] + unit[lay.pairs]
    folded = _backward(left, ways, lay) | _backward(right, ways, lay)
    reach = _support(shadow, unit).tolist()
    result = []
    bounds = zip(lay.first.tolist(), lay.last.tolist(), along_eye.tolist(), folded.tolist(), strict=True)
    for start, end, seen_along, runs_back in bounds:
        rows = slice(start, end + 1)
        flanks: tuple[Points | None, Points | None] = (left[rows], right[rows])
        if runs_back and not seen_along:
            flanks = _mended(left[rows], unit[rows]), _mended(right[rows], unit[rows])
        if seen_along or flanks[0] is None or flanks[1] is None:
            result.append(_hull_outline(centres[rows], shadow[rows]))
        else:
            result.append(Outline(centres[rows], flanks[0], flanks[1], reach[start], reach[end]))
    return result


def _support(shadow: Vec, direction: Points) -> Vec:
    """Half-width of each shadow ellipse in a direction."""
    return np.asarray(np.sqrt(np.einsum("ni,nij,nj->n", direction, shadow, direction)))


def _backward(points: Points, ways: Points, lay: _Layout) -> NDArray[np.bool_]:
    """Tell of each tube whether a flank runs against its centre line somewhere."""
    steps = points[lay.pairs + 1] - points[lay.pairs]
    return np.asarray(np.logical_or.reduceat(np.einsum("ni,ni->n", steps, ways) <= 0, lay.first_pair))


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
    hull = hulls(centres, shadow, (len(centres),), (HULL_POINTS,))[0]
    return Outline(centres, hull.points[:2], hull.points[:2], 0.0, 0.0, hull=hull)
