"""The arrow of a joint that bends inside an enlarged view, beside the part it turns."""

from __future__ import annotations

import numpy as np

from limberleaf.diagrams.picture.displaylist import Shape
from limberleaf.diagrams.picture.style import Style
from limberleaf.diagrams.scene.camera import Camera
from limberleaf.diagrams.signs.arrow_shapes import arrow_shapes
from limberleaf.diagrams.signs.arrows import movement_kind
from limberleaf.diagrams.solving.solved import SolvedFigure

JOINTS = {"foot": ("shank", "ankle", "toe"), "hand": ("forearm", "wrist", "fingertip")}
"""By inset: the segment that is looked at as still, the joint, and the end that turns."""
LEAST_BEND = 12.0
"""Degrees on paper below which a bend gets no arrow."""
LEAST_LONG = 30.0
"""Length (units) below which such an arrow is all head."""
REACH = 1.15
"""Radius of the arrow over the length of the part that turns."""
SHORT_OF = 0.05
"""Share of the bend that the arrow leaves free before the part as it is now."""


def joint_arrow(solved: SolvedFigure, number: int, kind: str, close: Camera, style: Style) -> list[Shape]:
    """Return the arrow of a foot or a hand that has turned against the limb it hangs on; none for less than a nod."""
    still, joint, end = (f"{name}_{solved.affected}" for name in JOINTS[kind])
    before, after = (solved.poses[i].posed for i in (number - 1, number))
    way = before.frames[still].T @ (before.points[end] - before.points[joint])
    was = close.on_paper(after.frames[still] @ way)
    now = close.on_paper(after.points[end] - after.points[joint])
    turned = np.arctan2(was[0] * now[1] - was[1] * now[0], was @ now)
    if abs(np.degrees(turned)) < LEAST_BEND:
        return []
    start = np.arctan2(was[1], was[0])
    turns = start + turned * np.linspace(0.0, 1.0 - SHORT_OF, 9)
    radius = float(np.hypot(*now)) * close.scale * REACH
    if radius * abs(turned) < LEAST_LONG:
        return []
    line = close.project(after.points[joint])[0] + radius * np.column_stack([np.cos(turns), np.sin(turns)])
    return arrow_shapes(line, style, both=movement_kind(solved, number) == "to_and_fro")
