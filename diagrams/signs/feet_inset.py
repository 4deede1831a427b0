"""The second small view of both feet: from where both are seen, with the step that one of them has made."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from limberleaf.diagrams.body.skeleton import SIDES, Posed
from limberleaf.diagrams.drawing.panel import Panel, hands_of, panel
from limberleaf.diagrams.picture.displaylist import Box, Shape
from limberleaf.diagrams.picture.style import Style
from limberleaf.diagrams.scene.camera import BodyAxes, Camera, camera_at
from limberleaf.diagrams.signs.arrow_shapes import arrow_shapes, place_arrow
from limberleaf.diagrams.signs.ghost import ghost_shapes
from limberleaf.diagrams.signs.movement import path_of
from limberleaf.diagrams.solving.solved import SolvedPose
from limberleaf.diagrams.surface.buffers import rasterise
from limberleaf.diagrams.surface.materials import LIMBS
from limberleaf.diagrams.surface.mesh import mesh, pieces, vertices

LEGS_ONLY = frozenset(LIMBS) - {"leg_left", "leg_right"}
BARE_FEET = LEGS_ONLY | {f"{name}_{side}" for name in ("thigh", "shank") for side in SIDES}
"""All but the feet: what the outline of where a foot was leaves out."""
FROM = ((90.0, 58.0), (70.0, 42.0), (12.0, 58.0))
"""Azimuth and elevation of the views tried: from in front and above, where feet side by side are told from feet heel to
toe, and from further aside, where one foot hides behind the other."""
WORTH = 1.15
"""How much more must be seen of the foot that is seen least before the later view is taken."""
COARSE = 0.7
"""Pixels to a unit that are enough to compare two views."""
LEAST_STEP = 0.06
"""How far (H) a foot must come to have made a step."""


def feet_camera(poses: Sequence[SolvedPose], axes: BodyAxes, scale: float) -> Camera:
    """Return the camera from which more is seen of the foot that is seen least, in all panels."""
    cameras = [camera_at(axes, "feet", *angles, scale) for angles in FROM]
    worst = [min(_least_foot(pose, camera) for pose in poses) for camera in cameras]
    best = 0
    for number in range(1, len(cameras)):
        if worst[number] > WORTH * worst[best]:
            best = number
    return cameras[best]


def _least_foot(pose: SolvedPose, camera: Camera) -> int:
    """Return the pixels in which the foot that is seen least is seen."""
    b = rasterise(vertices(pose.posed, hands_of(pose)), camera, px=COARSE, without=LEGS_ONLY)
    piece = mesh().piece[b.quad[b.quad >= 0]]
    names = [one.name for one in pieces()]
    return min(
        int(np.isin(piece, [names.index(f"foot_{side}"), names.index(f"toes_{side}")]).sum())
        for side in SIDES
    )


def step_shapes(
    poses: tuple[SolvedPose, SolvedPose], now: Panel, close: Camera, window: Box, style: Style
) -> list[Shape]:
    """Return where a foot was and its way, where one has stepped since the panel before."""
    before, after = (pose.posed for pose in poses)
    stepped = [side for side in SIDES if _way(before, after, side) > LEAST_STEP]
    if len(stepped) != 1:
        return []
    side = stepped[0]
    was, bare = (panel(pose, close, px=now.b.px, without=BARE_FEET, window=window) for pose in poses)
    shapes = ghost_shapes({f"leg_{side}"}, was, bare, style)
    ends = [posed.points[f"ball_{side}"] for posed in (before, after)]
    path = close.project(path_of(before, after, f"foot_{side}", *ends))
    return [*shapes, *arrow_shapes(place_arrow(path, 0.03 * close.scale, now, was), style)]


def _way(before: Posed, after: Posed, side: str) -> float:
    return float(np.linalg.norm(after.points[f"heel_{side}"] - before.points[f"heel_{side}"]))
