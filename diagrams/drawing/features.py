"""Marks that lie on the surface: eyes, brows, nose, mouth, gaps between toes. Fixed to the head, so one face in all
views."""

from __future__ import annotations

from functools import cache

import numpy as np

from limberleaf.diagrams.body.skeleton import SIDES, Array, Posed, load_data
from limberleaf.diagrams.picture.displaylist import Paint, PathBuilder, Shape
from limberleaf.diagrams.picture.style import Style
from limberleaf.diagrams.scene.camera import Camera
from limberleaf.diagrams.surface.buffers import Buffers
from limberleaf.diagrams.surface.things import drawn_at, seen

_ROUND = np.linspace(0, 2 * np.pi, 9)[:-1]
_EYE_WAY = np.array([0.88, 0.0, 0.47])
FACING = 0.12
"""Cosine from which an eye is seen."""
FULL_FACE = 0.78
"""Cosine from which the nose no longer shows in the outline and gets a line of its own."""


def _line(world: Array, camera: Camera, b: Buffers, paint: Paint, least: int = 3) -> list[Shape]:
    shown = seen(world, camera, b)
    if shown.sum() < least:
        return []
    flat = camera.project(world[shown])
    return [Shape(PathBuilder().move(flat[0]).through(flat).done(), paint, "face", "detail")]


def face_shapes(posed: Posed, camera: Camera, b: Buffers, style: Style, line: float) -> list[Shape]:
    """Return eyes, brows, mouth and, seen from in front, the nose. `line`: width of the thin lines."""
    frame, centre = posed.frames["head"], posed.points["head_centre"]
    toward = frame.T @ camera.toward

    def place(local: Array) -> Array:
        out: Array = centre + local @ frame.T
        return out

    thin = Paint(None, style.ink, line)
    shapes: list[Shape] = []
    for side in (-1.0, 1.0):
        if _EYE_WAY * (1, 1, side) @ toward <= FACING:
            continue
        across = np.array([-0.47 * side, 0, 0.88]) * side
        middle = np.array([0.0500, 0.0010, 0.0175 * side])
        eye = middle + np.cos(_ROUND)[:, None] * across * 0.0036 + np.sin(_ROUND)[:, None] * [0, 0.0050, 0]
        if seen(place(eye[:1] * [1.05, 1, 1]), camera, b, 5).all():
            path = PathBuilder().loop(camera.project(place(eye))).done()
            shapes.append(Shape(path, Paint(style.ink), "face", "detail"))
        brow = np.array([[0.0535, 0.0150, 0.0095], [0.0520, 0.0172, 0.0170], [0.0460, 0.0140, 0.0260]])
        shapes += _line(place(brow * [1, 1, side]), camera, b, thin, 2)
    u = np.linspace(-1, 1, 7)
    mouth = np.column_stack([0.0525 - 0.0060 * u**2, -0.0390 + 0.0030 * u**2, 0.0125 * u])
    shapes += _line(place(mouth), camera, b, Paint(None, style.ink, line * 1.15))
    if toward[0] > FULL_FACE:
        tilt = float(np.sign(toward[2])) if abs(toward[2]) > 0.05 else 1.0
        nose = np.array(
            [
                [0.0560, -0.0060, 0.0045 * tilt],
                [0.0590, -0.0150, 0.0075 * tilt],
                [0.0590, -0.0220, 0.0075 * tilt],
                [0.0640, -0.0248, 0.0],
                [0.0590, -0.0225, -0.0060 * tilt],
            ]
        )
        shapes += _line(place(nose), camera, b, thin, 2)
    return shapes


@cache
def _gaps() -> tuple[float, ...]:
    return tuple(load_data("surface")["toe_gaps"])


def toe_shapes(posed: Posed, camera: Camera, b: Buffers, style: Style, line: float) -> list[Shape]:
    """Return short lines between the toes, where they are seen from above or in front."""
    path = PathBuilder()
    drawn = False
    for side in SIDES:
        toes, ball = posed.frames[f"toes_{side}"], posed.points[f"ball_{side}"]
        if toes[:, 1] @ camera.toward < 0.25 and toes[:, 0] @ camera.toward < 0.5:
            continue
        out = 1.0 if side == "right" else -1.0
        ends = [
            [[0.017, 0.0150, z * out], [0.036 - 0.45 * abs(z + 0.012), 0.010, (z - 0.002) * out]]
            for z in _gaps()
        ]
        world = ball + np.array(ends).reshape(-1, 3) @ toes.T
        shown = (seen(world, camera, b, 5) & drawn_at(world, camera, b)).reshape(-1, 2).all(axis=1)
        for pair in camera.project(world).reshape(-1, 2, 2)[shown]:
            if np.hypot(*(pair[1] - pair[0])) > 2.0:
                path.move(pair[0]).line(pair[1])
                drawn = True
    return [Shape(path.done(), Paint(None, style.ink, line), "toes", "detail")] if drawn else []
