"""The pale ghost of a limb: where it was in the panel before, behind where it is now."""

from __future__ import annotations

import numpy as np

from limberleaf.diagrams.body.skeleton import SIDES
from limberleaf.diagrams.drawing.figure_paint import Body
from limberleaf.diagrams.scene.emphasis import affected_limbs, figure_motions, meeting, near_side
from limberleaf.diagrams.solving.solved import SolvedFigure
from limberleaf.diagrams.writing.displaylist import Paint, Shape
from limberleaf.diagrams.writing.style import Style

LEAST_WAY = 0.10
"""How far (H) the end of the limb must have come: a nearer ghost only thickens the outline."""
STILL = 0.04
"""How far (H) the trunk may have moved: when all moves, a ghost of one limb says nothing."""
# Parts that move with a joint, and the point at their end.
CARRIED = {
    "hip": (("thigh", "shank", "foot"), "ankle"),
    "knee": (("shank", "foot"), "ankle"),
    "shoulder": (("upper-arm", "forearm", "hand"), "wrist"),
    "elbow": (("forearm", "hand"), "wrist"),
}


def with_ghost(
    shapes: list[Shape], solved: SolvedFigure, number: int, body_before: Body, style: Style
) -> list[Shape]:
    """Return a panel's shapes with the ghost of the limb that moved, behind the body but over the furniture."""
    before, after = solved.poses[number - 1].posed, solved.poses[number].posed
    still = max(
        float(np.linalg.norm(after.points[name] - before.points[name])) for name in ("pelvis_mid", "spine_6")
    )
    if still > STILL or meeting(solved):
        return shapes  # among limbs laid on each other one more only tangles
    names: set[str] = set()
    for motion in figure_motions(solved):
        joint = motion.split(".", maxsplit=1)[0]
        side = next((s for s in SIDES if joint.endswith(f"_{s}")), "")
        parts, end = CARRIED.get(joint.removesuffix(f"_{side}"), ((), ""))
        point = f"{end}_{side}"
        if parts and float(np.linalg.norm(after.points[point] - before.points[point])) > LEAST_WAY:
            names |= {f"{part}-{side}" for part in parts}
    accent = affected_limbs(solved)
    # One limb tells it: the affected one when it moves, else the one nearer the eye.
    near = "right" if near_side(solved) > 0 else "left"
    told = {name for name in names if _limb(name) in accent}
    names = told or {name for name in names if name.endswith(near)} or names
    if not names:
        return shapes
    ghost = [
        Shape(body_before[name].path, _paint(_limb(name) in accent, style), "ghost", "ghost")
        for name in sorted(names)
    ]
    place = next((i for i, shape in enumerate(shapes) if shape.role != "prop"), 0)
    return [*shapes[:place], *ghost, *shapes[place:]]


def _limb(name: str) -> str:
    kind, _, side = name.rpartition("-")
    return f"{'leg' if kind in {'thigh', 'shank', 'foot'} else 'arm'}_{side}"


def _paint(accent: bool, style: Style) -> Paint:
    """The ghost of the affected limb keeps a breath of its colour; any other is grey."""
    if accent:
        return Paint(style.ghost_fill, style.ghost_ink, 1.6, outside=True)
    return Paint(style.ghost_plain_fill, style.ghost_plain_ink, 1.6, outside=True)
