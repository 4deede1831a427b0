"""An arrow on paper: where it runs so that it covers nothing, its shaft and its heads."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from limberleaf.diagrams.drawing.panel import Panel
from limberleaf.diagrams.picture.displaylist import Paint, PathBuilder, Points, Shape
from limberleaf.diagrams.picture.style import Style

SHAFT, HEAD, WIDE, EDGE = 5.0, 15.0, 17.0, 2.6
"""Width of the shaft, length and width of a head, and the light edge round both (units)."""
SECOND = 0.72
"""The size of the arrow of what moves second, over that of the first."""
LEAST_WAY = 14.0
SHORT = 42.0
"""Length of the arrow of a way too short to carry one."""
PRESS_BAR = 24.0
"""Length of the bar that a press presses on (units)."""
STRAIGHT = 0.97
"""A path this straight (chord over length), and shorter than that, is shown by such an arrow beside it."""
GROW = 5.0
PLACES, SHAFT_PLACES = 9, 5
"""Places of an arrow's way where it is laid, and of its shaft as it is drawn: a smooth arc needs no more."""
CROWDED = 18.0
"""Units between two arrows below which they run into each other."""


def on_body(line: Points, panel: Panel) -> float:
    """Return the share of an arrow, with its breadth, that lies on the body."""
    height, width = panel.b.z.shape
    hit = 0
    for aside in np.array([(0.0, 0.0), (GROW, 0.0), (-GROW, 0.0), (0.0, GROW), (0.0, -GROW)]):
        pixel = panel.b.pixels(line + aside)
        inside = (pixel >= 0).all(axis=1) & (pixel[:, 0] < width) & (pixel[:, 1] < height)
        hit += int(panel.body[pixel[inside, 1], pixel[inside, 0]].sum())
    return hit / (5 * len(line))


def spread(path: Points, start: float, end: float, count: int = PLACES) -> Points:
    """Return `count` even places of a polyline, `start` and `end` units cut off."""
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])
    wanted = np.linspace(start, max(float(run[-1]) - end, start + 1e-6), count)
    return np.column_stack([np.interp(wanted, run, path[:, k]) for k in (0, 1)])


def place_arrow(
    path: Points,
    gap: float,
    panel: Panel,
    before: Panel,
    floor: float = np.inf,
    taken: Sequence[Points] = (),
) -> Points:
    """Return an arrow from a part's old place to its new one, moved aside so that it runs along the limb and not on it.

    `gap`: half thickness of the part in units; `floor`: height on paper below which no arrow is drawn; `taken`: arrows
    that are drawn already.
    """
    length = float(np.hypot(*np.diff(path, axis=0).T).sum())
    chord = float(np.hypot(*(path[-1] - path[0])))
    if length >= (SHORT if chord > STRAIGHT * length else LEAST_WAY + 8):
        return _along_the_way(path, gap, length, (panel, before), floor, taken)
    return _short_arrow(path, gap, panel, floor, taken)


def crowded(line: Points, taken: Sequence[Points]) -> float:
    """Return the share of an arrow that runs into others."""
    if not taken:
        return 0.0
    others = np.concatenate(taken)
    apart = np.hypot(*(line[:, None] - others[None]).transpose(2, 0, 1)).min(axis=1)
    return float((apart < CROWDED).mean())


def _below(line: Points, floor: float) -> float:
    return max(float(line[:, 1].max()) - floor, 0.0)


def _along_the_way(
    path: Points,
    gap: float,
    length: float,
    panels: tuple[Panel, Panel],
    floor: float,
    taken: Sequence[Points],
) -> Points:
    tangent = np.gradient(path, axis=0)
    tangent = tangent / np.maximum(np.hypot(*tangent.T), 1e-9)[:, None]
    normal = np.column_stack([-tangent[:, 1], tangent[:, 0]])
    best, worth = path, np.inf
    for aside in (0.0, gap + 7, -gap - 7, gap + 16, -gap - 16, gap + 28, -gap - 28):
        if not aside and length < 2 * gap + LEAST_WAY + 20:
            continue
        line = spread(path + normal * aside, 0.0 if aside else gap + 2, 0.0 if aside else gap + 5)
        cost = 1.2 * on_body(line, panels[0]) + 0.25 * on_body(line, panels[1])
        cost += 0.006 * abs(aside) + (0.0 if aside else 0.10) + 0.05 * _below(line, floor)
        cost += crowded(line, taken)
        if cost < worth - 1e-9:
            best, worth = line, cost
    return best


def _short_arrow(path: Points, gap: float, panel: Panel, floor: float, taken: Sequence[Points]) -> Points:
    """A short arrow the way the part moves, beside it or ahead of it, where the paper is free."""
    way = path[-1] - path[0]
    size = float(np.hypot(*way))
    unit = way / size if size > 1e-6 else np.array([0.0, -1.0])
    normal = np.array([-unit[1], unit[0]])
    best, worth = path, np.inf
    for far in (4.0, 10.0, 18.0, 28.0):
        spots = [path.mean(axis=0) + normal * side * (gap + far + 4) for side in (-1, 1)]
        spots.append(path[-1] + unit * (gap + far + SHORT / 2))
        for number, spot in enumerate(spots):
            line = spot + unit * np.linspace(-SHORT / 2, SHORT / 2, 7)[:, None]
            cost = 1.5 * on_body(line, panel) + 0.012 * far + (0.02 if number == 2 else 0.0)
            cost += 0.05 * _below(line, floor) + crowded(line, taken)
            if cost < worth - 1e-9:
                best, worth = line, cost
    return best


def arrow_shapes(line: Points, style: Style, *, both: bool = False, second: bool = False) -> list[Shape]:
    """Return shaft and head with a light edge under both; `both`: a head at each end, for to and fro."""
    k = SECOND if second else 1.0
    heads = [_head(line, k)] + ([_head(line[::-1], k)] if both else [])
    cut = HEAD * k * 0.8
    shaft_line = spread(line, cut if both else 0.0, cut, 2 if _straight(line) else SHAFT_PLACES)
    shaft = PathBuilder().move(shaft_line[0]).through(shaft_line).done()
    path = PathBuilder()
    for head in heads:
        path.polygon(head)
    triangles = path.done()
    cap = "round" if both else "butt"
    return [
        Shape(shaft, Paint(None, style.paper, SHAFT * k + 2 * EDGE), "arrow", "mark"),
        Shape(triangles, Paint(style.paper, style.paper, 2 * EDGE), "arrow", "mark"),
        Shape(shaft, Paint(None, style.arrow, SHAFT * k, cap=cap), "arrow", "mark"),
        Shape(triangles, Paint(style.arrow), "arrow", "mark"),
    ]


def _straight(line: Points) -> bool:
    """Whether no place of a line is half a unit off its chord."""
    way = line[-1] - line[0]
    off = line - line[0]
    aside = np.abs(off[:, 0] * way[1] - off[:, 1] * way[0]) / max(float(np.hypot(*way)), 1e-9)
    return float(aside.max()) < 0.5


def bar_shapes(foot: Points, down: Points, style: Style) -> list[Shape]:
    """Return the bar that an arrow presses on without moving, square to the way `down` at its `foot`."""
    across = np.array([-down[1], down[0]]) * PRESS_BAR / 2
    bar = PathBuilder().move(foot - across).line(foot + across).done()
    return [
        Shape(bar, Paint(None, style.paper, 9.0, cap="butt"), "press", "mark"),
        Shape(bar, Paint(None, style.arrow, 4.5, cap="butt"), "press", "mark"),
    ]


def _head(line: Points, k: float) -> list[Points]:
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    tip = line[-1]
    neck = np.array([np.interp(run[-1] - HEAD * k, run, line[:, axis]) for axis in (0, 1)])
    along = (tip - neck) / max(float(np.hypot(*(tip - neck))), 1e-9)
    across = np.array([-along[1], along[0]]) * WIDE * k / 2
    return [tip, neck + across - along * 2, neck, neck - across - along * 2]
