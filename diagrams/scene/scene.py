"""One pose as painted shapes: who carries the accent, which side is far, the body with its props, the floor."""

from __future__ import annotations

import numpy as np

from limberleaf.diagrams.drawing.figure_paint import Body, Look, paint_scene
from limberleaf.diagrams.scene.camera import Camera
from limberleaf.diagrams.scene.emphasis import SEGMENTS, affected_limbs
from limberleaf.diagrams.scene.prop_shapes import floor_shapes, prop_parts
from limberleaf.diagrams.solving.solved import SolvedFigure, SolvedPose
from limberleaf.diagrams.writing.displaylist import Box, Points, Shape
from limberleaf.diagrams.writing.style import Style

_SHARES = np.array([0.0, 0.25, 0.5, 0.75, 1.0])[:, None]


def figure_look(solved: SolvedFigure, camera: Camera) -> Look:
    """Return which limbs carry the accent and which side is drawn as far."""
    far = ""
    if camera.side_like and not solved.poses[0].base_name.endswith("_side"):
        right = solved.poses[0].posed.base[:, 2] @ camera.toward
        if abs(right) > 0.5:
            far = "left" if right > 0 else "right"
    return Look(affected_limbs(solved), far)


def pose_shapes(pose: SolvedPose, body: Body, camera: Camera, look: Look, style: Style) -> list[Shape]:
    """Return a pose's body and props, far to near, without marks."""
    props = [
        part
        for index, prop in enumerate(pose.props, start=1)
        for part in prop_parts(prop, index, camera, style)
    ]
    return paint_scene(body, pose.posed, props, camera, look, style)


def body_points(pose: SolvedPose, camera: Camera) -> Points:
    """Return places along all segments on paper with their half thickness (n, 3), for marks to keep clear of."""
    points = pose.posed.points
    starts = np.array([points[start] for _, start, _, _ in SEGMENTS])[:, None]
    ends = np.array([points[end] for _, _, end, _ in SEGMENTS])[:, None]
    places = (starts * (1 - _SHARES) + ends * _SHARES).reshape(-1, 3)
    sizes = np.repeat([radius for *_, radius in SEGMENTS], len(_SHARES)) * camera.scale
    return np.column_stack([camera.project(places), sizes])


def floor(solved: SolvedFigure, camera: Camera, frame: Box, style: Style) -> list[Shape]:
    """Return the floor, or nothing where a bed hides it in a view from above."""
    points = np.array([p for other in solved.poses for p in other.posed.points.values()])
    low, high = points.min(axis=0) - 0.07, points.max(axis=0) + 0.07
    corners = np.array(
        [[low[0], 0, low[2]], [high[0], 0, low[2]], [high[0], 0, high[2]], [low[0], 0, high[2]]]
    )
    if solved.poses[0].ground > 0.05 and camera.elevation > 4:
        return []
    return floor_shapes(camera, (frame.left + 2, frame.right - 2), corners, style)
