"""A joint that bends inside an enlarged view: the part as it was, and an arrow beside it."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

import numpy as np

from limberleaf.diagrams.body.kinematics import posed
from limberleaf.diagrams.body.skeleton import Posed, skeleton
from limberleaf.diagrams.drawing.panel import Panel, panel
from limberleaf.diagrams.picture.displaylist import Box, Points, Shape
from limberleaf.diagrams.picture.style import Style
from limberleaf.diagrams.scene.camera import Camera
from limberleaf.diagrams.signs.arrow_shapes import arrow_shapes
from limberleaf.diagrams.signs.arrows import movement_kind
from limberleaf.diagrams.signs.ghost import ghost_shapes
from limberleaf.diagrams.solving.solved import SolvedFigure

JOINTS = {"foot": ("ankle", "toe"), "hand": ("wrist", "fingertip")}
"""By inset: the joint, and the end that turns."""
LIMB_OF = {"foot": "leg", "hand": "arm"}
LEAST_BEND = 12.0
"""Degrees on paper below which a bend gets no arrow."""
LEAST_LONG = 38.0
"""Length (units) of such an arrow at least: a shorter one is all head."""
REACH = 1.15
"""Radius of the arrow over the length of the part that turns."""
SHORT_OF = 0.05
"""Share of the bend that the arrow leaves free before the part as it is now."""
CARRIED = 0.03
"""How far (H) a joint must come for its part to be carried along by the limb."""


def bent_as_before(solved: SolvedFigure, number: int, kind: str) -> Posed:
    """Return the body of a panel with the inset's joint bent as it was in the panel before."""
    joint = f"{JOINTS[kind][0]}_{solved.affected}."
    before, after = (solved.poses[i].posed for i in (number - 1, number))
    q = after.q.copy()
    for name, place in skeleton().index.items():
        if name.startswith(joint):
            q[place] = before.q[place]
    return posed(q, after.base)


def bend_shapes(
    solved: SolvedFigure,
    number: int,
    kind: str,
    now: Panel,
    hidden: tuple[Collection[str], Box],
    style: Style,
) -> list[Shape]:
    """Return where a foot or a hand was against the limb it hangs on, and its way; nothing for too small a bend.

    `hidden`: the limbs that the view leaves out, and its window.
    """
    line = _way(solved, number, kind, now.camera)
    if line is None:
        return []
    without, window = hidden
    pose = replace(now.pose, posed=bent_as_before(solved, number, kind))
    was = panel(pose, now.camera, px=now.b.px, without=without, window=window)
    shapes = ghost_shapes({f"{LIMB_OF[kind]}_{solved.affected}"}, was, now, style)
    return [*shapes, *arrow_shapes(line, style, both=_to_and_fro(solved, number, kind))]


def _to_and_fro(solved: SolvedFigure, number: int, kind: str) -> bool:
    """Whether the bend itself goes to and fro. Where the limb carries the part along, the limb's arrow says that, and a
    second double arrow reads as an exercise of its own."""
    joint = f"{JOINTS[kind][0]}_{solved.affected}"
    way = solved.poses[number].posed.points[joint] - solved.poses[number - 1].posed.points[joint]
    return movement_kind(solved, number) == "to_and_fro" and float(np.linalg.norm(way)) < CARRIED


def _way(solved: SolvedFigure, number: int, kind: str, close: Camera) -> Points | None:
    """Return the arrow (9, 2) of a part that has turned against its limb, or None."""
    joint, end = (f"{name}_{solved.affected}" for name in JOINTS[kind])
    before, after = bent_as_before(solved, number, kind), solved.poses[number].posed
    was, now = (close.on_paper(one.points[end] - one.points[joint]) for one in (before, after))
    turned = np.arctan2(was[0] * now[1] - was[1] * now[0], was @ now)
    if abs(np.degrees(turned)) < LEAST_BEND:
        return None
    radius = float(np.hypot(*now)) * close.scale * REACH
    # A small bend gets an arrow that is long enough to be one, about the middle of its way.
    longer = max(LEAST_LONG / (radius * abs(turned)), 1.0)
    shares = 0.5 + (np.linspace(0.0, 1.0 - SHORT_OF, 9) - 0.5) * longer
    turns = np.arctan2(was[1], was[0]) + turned * shares
    out: Points = close.project(after.points[joint])[0] + radius * np.column_stack(
        [np.cos(turns), np.sin(turns)]
    )
    return out
