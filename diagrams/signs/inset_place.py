"""Where an enlarged part stands beside its panel: on free paper near its own place, so that the panel grows least."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from limberleaf.diagrams.picture.displaylist import Box, Picture, Points, Shape, flatten
from limberleaf.diagrams.surface.buffers import Bools

GAP = 16.0
LOWER = 30.0
"""Units by which a place further aside must be lower to be taken."""
CELL = 6.0
"""Side (units) of the squares in which free paper is looked for."""
FREE = 1
"""Empty squares between an enlarged part and what is drawn."""
TALLER, FURTHER = 0.5, 0.25
"""What growing taller and standing further from its own place cost, where growing wider costs 1: panels stand side by
side and are as narrow as a page allows."""


def inset_place(size: tuple[float, float], level: Box, pictures: Sequence[Picture], *, lying: bool) -> Box:
    """Return the box of an enlarged part of a `size` (width, height), the same in all panels.

    Over a lying body it stands as low as there is room, beside an upright one near the part's own place (`level`).
    """
    return _over(size, level, pictures) if lying else _beside(size, level, pictures)


def _over(size: tuple[float, float], level: Box, pictures: Sequence[Picture]) -> Box:
    frame, (width, height) = pictures[0].frame, size
    middle = (level.left + level.right - width) / 2
    lefts = (min(max(middle, frame.left), max(frame.right - width, frame.left)), frame.left)
    taken = _taken(pictures)
    bottoms = []
    for left in lefts:
        over = taken[(taken[:, 0] > left - GAP) & (taken[:, 0] < left + width + GAP), 1]
        bottoms.append(round(float(over.min()) if len(over) else frame.bottom) - GAP)
    # Near its own place in the panel, unless elsewhere the panel can be much lower.
    number = int(bottoms[1] - bottoms[0] > LOWER)
    left, bottom = lefts[number], bottoms[number]
    return Box(left, bottom - height, left + width, bottom)


def _taken(pictures: Sequence[Picture]) -> Points:
    """Return the corners (n, 2) of all that is drawn but the ground."""
    rows = [
        values
        for picture in pictures
        for shape in picture.shapes
        if shape.role != "floor"
        for name, values in shape.path
        if name != "A"
    ]
    return np.array([value for row in rows for value in row]).reshape(-1, 2)


def _beside(size: tuple[float, float], level: Box, pictures: Sequence[Picture]) -> Box:
    frame = pictures[0].frame
    columns, rows = (int(np.ceil(length / CELL)) + 2 * FREE for length in size)
    # Room for the part on every side of the panel as well.
    left, top = frame.left - columns * CELL, frame.top - rows * CELL
    shape = (
        2 * rows + int(np.ceil(frame.height / CELL)) + 1,
        2 * columns + int(np.ceil(frame.width / CELL)) + 1,
    )
    drawn = np.zeros(shape, dtype=bool)
    for picture in pictures:
        for one in picture.shapes:
            _mark(drawn, one, left, top)
    free = _empty_windows(drawn, rows, columns)
    y, x = np.nonzero(free)
    lefts, tops = left + (x + FREE) * CELL, top + (y + FREE) * CELL
    wider = np.maximum(lefts + size[0], frame.right) - np.minimum(lefts, frame.left)
    taller = np.maximum(tops + size[1], frame.bottom) - np.minimum(tops, frame.top)
    aside = lefts + size[0] / 2 - (level.left + level.right) / 2
    below = tops + size[1] / 2 - (level.top + level.bottom) / 2
    cost = wider / frame.width + TALLER * taller / frame.height
    cost += FURTHER * np.hypot(aside, below) / frame.height
    best = int(np.argmin(np.round(cost, 6)))
    return Box(
        float(lefts[best]), float(tops[best]), float(lefts[best]) + size[0], float(tops[best]) + size[1]
    )


def _mark(drawn: Bools, shape: Shape, left: float, top: float) -> None:
    """Mark the squares that a shape covers: its line, and what it fills (by scan lines, odd crossings inside)."""
    if shape.role == "floor":
        return
    height, width = drawn.shape
    for line, closed in flatten(shape.path, 3):
        places = (np.vstack([line, line[:1]]) if closed else line) - (left, top)
        places = places / CELL
        steps = max(int(np.ceil(np.abs(np.diff(places, axis=0)).max(initial=0.0))), 1)
        share = np.linspace(0.0, 1.0, steps + 1)[:, None, None]
        cells = np.floor(places[:-1] * (1 - share) + places[1:] * share).astype(int).reshape(-1, 2)
        cells = cells[(cells >= 0).all(axis=1) & (cells[:, 0] < width) & (cells[:, 1] < height)]
        drawn[cells[:, 1], cells[:, 0]] = True
        if shape.paint.fill:
            _fill(drawn, places)


def _fill(drawn: Bools, places: Points) -> None:
    (x0, y0), (x1, y1) = places[:-1].T, places[1:].T
    for row in range(max(int(places[:, 1].min()), 0), min(int(places[:, 1].max()) + 1, len(drawn))):
        y = row + 0.5
        hit = (y0 <= y) != (y1 <= y)
        across = np.sort(x0[hit] + (y - y0[hit]) / (y1[hit] - y0[hit]) * (x1[hit] - x0[hit]))
        for start, end in zip(across[::2].astype(int), across[1::2].astype(int), strict=True):
            drawn[row, max(start, 0) : end + 1] = True


def _empty_windows(drawn: Bools, rows: int, columns: int) -> Bools:
    """Return, for each square, whether the window of so many rows and columns from there on is empty (by sums)."""
    total = np.zeros((drawn.shape[0] + 1, drawn.shape[1] + 1), dtype=np.int64)
    total[1:, 1:] = drawn.cumsum(axis=0).cumsum(axis=1)
    window = (
        total[rows:, columns:] - total[:-rows, columns:] - total[rows:, :-columns] + total[:-rows, :-columns]
    )
    return np.asarray(window == 0)
