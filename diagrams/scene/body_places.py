"""Places along all segments on paper, for signs that keep clear of the body."""

from __future__ import annotations

import numpy as np

from limberleaf.diagrams.picture.displaylist import Points
from limberleaf.diagrams.scene.camera import Camera
from limberleaf.diagrams.scene.emphasis import SEGMENTS
from limberleaf.diagrams.solving.solved import SolvedPose

_SHARES = np.array([0.0, 0.25, 0.5, 0.75, 1.0])[:, None]


def body_points(pose: SolvedPose, camera: Camera) -> Points:
    """Return places along all segments on paper with their half thickness (n, 3), in user units."""
    points = pose.posed.points
    starts = np.array([points[start] for _, start, _, _ in SEGMENTS])[:, None]
    ends = np.array([points[end] for _, _, end, _ in SEGMENTS])[:, None]
    places = (starts * (1 - _SHARES) + ends * _SHARES).reshape(-1, 3)
    sizes = np.repeat([radius for *_, radius in SEGMENTS], len(_SHARES)) * camera.scale
    return np.column_stack([camera.project(places), sizes])
