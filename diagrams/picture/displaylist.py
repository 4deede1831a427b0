"""The display list: what a picture is made of before anything is written.

Drawing code builds paths with `PathBuilder`, gives each a `Paint`, and gathers the `Shape`s of one panel in a
`Picture`, far to near. Only then do writers turn the very same list into SVG (`svg.py`) or pixels (`raster.py`).
Coordinates are user units, x to the right and y DOWN, as in SVG.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from itertools import chain, groupby, pairwise
from math import ceil, floor, hypot
from operator import itemgetter

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
Place = Sequence[float]
"""One place on paper: x and y."""
Run = list[Place]
"""A polyline of places, as plain numbers: arithmetic on four or five of them is quicker without arrays."""
Command = tuple[str, tuple[float, ...]]
"""One path command: M x y, L x y, C x1 y1 x2 y2 x y, A r large sweep x y (circular), Z."""

CURVE_STEPS = 10
"""Straight pieces a cubic is cut into for pixels; at 300 units a body the error stays under 0.05 unit."""


@dataclass(frozen=True, slots=True)
class Paint:
    """How a shape is painted. `outside` strokes first and fills over it, so that only the outer half shows.

    `outside` is what lets overlapping sub-paths read as one outline: the fill hides every inner stroke.
    """

    fill: str | None = None
    stroke: str | None = None
    width: float = 0.0
    outside: bool = False
    cap: str = "round"
    dash: tuple[float, ...] = ()
    even_odd: bool = False
    """Whether sub-paths inside others are holes."""


@dataclass(frozen=True, slots=True)
class Shape:
    """One painted path with the part it shows.

    `part` is the stable name of a body segment, prop or mark (used for ids); `role` says what kind it is:
    "body", "affected", "detail", "line", "ghost", "prop", "floor", "mark".
    """

    path: tuple[Command, ...]
    paint: Paint
    part: str = ""
    role: str = "body"


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle in user units."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        """Width in user units."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Height in user units."""
        return self.bottom - self.top

    def grown(self, margin: float) -> Box:
        """Return the box with a margin added on every side."""
        return Box(self.left - margin, self.top - margin, self.right + margin, self.bottom + margin)

    def whole(self) -> Box:
        """Return the box widened to whole units, so that every writer places it alike."""
        return Box(floor(self.left), floor(self.top), ceil(self.right), ceil(self.bottom))

    def union(self, other: Box) -> Box:
        """Return the smallest box that holds both."""
        return Box(
            min(self.left, other.left),
            min(self.top, other.top),
            max(self.right, other.right),
            max(self.bottom, other.bottom),
        )


@dataclass(frozen=True, slots=True)
class Picture:
    """One panel: its frame, its shapes, painted in order, and enlarged parts shown in boxes on top.

    An inset is a picture of its own, cut off at its frame and fitted into the box.
    """

    frame: Box
    shapes: tuple[Shape, ...] = field(default_factory=tuple)
    insets: tuple[tuple[Box, Picture], ...] = ()

    def with_frame(self, frame: Box) -> Picture:
        """Return the same picture in another frame."""
        return replace(self, frame=frame)


class PathBuilder:
    """Builds one path, command by command."""

    def __init__(self) -> None:
        self._commands: list[Command] = []

    def move(self, point: Place | Points) -> PathBuilder:
        """Start a new sub-path."""
        self._commands.append(("M", (float(point[0]), float(point[1]))))
        return self

    def line(self, point: Place | Points) -> PathBuilder:
        """Draw a straight line."""
        self._commands.append(("L", (float(point[0]), float(point[1]))))
        return self

    def arc(
        self, radius: float, point: Sequence[float] | Points, *, sweep: bool, large: bool = False
    ) -> PathBuilder:
        """Draw a circular arc; `sweep` as in SVG (clockwise on the screen)."""
        self._commands.append(
            ("A", (float(radius), float(large), float(sweep), float(point[0]), float(point[1])))
        )
        return self

    def through(self, points: Run | Points, *, tension: float = 1.0) -> PathBuilder:
        """Continue smoothly (Catmull-Rom, centripetal-like clamping) through points; the pen is at points[0]."""
        self._commands.extend(("C", row) for row in smooth_curves(run_of(points), tension=tension))
        return self

    def curves(self, rows: Points, straight: NDArray[np.bool_] | None = None) -> PathBuilder:
        """Draw cubics from rows (n, 6) of two control points and an end; `straight` rows become lines."""
        if straight is None or not straight.any():
            self._commands.extend(("C", tuple(row)) for row in rows.tolist())
        else:
            for row, is_line in zip(rows.tolist(), straight.tolist(), strict=True):
                self._commands.append(("L", tuple(row[4:])) if is_line else ("C", tuple(row)))
        return self

    def loop(self, points: Points) -> PathBuilder:
        """Add a smooth closed sub-path through points."""
        run = run_of(points)
        self.move(run[0])
        self._commands.extend(("C", row) for row in smooth_curves(run, closed=True))
        return self.close()

    def polygon(self, points: Iterable[Sequence[float] | Points]) -> PathBuilder:
        """Add a closed sub-path with straight sides."""
        for index, point in enumerate(points):
            if index:
                self.line(point)
            else:
                self.move(point)
        return self.close()

    def circle(self, centre: Sequence[float] | Points, radius: float) -> PathBuilder:
        """Add a full circle as two arcs, clockwise on the screen."""
        x, y = float(centre[0]), float(centre[1])
        self.move((x - radius, y)).arc(radius, (x + radius, y), sweep=True)
        return self.arc(radius, (x - radius, y), sweep=True).close()

    def close(self) -> PathBuilder:
        """Close the current sub-path."""
        self._commands.append(("Z", ()))
        return self

    def done(self) -> tuple[Command, ...]:
        """Return the finished path."""
        return tuple(self._commands)


def run_of(points: Run | Points) -> Run:
    """Return points (n, 2) as plain numbers."""
    return points.tolist() if isinstance(points, np.ndarray) else points


def smooth_curves(
    run: Run, *, closed: bool = False, tension: float = 1.0
) -> list[tuple[float, float, float, float, float, float]]:
    """Return the cubics of a smooth curve through points: two control points and the end of each piece.

    Catmull-Rom tangents, their length limited by the chord itself so that close points never loop.
    """
    before = [run[-1] if closed else run[0], *run[:-1]]
    after = [*run[1:], run[0] if closed else run[-1]]
    units = []
    for (x0, y0), (x1, y1) in zip(before, after, strict=True):
        length = hypot(x1 - x0, y1 - y0) or 1.0
        units.append(((x1 - x0) / length, (y1 - y0) / length))
    if closed:
        units.append(units[0])
    rows = []
    ends = after if closed else after[:-1]
    for (x, y), (end_x, end_y), (ux, uy), (vx, vy) in zip(run, ends, units, units[1:], strict=False):
        reach = hypot(end_x - x, end_y - y) * (tension / 3.0)
        rows.append((x + ux * reach, y + uy * reach, end_x - vx * reach, end_y - vy * reach, end_x, end_y))
    return rows


def flatten(path: Sequence[Command], steps: int = CURVE_STEPS) -> list[tuple[Points, bool]]:
    """Return the sub-paths as polylines with a flag for "closed"; a curve is cut into `steps` pieces."""
    result: list[tuple[Points, bool]] = []
    current: list[Points] = []
    pen: Place = (0.0, 0.0)

    def finish(*, closed: bool) -> None:
        if closed or sum(map(len, current)) > 1:
            result.append((np.concatenate(current), closed))

    for name, group in groupby(path, key=itemgetter(0)):
        rows = [values for _, values in group]
        if name == "M":
            finish(closed=False)
            current = [np.array(rows[-1:])]
        elif name == "L":
            current.append(np.array(rows))
        elif name == "C":
            curves = np.array([(*a[-2:], *b) for a, b in pairwise([pen, *rows])]).reshape(-1, 4, 2)
            current.append((basis(steps) @ curves).reshape(-1, 2))
        elif name == "A":
            for start, row in pairwise([pen, *rows]):
                current += _arc(np.array(start[-2:]), row)
        else:
            finish(closed=True)
            pen = current[0][0].tolist()
            current = [current[0][:1]]
            continue
        pen = rows[-1][-2:]
    finish(closed=False)
    return result


@cache
def basis(steps: int) -> Points:
    """Bernstein weights (steps, 4) of a cubic's points, its start left out."""
    t = np.linspace(0.0, 1.0, steps + 1)[1:, None]
    return np.hstack([(1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3])


def _arc(start: Points, values: Sequence[float]) -> list[Points]:
    """Cut a circular arc into straight pieces, (n, 2) in a list (SVG 2 appendix B.2.4, for rx = ry)."""
    radius, large, sweep = values[:3]
    end = np.array(values[3:])
    half = (end - start) / 2
    chord = float(np.hypot(*half))
    if chord == 0:
        return []
    radius = max(radius, chord)
    offset = np.sqrt(max(radius**2 - chord**2, 0.0))
    normal = np.array([-half[1], half[0]]) / chord
    sign = 1.0 if bool(large) != bool(sweep) else -1.0
    centre = start + half - sign * normal * offset
    first = np.arctan2(*(start - centre)[::-1])
    last = np.arctan2(*(end - centre)[::-1])
    turn = (last - first) % (2 * np.pi)
    if not sweep:
        turn -= 2 * np.pi
    steps = max(2, int(abs(turn) / 0.2) + 1)
    angles = first + turn * np.linspace(0, 1, steps + 1)[1:]
    points = centre + radius * np.column_stack([np.cos(angles), np.sin(angles)])
    points[-1] = end
    return [points]


def bounds(shapes: Iterable[Shape]) -> Box:
    """Return a box around shapes, strokes counted; curves count with their control points, so it is never too small."""
    boxes = []
    for shape in shapes:
        paint = shape.paint
        grow = paint.width * (1.0 if paint.outside else 0.5) if paint.stroke else 0.0
        rows = [_reaches(values) if name == "A" else values for name, values in shape.path]
        flat = list(chain.from_iterable(rows))
        if flat:
            xs, ys = flat[::2], flat[1::2]
            boxes.append((min(xs) - grow, min(ys) - grow, max(xs) + grow, max(ys) + grow))
    if not boxes:
        return Box(0, 0, 1, 1)
    lefts, tops, rights, bottoms = zip(*boxes, strict=True)
    return Box(min(lefts), min(tops), max(rights), max(bottoms))


def _reaches(arc: tuple[float, ...]) -> tuple[float, ...]:
    """Return places as high and low as an arc gets; arcs are halves of circles that begin and end level."""
    radius, _, _, x, y = arc
    return x, y - radius, x, y + radius
