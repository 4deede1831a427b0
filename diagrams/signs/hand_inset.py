"""The second small view of a hand: square to the way its wrist bends, so that the bend is seen whole.

The panel's own camera may look along the bend: a hand that bends back with its palm to the reader only gets shorter.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from limberleaf.diagrams.body.skeleton import Posed, Side
from limberleaf.diagrams.scene.camera import WORLD_UP, Camera, Vec
from limberleaf.diagrams.solving.solved import SolvedPose

BENDS = (("wrist_{}.flexion", 2), ("wrist_{}.ulnar_deviation", 0))
"""The motions of a wrist and the axis of the forearm that each turns about."""
EDGE_ON = 0.2
"""Share of the axis below which it lies in the paper: both sides are then as good, and the thumb's is taken."""
LEAST_LONG = 0.35
"""Share of the forearm's length that the panel must show for the second view to keep its slope on paper."""


def hand_cameras(poses: Sequence[SolvedPose], side: Side, camera: Camera) -> list[Camera]:
    """Return a camera for each pose that looks along the wrist's axis, the forearm sloping as in the panel."""
    axis = _axis(poses, side)
    return [_square(pose.posed, side, axis, camera) for pose in poses]


def _axis(poses: Sequence[SolvedPose], side: Side) -> int:
    """The axis of the forearm about which the wrist turns most, or is bent most where it keeps still."""
    rows = [[pose.posed.angles[name.format(side)] for name, _ in BENDS] for pose in poses]
    angles = np.array(rows)
    turned = angles.max(axis=0) - angles.min(axis=0)
    best = turned if turned.max() > 1.0 else np.abs(angles).max(axis=0)
    return BENDS[int(np.argmax(np.round(best, 3)))][1]


def _square(posed: Posed, side: Side, axis: int, camera: Camera) -> Camera:
    forearm = posed.frames[f"forearm_{side}"]
    # The third axis of a right arm points to its thumb, of a left one away from it; the first out of the palm.
    toward = forearm[:, axis] * (-1.0 if axis == 2 and side == "left" else 1.0)
    faces = float(toward @ camera.toward)
    if faces < -EDGE_ON:
        toward = -toward
    along = -forearm[:, 1]
    slope = camera.on_paper(along)
    if float(np.hypot(*slope)) < LEAST_LONG:
        slope = _upright(along, toward)
    slope = slope / max(float(np.hypot(*slope)), 1e-9)
    across = np.cross(toward, along)
    right = slope[0] * along + slope[1] * across
    up = -slope[1] * along + slope[0] * across
    return Camera("hand", 0.0, 90.0, toward, right, up, camera.scale)


def _upright(along: Vec, toward: Vec) -> Vec:
    """The slope on paper (x right, y down) of a way where the paper stands upright."""
    right = np.cross(WORLD_UP, toward)
    size = float(np.linalg.norm(right))
    right = right / size if size > 1e-6 else np.array([1.0, 0.0, 0.0])
    return np.array([along @ right, -(along @ np.cross(toward, right))])
