"""Furniture as a picture needs it: walls cut to what the body uses, a chair under the calves turned sideways, a mat."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from limberleaf.diagrams.body.skeleton import Array, Posed
from limberleaf.diagrams.picture.displaylist import Box, Paint, PathBuilder, Shape
from limberleaf.diagrams.picture.style import Style
from limberleaf.diagrams.scene.camera import Camera
from limberleaf.diagrams.solving.solved import Block, PlacedProp, SolvedFigure, SolvedPose

WALL_ROOM, WALL_ABOVE, AT_WALL = 0.16, 0.10, 0.16
"""How much wall (H) stands beside and above the body, and how near it the body counts as using it."""
LOW_EYE = 3.0
"""Degrees of the eye's height below which the floor is seen as a line."""
ON_FLOOR = {
    "cross_legged",
    "long_sitting",
    "long_sitting_leaning",
    "kneeling",
    "kneel_sitting",
    "side_sitting",
}
LIES = 0.18
STANDS = 0.40
"""A pelvis higher than this (H): the body stands, however far it bends forward."""

MAT_HEIGHT = 0.12
MAT_ROOM = np.array([7.0, 5.0])


def staged(solved: SolvedFigure) -> list[SolvedPose]:
    """Return the poses with their furniture made ready for the picture."""
    bodies = [pose.posed for pose in solved.poses]
    return [with_staging(pose, bodies) for pose in solved.poses]


def with_staging(pose: SolvedPose, bodies: Sequence[Posed]) -> SolvedPose:
    """Return a pose with its furniture made ready; `bodies`: all that the picture shows."""
    props = []
    for prop in pose.props:
        if prop.kind == "wall":
            props.append(_cut_wall(prop, bodies))
        elif prop.kind == "chair" and pose.posture == "supine_legs_on_chair":
            props.append(_turned_chair(prop))
        else:
            props.append(prop)
    return replace(pose, props=tuple(props))


def _turned_chair(prop: PlacedProp) -> PlacedProp:
    """A chair under the calves stands sideways: its back would stand in the way of the feet."""
    seat = next((block for block in prop.blocks if block.name == "seat"), prop.blocks[0])
    blocks = tuple(
        replace(
            block,
            centre=block.centre * (0, 1, 0)
            + seat.centre * (1, 0, 1)
            + block.axes[:, 2] * (seat.half[2] - block.half[0]),
            half=block.half[[2, 1, 0]],
        )
        if block.name == "back"
        else block
        for block in prop.blocks
    )
    return replace(prop, blocks=blocks)


def _cut_wall(prop: PlacedProp, bodies: Sequence[Posed]) -> PlacedProp:
    """As much of a wall as the body needs to be known as one: a smaller panel shows a larger body."""
    points = np.array([point for posed in bodies for point in posed.points.values()])
    return replace(prop, blocks=tuple(_cut_block(block, points) for block in prop.blocks))


def _cut_block(block: Block, points: Array) -> Block:
    thin = int(np.argmin(block.half))
    wide = 3 - thin - 1
    centre, half = block.centre.copy(), block.half.copy()
    top = min(block.centre[1] + block.half[1], points[:, 1].max() + WALL_ABOVE)
    centre[1], half[1] = top / 2, top / 2
    axis = block.axes[:, wide]
    near = points[np.abs((points - block.centre) @ block.axes[:, thin]) < AT_WALL]
    at = (near - block.centre) @ axis if len(near) else np.zeros(1)
    low = max(float(at.min()) - WALL_ROOM, -float(block.half[wide]))
    high = min(float(at.max()) + WALL_ROOM, float(block.half[wide]))
    centre, half[wide] = centre + axis * (low + high) / 2, (high - low) / 2
    return replace(block, centre=centre, half=half)


def on_the_floor(pose: SolvedPose) -> bool:
    """Whether the body lies or sits on the floor itself."""
    points = pose.posed.points
    low = points["spine_5"][1] - points["pelvis_mid"][1] < LIES and pose.ground < 0.05
    low = low and points["pelvis_mid"][1] < STANDS
    return bool(low or pose.posture in ON_FLOOR)


def ground_shapes(
    solved: SolvedFigure, worlds: Sequence[Array], camera: Camera, frame: Box, style: Style
) -> list[Shape]:
    """Return what the body stands or lies on: a line seen from the side, a mat where it lies, or nothing."""
    if camera.elevation < LOW_EYE:
        line = PathBuilder().move((frame.left + 2, 1.0)).line((frame.right - 2, 1.0)).done()
        return [Shape(line, Paint(None, style.floor, 2.0, cap="butt"), "floor", "floor")]
    if not any(on_the_floor(pose) for pose in solved.poses):
        return []
    low = [world[world[:, 1] < MAT_HEIGHT] for world in worlds]
    points = np.vstack(low) * (1, 0, 1)
    if not len(points):
        return []
    flat = camera.project(points)
    (left, top), (right, bottom) = flat.min(axis=0) - MAT_ROOM, flat.max(axis=0) + MAT_ROOM
    # Square to the paper: it says "on the floor" and takes no more room than the body.
    corners = [(left, top), (right, top), (right, bottom), (left, bottom)]
    return [
        Shape(PathBuilder().polygon(corners).done(), Paint(style.mat, style.floor, 1.0), "floor", "floor")
    ]


def far_side(solved: SolvedFigure, camera: Camera) -> str:
    """Return the side whose limbs are far from the eye, "" where near and far mean nothing."""
    right = float(solved.poses[0].posed.base[:, 2] @ camera.toward)
    if solved.poses[0].base_name.endswith("_side") or abs(right) < 0.6:
        return ""
    return "left" if right > 0 else "right"
