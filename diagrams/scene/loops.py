"""What goes round a part of the body: closed rings for bands and straps that the solver only ties there."""

from __future__ import annotations

import numpy as np

from limberleaf.diagrams.body.skeleton import Array, Side
from limberleaf.diagrams.language.words import read_part, sides_of
from limberleaf.diagrams.solving.solved import SolvedFigure, SolvedPose

SOLE = (0.066, -0.0285, 0.0165, 0.0295)
"""A ring about the ball of a foot in the foot's frame: forward, up, half height, half width (H)."""
_FOOT = {"foot", "ball of foot", "toe"}


def loops_of(solved: SolvedFigure, pose: SolvedPose) -> list[tuple[str, Array]]:
    """Return the rings (n, 3) of a pose with the name of the prop each belongs to."""
    found = []
    for prop in solved.spec.props:
        if prop.kind not in {"band", "strap"} or not prop.around:
            continue
        word = read_part(prop.around)
        if word.part not in _FOOT:
            continue
        placed = next((p for p in pose.props if p.kind == prop.kind), None)
        for side in sides_of(word.side, solved.affected, solved.lead) if placed else ():
            found.append((placed.name if placed else "", _round_foot(pose, side)))
    return found


def _round_foot(pose: SolvedPose, side: Side) -> Array:
    frame, ankle = pose.posed.frames[f"foot_{side}"], pose.posed.points[f"ankle_{side}"]
    forward, up, high, wide = SOLE
    turn = np.linspace(0, 2 * np.pi, 15)[:-1]
    ring = np.column_stack([np.full(len(turn), forward), up + high * np.sin(turn), wide * np.cos(turn)])
    out: Array = ankle + ring @ frame.T
    return out
