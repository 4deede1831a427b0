"""Between two poses: frames by joint angle, and the moving pictures made of them."""

from __future__ import annotations

import numpy as np

from diagrams.body import Posed, forward, skeleton
from diagrams.camera import Vec
from diagrams.marks import segment_origin

PATH_STEPS = 11


def path_of(before: Posed, after: Posed, segment: str, start: Vec, end: Vec) -> Vec:
    """Return the path (n, 3) of a point that rides on a segment from `start` to `end`, by joint angles."""
    local_start = before.frames[segment].T @ (start - segment_origin(before, segment))
    local_end = after.frames[segment].T @ (end - segment_origin(after, segment))
    number = skeleton().segment(segment)
    places = []
    for share in np.linspace(0.0, 1.0, PATH_STEPS):
        kinematics = forward(before.q * (1 - share) + after.q * share, before.base)
        places.append(kinematics.place(number, local_start * (1 - share) + local_end * share))
    return np.array(places)
