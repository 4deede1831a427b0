"""Numbers as strokes: the one text a figure may hold, drawn the same in SVG and in pixels without any font."""

from __future__ import annotations

import numpy as np

from limberleaf.diagrams.picture.displaylist import Command, PathBuilder, Points

# Each digit in a box 6 wide and 10 high, y down: smooth runs of points; "L" runs are straight.
_GLYPHS: dict[str, list[tuple[str, list[tuple[float, float]]]]] = {
    "0": [("O", [(3, 0), (5.6, 2), (5.8, 5), (5.6, 8), (3, 10), (0.4, 8), (0.2, 5), (0.4, 2)])],
    "1": [("L", [(1, 2), (3.4, 0), (3.4, 10)])],
    "2": [
        ("S", [(0.5, 2.4), (1.6, 0.5), (4, 0.2), (5.5, 2.2), (4.6, 4.8), (0.4, 10)]),
        ("L", [(0.4, 10), (5.8, 10)]),
    ],
    "3": [
        ("S", [(0.6, 1.2), (2.8, 0), (5.2, 1.6), (4.8, 3.9), (2.6, 4.6)]),
        ("S", [(2.6, 4.6), (5.2, 5.6), (5.6, 8), (3.4, 10), (0.4, 8.8)]),
    ],
    "4": [("L", [(4.4, 10), (4.4, 0), (0.2, 7), (6, 7)])],
    "5": [
        ("L", [(5.3, 0), (1.2, 0), (0.8, 4.4)]),
        ("S", [(0.8, 4.4), (3, 3.6), (5.4, 5), (5.4, 8.2), (3, 10), (0.3, 8.9)]),
    ],
    "6": [
        (
            "S",
            [
                (4.9, 0.2),
                (1.8, 2.6),
                (0.4, 6.4),
                (1.2, 9.2),
                (3.2, 10),
                (5.4, 8.6),
                (5.4, 5.8),
                (3.2, 4.4),
                (0.6, 6),
            ],
        )
    ],
    "7": [("L", [(0.3, 0), (5.8, 0), (2.2, 10)])],
    "8": [
        ("O", [(3, 4.6), (5, 3.4), (5, 1.2), (3, 0), (1, 1.2), (1, 3.4)]),
        ("O", [(3, 4.6), (5.5, 6), (5.5, 8.6), (3, 10), (0.5, 8.6), (0.5, 6)]),
    ],
    "9": [
        (
            "S",
            [
                (1.1, 9.8),
                (4.2, 7.4),
                (5.6, 3.6),
                (4.8, 0.8),
                (2.8, 0),
                (0.6, 1.4),
                (0.6, 4.2),
                (2.8, 5.6),
                (5.4, 4),
            ],
        )
    ],
    "°": [("O", [(2.2, 0), (3.7, 0.5), (4.2, 2), (3.7, 3.5), (2.2, 4), (0.7, 3.5), (0.2, 2), (0.7, 0.5)])],
}
ADVANCE = 8.2


def number_path(text: str, centre: Points, height: float) -> tuple[Command, ...]:
    """Return a number such as "10°" as strokes, centred on a point, `height` units high."""
    scale = height / 10.0
    width = (len(text) * ADVANCE - (ADVANCE - 6)) * scale
    path = PathBuilder()
    corner = np.asarray(centre, dtype=float) - np.array([width, height]) / 2
    for index, letter in enumerate(text):
        for kind, run in _GLYPHS[letter]:
            points = corner + (np.array(run) + np.array([index * ADVANCE, 0.0])) * scale
            if kind == "O":
                path.loop(points)
            elif kind == "S":
                path.move(points[0]).through(points)
            else:
                path.move(points[0])
                for point in points[1:]:
                    path.line(point)
    return path.done()
